"""What scenarios share of forcing and tables: nothing that differs, and enough to build a member at once."""

from __future__ import annotations

import dataclasses
import time

import numpy as np
import pytest

from pondsim.engine import forcing
from pondsim.engine.model import build_model
from pondsim.errors import ScenarioError
from pondsim.jit.bundle import Bundle
from pondsim.scenario.read import read_scenario
from pondsim.scenario.settings import Ice, Scenario
from pondsim.scenario.values import value_at, with_value, with_values
from pondsim.simulate import run
from pondsim.site import air_line, boxes, loop_table
from pondsim.site.weather import WIND_SPEED
from tests.cli.common import DEMO, WEATHER_FILE, weather_rows, write_files, write_weather
from tests.scenario.test_values import keys_within
from tests.scenarios_for_tests import write_design

RATED = ('flow = "300 gpm"', 'rated_flow = "300 gpm"\nrated_head = "9 ft"')
CHANGES = (
    ('air_flow = "1.5 scfm"', 'source = "blower"\nrated_flow = "3 scfm"\nrated_pressure = "4 psi"'),
    ("[[inflow]]", '[[base_flow]]\nzone = "cove"\nflow = "5 gpm"\n\n[[inflow]]'),
)
ALSO = """
[discharge]
inside_diameter = "6 in"
length = "100 ft"

[[outage]]
start = "2025-07-03"
duration = "6 h"

[[bloom_crash]]
start = "2025-07-05"
"""


KEEPERS = (
    (forcing, "_forcing_of"),
    (forcing, "_sky_and_land"),
    (air_line, "_air_table"),
    (loop_table, "_loop_table"),
    (boxes, "_grid_of"),
)


def arrays(bundle, before=""):
    """All numbers of a model by their names."""
    for field in dataclasses.fields(bundle):
        value, name = getattr(bundle, field.name), f"{before}{field.name}"
        if isinstance(value, Bundle):
            yield from arrays(value, f"{name}.")
        else:
            yield name, np.array(value)


def same(one, other):
    pairs = zip(arrays(one), arrays(other), strict=True)
    return all(name == also and np.array_equal(a, b, equal_nan=True) for (name, a), (also, b) in pairs)


@pytest.mark.parametrize(
    ("changes", "sections", "least"),
    [
        (CHANGES, ("inflow", "algae", "aeration"), 8),
        pytest.param(CHANGES, (), 60, marks=pytest.mark.slow),
        pytest.param(
            (RATED, *CHANGES),
            ("intake", "pump", "discharge", "waterfall", "pond"),
            8,
            marks=pytest.mark.slow,
        ),
    ],
)
def test_a_scenario_takes_over_nothing_that_would_be_another_for_it(
    tmp_path, monkeypatch, changes, sections, least
):
    """Every key by 1 %, built after its like and built afresh: the same numbers, to the bit."""
    scenario = read_scenario(write_files(tmp_path, *changes, extra=ALSO))
    own = build_model(scenario)
    moved = 0
    for key, kind, value in keys_within(scenario, Scenario):
        wanted = not sections or key.partition(".")[0] in sections
        if not wanted or kind not in ("quantity", "numbers", "months") or not np.any(value):
            continue
        more = 1.01 * value if kind == "quantity" else tuple(1.01 * one for one in value)
        try:
            changed = with_value(scenario, key, more)
            shared = build_model(changed)
        except ScenarioError:  # not every key may be 1 % more
            continue
        with monkeypatch.context() as patch:
            for module, name in KEEPERS:
                patch.setattr(module, name, getattr(module, name).__wrapped__)
            fresh = build_model(changed)
        assert same(shared, fresh), key
        moved += not same(own, fresh)
    assert moved > least


def test_a_weather_file_that_changed_is_read_again(tmp_path):
    rows = weather_rows()
    write_weather(tmp_path, rows)
    scenario = read_scenario(write_files(tmp_path, WEATHER_FILE))
    before, _ = forcing.build_forcing(scenario)
    write_weather(tmp_path, [row.replace("77", "79") for row in rows])
    after, _ = forcing.build_forcing(scenario)
    assert not np.array_equal(before.weather, after.weather)


