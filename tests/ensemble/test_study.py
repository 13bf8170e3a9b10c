"""Studies: what is drawn of designs, weather years, the same numbers in any way, going on after a kill."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from contextlib import suppress
from datetime import datetime
from pathlib import Path

import numpy as np
import pytest
import xarray as xr

from pondsim.engine.found import bare_pond, found_bed
from pondsim.ensemble import study as study_module
from pondsim.ensemble import unknowns
from pondsim.ensemble.sampling import Unknown
from pondsim.ensemble.study import Drawn, _Table, draws_of, run_study, tasks_of
from pondsim.ensemble.study_file import load_study, save_study, unknowns_in
from pondsim.ensemble.unknowns import drawn, unknowns_of
from pondsim.ensemble.weather_years import WeatherYear, in_year, weather_years
from pondsim.errors import ScenarioError
from pondsim.output.provenance import used_parameters
from pondsim.scenario.defaults import default_parameter
from pondsim.scenario.read import read_scenario
from pondsim.scenario.values import value_at, with_values
from pondsim.simulate import run
from tests.cli.common import DEMO
from tests.ensemble.ponds import changed, two_designs

ROOT = Path(__file__).parent.parent.parent
GRAM = 1e-3 / 86400.0  # g/m2/d


def test_what_is_drawn(tmp_path):
    """Parameters with their ranges, the waterfall's method, the weather; nothing that the user builds."""
    existing, design = two_designs(tmp_path)
    found = {one.name: one for one in unknowns_of([existing, design], weather_years(existing))}
    assert {
        "bed.oxygen_demand",
        "aeration.alpha",
        "waterfall.method",
        "weather",
        "mixing.wind_reduction",
    } <= set(found)
    assert not {one for one in found if one.split(".")[0] in ("intake", "pump", "trench", "discharge")}
    assert "aeration.alpha" not in {one.name for one in unknowns_of([existing], weather_years(existing))}
    bed = found["bed.oxygen_demand"]
    assert (bed.low, bed.high, bed.shape) == (pytest.approx(GRAM), pytest.approx(4 * GRAM), "log-uniform")
    assert found["bed.oxygen_demand_theta"].shape == "uniform"


def test_what_is_off_is_not_drawn(tmp_path):
    """Entrainment by cooling that a file turns off is not drawn, nor is what only judges."""
    existing, _ = two_designs(tmp_path)
    off = changed(existing, mixing__cooling_entrainment=0.0)
    drawn_of = [{one.name for one in unknowns_of([pond], weather_years(pond))} for pond in (existing, off)]
    assert ["mixing.cooling_entrainment" in names for names in drawn_of] == [True, False]
    assert not [name for name in drawn_of[0] if name.startswith("judging.")]


def computed(scenario):
    """Every number of a run, in one line."""
    results = run(scenario, how_long_start_matters=False)
    return np.concatenate([v.values.ravel() for v in results.data_vars.values() if v.dtype.kind == "f"])


@pytest.mark.slow
@pytest.mark.parametrize("mode", ["grown", "given"])
def test_what_is_drawn_moves_the_pond_and_what_is_not_does_not(tmp_path, mode):
    """Each parameter at an end of its range, over a storm: those of the other algae move no number at all."""
    _, design = two_designs(tmp_path, f'\n[algae]\nmode = "{mode}"\n', days=5, layers=4)
    plain, moved, idle = computed(design), set(), set()
    rows = {}
    for use in used_parameters(design):
        if use.name.partition(".")[0] not in unknowns.STATED:
            rows.setdefault(use.name, []).append(use)
    for name, uses in rows.items():
        row = default_parameter(name)
        end = row.high if row.high != row.value else row.low
        with suppress(ScenarioError):
            laid = {one.key: unknowns._laid(design, one, Unknown(name), end) for one in uses}
            same = np.array_equal(plain, computed(with_values(design, laid)), equal_nan=True)
            (idle if same else moved).add(name)
    asked = {one.name for one in unknowns_of([design], weather_years(design))}
    others = {name for name in rows if unknowns.acts_on_others(name, design)}
    assert not others & moved and not others & asked and len(others) >= 8
    assert asked & idle <= {"bed.winter_share", "mixing.background_multiplier"}  # winter; a stiller pond


