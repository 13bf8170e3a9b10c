"""Thirty of the ponds of random_ponds.py: none fails, all close, none takes far longer than the others."""

from __future__ import annotations

import pytest

from tests.engine.random_ponds import SLOW, look_at, middle_pace

# 16 has two passages that open at once; 34 a shelf that falls dry in the sun; 46, 73 and 163 holes wider than
# their water is deep; 17 drains under ice.
SEEDS = (*range(26), 34, 46, 73, 163)


@pytest.mark.slow
def test_random_ponds_run_close_and_take_their_time() -> None:
    all_found = {seed: look_at(seed) for seed in SEEDS}
    assert {seed: found.faults for seed, found in all_found.items() if found.faults} == {}
    usual = middle_pace(list(all_found.values()))
    for seed in [seed for seed, found in all_found.items() if found.pace > SLOW * usual]:
        all_found[seed] = look_at(seed)  # again: the first pond of its size compiles
    assert {seed for seed, found in all_found.items() if found.pace > SLOW * usual} == set()
