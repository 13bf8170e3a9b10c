"""A run without the second start that says how long the start matters, which costs as much again."""

from __future__ import annotations

from functools import partial

from pondsim import simulate

run = partial(simulate.run, how_long_start_matters=False)