def test_a_draw_goes_with_what_each_place_states(tmp_path):
    """Half of the default leaves half of the cove's own 1.4; twelve months keep their course."""
    _, design = two_designs(tmp_path)
    months = tuple(f"{10 + 5 * month} ug/L" for month in range(12))
    design = changed(
        design,
        algae__mode="given",
        **{"zone__cove__bed_oxygen_demand": "1.4 g/m2/d", "algae__chlorophyll": months},
    )
    row = default_parameter("algae.chlorophyll")
    unknowns = [
        Unknown("bed.oxygen_demand"),
        Unknown("algae.chlorophyll"),
        Unknown("aeration.transfer_efficiency_fine"),
        Unknown("waterfall.method", shape="choice", options=("gameson", "nakasone"), chances=(1, 1)),
    ]
    values = drawn(design, unknowns, [1.0 * GRAM, 2.0 * row.value, 0.05, 1.0])
    assert values["zone.cove.bed_oxygen_demand"] == pytest.approx(0.7 * GRAM)
    assert values["bed.oxygen_demand"] == pytest.approx(1.0 * GRAM)
    assert values["algae.chlorophyll"] == pytest.approx(
        [min(2.0 * (10 + 5 * m) * 1e-6, row.most) for m in range(12)]
    )
    assert values["aeration.pool air.transfer_efficiency"] == pytest.approx(0.05)
    assert values["waterfall.method"] == "nakasone"


OWN = """
[[unknowns.range]]
key = "bed.oxygen_demand"
low = "1.5 g/m2/d"
high = "2.5 g/m2/d"
shape = "triangular"
source = "two chambers, June 2024"

[[unknowns.range]]
key = "zone.cove.floating_cover"
low = "5 %"
high = "20 %"
shape = "normal-clipped"

[[unknowns.pair]]
first = "bed.oxygen_demand"
second = "zone.cove.floating_cover"
correlation = 0.5
"""


def test_ranges_of_the_users_own(tmp_path):
    existing, design = two_designs(tmp_path, f"\n[unknowns]\ndefaults = false\n{OWN}")
    draws = draws_of([existing, design], 64)
    assert [one.name for one in draws.unknowns] == [
        "bed.oxygen_demand",
        "zone.cove.floating_cover",
        "weather",
    ]
    bed, cover = draws.values[:, 0] / GRAM, draws.values[:, 1]
    assert bed.min() >= 1.5 and bed.max() <= 2.5 and cover.min() >= 0.05 and cover.max() <= 0.2
    assert np.corrcoef(bed, cover)[0, 1] == pytest.approx(0.5, abs=0.1)
    assert draws.unknowns[0].source == "two chambers, June 2024"
    tasks, _ = tasks_of([existing, design], draws)
    values = dict(tasks[5].values)
    assert tasks[4].values == tasks[5].values  # both designs of a member
    assert values["zone.cove.floating_cover"] == cover[2]
    assert values["bed.oxygen_demand"] == pytest.approx(bed[2] * GRAM)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('low = "5 %"', 'low = "50 %"', 'unknowns.range.2.low = "50 %" is not below high'),
        ('low = "5 %"', 'low = "5 ft"', "unknowns.range.2.low cannot be used"),
        ('"zone.cove.floating_cover"\nlow', '"zone.cave.x"\nlow', "is not a number that these designs have"),
        ('low = "1.5 g/m2/d"', 'low = "1.5"', "unknowns.range.1.low cannot be used"),
        ('low = "1.5 g/m2/d"', 'low = "0.1 mg/L"', "unknowns.range.1.low cannot be used"),
    ],
)
def test_a_range_that_cannot_be_is_refused(tmp_path, old, new, said):
    existing, design = two_designs(tmp_path, "\n" + OWN.replace(old, new))
    with pytest.raises(ScenarioError, match=said.replace("[", r"\[")):
        draws_of([existing, design], 8)


