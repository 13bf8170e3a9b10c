"""Sixty of the ponds of random_ponds.py: none fails, all close, none takes far longer than the others."""

from __future__ import annotations

import numpy as np
import pytest

from tests.engine.random_ponds import fault_of

# 34 has a shelf that falls dry in the sun; 46, 73 and 163 have holes wider than their water is deep.
SEEDS = (*range(60), 73, 163)
SLOWEST = 15.0  # times the median of CPU by box and day


@pytest.mark.slow
def test_random_ponds_run_close_and_take_their_time() -> None:
    found = {seed: fault_of(seed) for seed in SEEDS}
    assert {seed: fault for seed, (fault, _, _) in found.items() if fault} == {}
    spent = np.array([time / boxes for _, time, boxes in found.values()])
    spent[0] = np.median(spent)  # the first compiles
    assert spent.max() < SLOWEST * np.median(spent)
