"""Lines drawn by chance: everything is computed, finite, and the table straight enough."""

from __future__ import annotations

import numpy as np
import pytest

from pondsim.design.circulation import limits, line_sheet
from pondsim.errors import ScenarioError
from pondsim.site.circulation_line import circulation_line, delivered, system_head
from pondsim.site.loop_table import loop_table
from tests.line_for_tests import line_scenario

DRAWS = 24


def listed(values, unit):
    return "[" + ", ".join(f'"{value:.4f} {unit}"' for value in values) + "]"


def pump_text(rng):
    flow, head = rng.uniform(20, 3000), rng.uniform(4, 80)
    share = np.sort(rng.uniform(0.0, 1.0, 5))
    falling = np.sort(rng.uniform(0.0, 1.0, 5))[::-1]
    curve = f"curve_flow = {listed(flow * share, 'gpm')}\ncurve_head = {listed(head * falling, 'ft')}\n"
    rated = f'rated_flow = "{flow:.1f} gpm"\nrated_head = "{head:.2f} ft"\n'
    return rng.choice(
        [
            f'flow = "{flow:.1f} gpm"',
            rated,
            f"{rated}efficiency = 0.6\ncount = 2\nspeed = {rng.uniform(0.5, 1.1):.3f}",
            f"{curve}curve_efficiency = {listed(rng.uniform(1, 80, 5), '%')}",
            f"{curve}curve_power = {listed(rng.uniform(0, 9, 5), 'hp')}\ncount = 3",
            f'{curve}efficiency = 0.5\nnameplate_power = "5 hp"',
        ]
    )


def drawn(folder, rng):
    """A scenario; None where the draw has a fault of its own, as most floats and lips have."""
    bore = rng.choice(["4 in", "6 in", "8 in", "12 in"], 2)
    parts = {
        "intake": f'zone = "deep pool"\nelevation = "{rng.uniform(0.5, 8.9):.2f} ft"\n'
        + rng.choice(["", f'grate_area = "{rng.uniform(0.5, 40):.2f} ft2"']),
        "gravity_line": f'nominal = "{bore[0]}"\npipe = "pvc_80"\nlength = "{rng.choice([0, 5, 300])} ft"',
        "wet_well": rng.choice(
            [None, f'diameter = "5 ft"\nbottom = "1 ft"\npump_off = "{rng.uniform(3, 9)} ft"']
        ),
        "discharge": f'nominal = "{bore[1]}"\npipe = "steel_40"\nlength = "{rng.choice([0, 300])} ft"',
        "pump": str(pump_text(rng)),
        "waterfall": f'zone = "cove"\ndrop = "{rng.uniform(0.2, 9):.2f} ft"\nwidth = "5 ft"\n'
        + rng.choice(["", f'lip = "{rng.uniform(10.1, 19):.2f} ft"']),
    }
    try:
        return line_scenario(folder, **parts)
    except ScenarioError:
        return None


@pytest.mark.parametrize("seed", range(DRAWS))
def test_any_line_is_computed(tmp_path, seed):
    rng = np.random.default_rng(seed)
    scenario = None
    while scenario is None:
        scenario = drawn(tmp_path, rng)
    assert line_sheet(scenario) is not None and limits(scenario)
    line, table = circulation_line(scenario), loop_table(scenario)
    for values in (table.flow, table.power, table.well_level):
        assert np.all(np.isfinite(values))
    assert np.all(np.diff(table.pond_level) > 0.0) and np.all(np.diff(table.flow) >= -1e-12)
    levels = rng.uniform(table.pond_level[0], table.pond_level[-1], 25)
    exact = np.array([delivered(line, float(level)) for level in levels])
    assert np.interp(levels, table.pond_level, table.flow) == pytest.approx(
        exact, abs=1e-3 * table.flow.max()
    )
    if line.curve is not None:
        for flow, level in zip(exact, levels, strict=True):
            if flow > 0.0:
                assert line.curve.head_at(flow) == pytest.approx(system_head(line, flow, level), abs=1e-6)