def test_weather_years(tmp_path):
    """Seeds about the normals, hot and cool, wet and dry; a year moves every date by whole years."""
    existing, design = two_designs(tmp_path, days=5)
    years = {one.name: one for one in weather_years(existing)}
    assert list(years) == ["as stated", "seed 2", "seed 3", "seed 4", "hot", "cool", "wet", "dry"]
    hot = in_year(design, years["hot"])
    assert value_at(hot, "weather.synthetic.air_temperature")[6] == pytest.approx(298.15 + 1.5)
    assert in_year(design, years["wet"]).inflow[0].volume == pytest.approx(1.4 * design.inflow[0].volume)
    leap = in_year(
        changed(design, period__start="2024-02-29", period__end="2024-03-05"), WeatherYear("x", year=2025)
    )
    assert (leap.period.start, leap.period.end) == (datetime(2025, 2, 28), datetime(2025, 3, 5))
    moved = in_year(design, WeatherYear("later", year=2031))
    assert moved.inflow[0].start.year == 2031 and moved.aeration == design.aeration


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (
            'name = "a"\nrain_multiplier = 2.0\nfile = "site.toml"\nwarmer = "2 delta_degC"',
            "need synthetic weather",
        ),
        ('name = "a"\nrain_file = "site.toml"', r"has no \[rain\]"),
    ],
)
def test_a_year_that_cannot_be_is_refused(tmp_path, text, said):
    existing, _ = two_designs(tmp_path, f"\n[[unknowns.weather]]\n{text}\n")
    with pytest.raises(ScenarioError, match=said):
        weather_years(existing)


SMALL = """
[unknowns]
defaults = false

[[unknowns.range]]
key = "bed.oxygen_demand"
low = "1 g/m2/d"
high = "4 g/m2/d"

[[unknowns.weather]]
name = "usual"

[[unknowns.weather]]
name = "hot"
warmer = "3 delta_degC"
"""


@pytest.fixture(scope="module")
def designs(tmp_path_factory):
    return two_designs(tmp_path_factory.mktemp("study"), SMALL, days=2)


@pytest.fixture(scope="module")
def draws(designs):
    return draws_of(designs, 4)


@pytest.fixture(scope="module")
def study(designs, draws):
    return run_study(designs, draws, "serial")


def test_every_design_of_a_member_has_its_draw(study, draws):
    """More demand of the bed takes more oxygen; a hot year warms both designs alike."""
    assert dict(study.sizes) == {
        "design": 2,
        "member": 4,
        "day": 2,
        "zone": 2,
        "key": study.sizes["key"],
        "unknown": 2,
    }
    taken = study["measure"].sel(key="oxygen_budget.bed_demand").values
    order = np.argsort(draws.values[:, 0])
    assert (np.diff(taken[0][order]) < 0.0).all()  # negative: out of the water
    warm = study["temperature_mean_top"].mean(("day", "zone")).values
    assert (warm[:, draws.year == 1].min(axis=1) > warm[:, draws.year == 0].max(axis=1)).all()
    run_hours = study["measure"].sel(key="electricity").values
    assert (run_hours[0] == 0.0).all() and (run_hours[1] > 0.0).all()
    by_system = [key for key in study["key"].values if key.startswith("electricity.")]
    assert by_system and not study["measure"].sel(key=by_system).values[0].any()  # absent: as declared


