"""A kernel of rates that never changes: times of one machine and moment are told as multiples of it.

Like the loop it goes over boxes with fifteen constituents each, sources, sinks and exchange between
neighbors, with library exponentials; it is a yardstick, not a model. Do not improve it: the figures of older
versions in benchmark_commands.py are multiples of this very code.
"""

from __future__ import annotations

import time

import numba
import numpy as np

BOXES, CONSTITUENTS = 25, 15
EVALUATIONS = 200_000


@numba.njit(error_model="numpy")
def _rates(amount, volume, exchange, rate):  # type: ignore[no-untyped-def]
    boxes, constituents = amount.shape
    for box in range(boxes):
        warm = 18.0 + 0.1 * amount[box, 1] / volume[box]
        factor = np.exp(0.07 * (warm - 20.0))
        settling = 1e-5 * np.log(1.0 + volume[box])
        for k in range(constituents):
            held = amount[box, k] / volume[box]
            rate[box, k] = -1e-6 * factor * held - settling * held / (0.5 + held)
    for box in range(boxes - 1):
        flow = exchange[box]
        for k in range(constituents):
            moved = flow * (amount[box, k] / volume[box] - amount[box + 1, k] / volume[box + 1])
            rate[box, k] -= moved
            rate[box + 1, k] += moved


@numba.njit(error_model="numpy")
def _march(amount, volume, exchange, rate, evaluations):  # type: ignore[no-untyped-def]
    for _ in range(evaluations):
        _rates(amount, volume, exchange, rate)
        for box in range(amount.shape[0]):
            for k in range(amount.shape[1]):
                amount[box, k] += 1e-3 * rate[box, k]


def kernel_seconds(repeats: int = 3) -> float:
    """Processor time of so many evaluations, the quickest of a few [s]."""
    generator = np.random.default_rng(1)
    volume = generator.uniform(50.0, 200.0, BOXES)
    exchange = generator.uniform(0.0, 1e-3, BOXES)
    start = generator.uniform(1.0, 2.0, (BOXES, CONSTITUENTS)) * volume[:, None]
    rate = np.zeros_like(start)
    _march(start.copy(), volume, exchange, rate, 1)  # compiles
    spent = []
    for _ in range(repeats):
        began = time.process_time()
        _march(start.copy(), volume, exchange, rate, EVALUATIONS)
        spent.append(time.process_time() - began)
    return min(spent)


if __name__ == "__main__":
    print(f"{kernel_seconds():.3f} s")
