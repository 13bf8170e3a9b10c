"""Storage-indication routing on a coarse step, as it is done by hand: a reference that shares no code."""

from __future__ import annotations

from itertools import pairwise

import numpy as np


def storage_indication(inflow, step, stage, storage, outflow):
    """Outflow and stage at each time of `inflow`, the pond empty at first.

    2 S/dt + O is looked up between the rows of the table, straight lines between; any consistent units.
    """
    stage, storage, outflow = (np.asarray(column, dtype=float) for column in (stage, storage, outflow))
    indication = 2.0 * storage / step + outflow
    released, level = [outflow[0]], [stage[0]]
    held = indication[0] - 2.0 * outflow[0]  # 2 S/dt - O
    for before, now in pairwise(inflow):
        have = before + now + held
        released.append(np.interp(have, indication, outflow))
        level.append(np.interp(have, indication, stage))
        held = have - 2.0 * released[-1]
    return np.array(released), np.array(level)
