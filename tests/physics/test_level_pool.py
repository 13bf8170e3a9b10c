"""A pond with a level surface and an outlet, against published and fine reckoning.

The engine's own storm is tested elsewhere; here the outlet laws and the reference it is measured by.
"""

import numpy as np
import pytest

from pondsim.physics.hydraulics import orifice_flow
from tests.level_pool import storage_indication
from tests.physics.tolerance import close_to

# Chow, Maidment and Mays 1988, Applied Hydrology, example 8.2.1: one acre, upright walls, a 5-ft pipe.
INFLOW_CFS = [0, 60, 120, 180, 240, 300, 360, 320, 280, 240, 200, 160, 120, 80, 40] + [0] * 7
OUTFLOW_CFS = (
    *(0, 3, 8, 17, 30, 43, 60, 78, 97, 117, 137),
    *(156, 173, 190, 205, 218, 231, 242, 253, 264, 275),
)
STAGE_FT = 0.5 * np.arange(21)


def test_storage_indication_gives_the_printed_example():
    """Chow et al. 1988, example 8.2.1: first outflows in text; peak and stage from memory."""
    outflow, stage = storage_indication(INFLOW_CFS, 600.0, STAGE_FT, 43560.0 * STAGE_FT, OUTFLOW_CFS)
    assert outflow[:4] == pytest.approx([0.0, 2.4, 17.0, 61.0], abs=0.5)
    assert outflow.max() == close_to(270.0, 1.5, "ft3/s", check="9.6")
    assert stage.max() == close_to(9.773, 0.05, "ft", check="9.7")


def test_pond_with_an_orifice_under_a_triangular_inflow():
    """Level pool of 2000 m2, orifice of 0.3 m at the bottom, start at its centre; exact, solved finely."""
    area, step = 2000.0, 2.0
    head = peak = 0.0
    for time in np.arange(0.0, 3 * 3600.0, step):
        coming = np.interp(time + 0.5 * step, [0.0, 1800.0, 5400.0], [0.0, 0.3, 0.0])
        half = head + 0.5 * step * (coming - orifice_flow(0.6, 0.3, head)) / area
        leaving = orifice_flow(0.6, 0.3, half)
        head += step * (coming - leaving) / area
        peak = max(peak, leaving)
    assert peak == close_to(0.09338, "1 %", "m3/s", check="9.8")