@pytest.mark.parametrize("how", ["serial", "threads:2"])
def test_designs_of_a_member_find_one_bed_and_it_is_that_of_its_draw(designs, draws, how):
    """Algae grow: the passes that fill the bed run once a member, and give what each run alone would find."""
    assert designs[0].algae.mode == "grown" and designs[0].bed.passes > 0
    found_bed.cache_clear()
    found = run_study(designs, draws, how)
    assert found_bed.cache_info().misses == draws.members
    tasks, function = tasks_of(designs, draws)
    for place in (1, 6):
        found_bed.cache_clear()
        own = function(tasks[place])
        together = found["measure"].sel(key=own["key"].values).values[place % 2, place // 2]
        assert together == pytest.approx(own["measure"].values, rel=1e-6, nan_ok=True)


def test_all_designs_of_the_demo_find_the_same_bed():
    """Pipes, wells and trenches play no part in the pond as it is found, so one filling serves all."""
    names = ("existing", "waterfall", "waterfall_night_air", "existing_logged")
    designs = [read_scenario(DEMO / f"{name}.toml") for name in names]
    assert len({bare_pond(one) for one in designs}) == 1


def test_a_file_holds_the_whole_study(study, tmp_path):
    save_study(study, tmp_path / "members.nc")
    again = load_study(tmp_path / "members.nc")
    xr.testing.assert_allclose(again.drop_vars(["failure", "title"]), study.drop_vars(["failure", "title"]))
    assert [one.name for one in unknowns_in(again)] == ["bed.oxygen_demand", "weather"]
    for name in ("none.nc", "text.nc"):
        (tmp_path / "text.nc").write_text("x")
        with pytest.raises(ScenarioError, match="cannot be read as a file of members"):
            load_study(tmp_path / name)
    study.to_netcdf(tmp_path / "other.nc", engine="netcdf4")
    with pytest.raises(ScenarioError, match="holds no members"):
        load_study(tmp_path / "other.nc")


KILLED = """
from pathlib import Path
from pondsim.ensemble.study import draws_of, run_study
from pondsim.scenario.read import read_scenario
if __name__ == "__main__":
    designs = [read_scenario(Path({folder!r}) / name) for name in ("existing.toml", "design.toml")]
    run_study(designs, draws_of(designs, 4), "processes:2", keep={keep!r})
"""


@pytest.mark.slow
@pytest.mark.skipif(os.name != "posix", reason="signals of POSIX")
def test_a_killed_run_goes_on_with_nothing_twice(designs, study, tmp_path, monkeypatch):
    """The run and its processes end by SIGKILL at the third finished run; the rest is done here, once."""
    two_designs(tmp_path, SMALL, days=2)
    keep = tmp_path / "kept"
    code = KILLED.format(folder=str(tmp_path), keep=str(keep))
    parent = subprocess.Popen(
        [sys.executable, "-c", code], cwd=ROOT, stderr=subprocess.PIPE, start_new_session=True
    )
    end = time.monotonic() + 120.0
    while len(list(keep.glob("*.done"))) < 3:
        assert parent.poll() is None and time.monotonic() < end
        time.sleep(0.02)
    os.killpg(parent.pid, signal.SIGKILL)
    parent.communicate(timeout=30)
    there = len(list(keep.glob("*.done")))
    ran = []
    real = study_module.RunDrawn.__call__
    monkeypatch.setattr(
        study_module.RunDrawn, "__call__", lambda self, task: ran.append(task) or real(self, task)
    )
    again = run_study(designs, draws_of(designs, 4), "serial", keep=keep)
    assert len(ran) == 8 - there and len(set(ran)) == len(ran)
    xr.testing.assert_allclose(again, study, rtol=1e-5, atol=1e-6)
    ran.clear()
    run_study(designs, draws_of(designs, 8), "serial", keep=keep)  # twice the members begin with the same
    assert len(ran) == 8


def test_memory_and_file_grow_by_the_numbers_alone(study, tmp_path):
    """1,000 members x 2 designs, 138 days, five zones: far under 200 MB in memory and file."""
    table = _Table(2, 250)
    rng = np.random.default_rng(1)
    one = xr.Dataset(
        {
            "measure": (("key",), rng.normal(size=600)),
            "bed": (("zone",), rng.normal(size=5)),
            **{name: (("day", "zone"), rng.normal(size=(138, 5))) for name in study_module.SERIES},
            **{name: (("day",), rng.normal(size=138)) for name in study_module.OF_POND},
        },
        {
            "key": [f"key {k}" for k in range(600)],
            "day": np.arange(138).astype("M8[D]"),
            "zone": list("abcde"),
        },
        {"failure": ""},
    )
    for place in range(500):
        table.put(place % 2, place // 2, one)
    whole = table.dataset()
    assert 4 * whole.nbytes < 60e6
    noisy = whole.map(
        lambda v: v + rng.normal(size=v.shape).astype(np.float32) if v.dtype == np.float32 else v
    )
    save_study(noisy.assign_attrs(unknowns="[]", weather_years="[]"), tmp_path / "large.nc")
    assert 4 * (tmp_path / "large.nc").stat().st_size < 60e6


def test_members_without_weight_are_not_run(designs, draws, monkeypatch):
    ran: list[Drawn] = []
    real = study_module.RunDrawn.__call__
    monkeypatch.setattr(
        study_module.RunDrawn, "__call__", lambda self, task: ran.append(task) or real(self, task)
    )
    weighted = study_module.replace(draws, weights=np.array([0.0, 0.25, 0.75, 0.0]))
    found = run_study(designs, weighted, "serial")
    assert len(ran) == 4 and found["weight"].values.tolist() == [0.0, 0.25, 0.75, 0.0]
    assert found.attrs["weighted"] == 1 and found["failure"].values[0].tolist() == [
        "not run",
        "",
        "",
        "not run",
    ]