def test_what_one_model_digs_no_other_finds(tmp_path):
    """Grids of one shape are laid out once; each is a copy, and a pond that is dredged is another shape."""
    scenario = read_scenario(write_design(tmp_path))
    one, other = boxes.build_grid(scenario), boxes.build_grid(scenario)
    boxes.dig(one, with_value(scenario, "zone.cove.stage", ("4 ft", "10 ft", "13 ft")), 0.0)
    assert one.zone_bottom[1] < other.zone_bottom[1] == boxes.build_grid(scenario).zone_bottom[1]
    assert same(other, boxes.build_grid(scenario)) and not same(one, other)


def drawn(n):
    return {
        "algae.growth": (1.2 + 0.1 * n) / 86400.0,
        "bed.oxygen_demand_theta": 1.05 + 0.01 * n,
        "zone.far_arm.bed_oxygen_demand": f"{n} g/m2/d",
        "aeration.pool_air.alpha": 0.7 + 0.01 * n,
        "waterfall.water_quality": 1.0 + 0.05 * n,
    }


@pytest.mark.parametrize(
    "changed",
    [
        pytest.param(drawn, id="drawn"),
        pytest.param(lambda n: {"mixing.wind_reduction": 0.5 + 0.02 * n}, id="wind"),
        pytest.param(lambda n: {"pump.flow": f"{500 + n} gpm"}, id="pump"),
        pytest.param(lambda n: {"aeration.pool_air.air_flow": f"{1 + 0.02 * n} scfm"}, id="air"),
        pytest.param(lambda n: {"pond.layers": 12 + n % 2}, id="layers"),
    ],
)
def test_the_model_of_a_member_takes_less_than_ten_milliseconds(changed):
    """The demo's pond, its hundred days of weather and runoff; time of the processor."""
    scenario = read_scenario(DEMO / "waterfall_night_air.toml")
    build_model(scenario)
    spent = []
    for n in range(1, 8):
        began = time.process_time()
        member = with_values(scenario, changed(n))
        build_model(member)
        spent.append(time.process_time() - began)
    key = next(iter(changed(7)))
    assert value_at(member, key) != value_at(scenario, key)
    assert min(spent) < 0.010


def test_a_run_may_be_driven_by_other_forcing_than_its_own(tmp_path):
    """Own forcing changes nothing, a calm is felt, and forcing that does not fit is refused."""
    scenario = with_value(read_scenario(write_design(tmp_path)), "period.end", "2025-07-06")
    own, _ = forcing.build_forcing(scenario)
    plain = run(scenario, how_long_start_matters=False)
    assert run(scenario, how_long_start_matters=False, forcing=own)["dissolved_oxygen"].equals(
        plain["dissolved_oxygen"]
    )
    calm = own.weather.copy()
    calm[:, WIND_SPEED] = 0.0
    still = run(scenario, how_long_start_matters=False, forcing=dataclasses.replace(own, weather=calm))
    assert float(still["wind_speed"].max()) == 0.0 < float(plain["wind_speed"].max())
    assert not np.allclose(
        still["water_temperature"].isel(layer=-1), plain["water_temperature"].isel(layer=-1)
    )
    with pytest.raises(ScenarioError, match="the forcing is of another pond, period or equipment"):
        run(with_value(scenario, "period.end", "2025-07-07"), forcing=own)
    with pytest.raises(ScenarioError, match="the forcing is of another pond, period or equipment"):
        run(dataclasses.replace(scenario, aeration=()), forcing=own)


def test_ponds_of_all_kinds_run_the_same_machine_code():
    """The loop compiles once for a type: equipment, given and grown algae and ice must not change it."""
    scenario = read_scenario(DEMO / "waterfall_night_air.toml")
    given = dataclasses.replace(scenario, algae=dataclasses.replace(scenario.algae, mode="given"))
    others = [given, dataclasses.replace(scenario, ice=Ice()), read_scenario(DEMO / "existing.toml")]
    kind = build_model(scenario)._numba_type
    assert all(build_model(other)._numba_type is kind for other in others)
