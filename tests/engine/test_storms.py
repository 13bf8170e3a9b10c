"""Design storms from one stated pool: the level is the stated one, the water each design's own."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from pondsim.errors import ScenarioError
from pondsim.measures import event_measures
from pondsim.scenario.read import read_scenario
from pondsim.scenario.settings import Profile
from pondsim.simulate import run, run_after, run_to_the_end
from pondsim.storm import run_storms, storm_named
from tests.cli.common import write_files
from tests.storms_for_tests import LOT, NO_INFLOW, TWO_STORMS

FEW_LAYERS = ('low_pool = "9 ft"', 'low_pool = "9 ft"\nlayers = 4')
FOOT = 0.3048  # m, exact
ACRE_FOOT = 43560 * FOOT**3


@pytest.fixture(scope="module")
def scenarios(tmp_path_factory):
    """The pond as it is and with its loop, which loses splash and so stands lower when the storm comes."""
    folder = tmp_path_factory.mktemp("storms")
    design = read_scenario(write_files(folder, NO_INFLOW, FEW_LAYERS, extra=TWO_STORMS + LOT))
    warm = Profile(
        zone="deep pool", depth=(0.0, 3.0), temperature=(299.0, 296.0), dissolved_oxygen=(6e-3, 2e-3)
    )
    design = replace(design, start=replace(design.start, profile=(warm,)))
    return replace(design, intake=None, pump=None, waterfall=None, aeration=(), title="existing"), design


def test_every_design_starts_every_storm_at_the_stated_level(scenarios):
    """Runoff of 2 in on 3 acre by NEH-630: 0.2614 acre-ft; of 4 in (CN 98: 3.766, CN 80: 2.042 in) 0.6829."""
    pool = 9.8 * FOOT
    peaks = []
    for scenario in scenarios:
        found = run_storms(scenario, ["2yr", "10yr"], pool=pool)
        measures = [event_measures(one) for one in found]
        assert [one.attrs["storm_name"] for one in found] == ["2yr", "10yr"]
        for one, volume in zip(measures, (0.2614, 0.6829), strict=True):
            assert one["level_before"] == pytest.approx(pool, abs=1e-6)
            assert one["runoff_lot"] == pytest.approx(volume * ACRE_FOOT, rel=0.01)
        assert measures[1]["peak_out"] > measures[0]["peak_out"]
        peaks.append([one["peak_out"] for one in measures])
    # The loop stands lower after two days; from one level the peaks are alike, but for its splash since.
    assert peaks[1] == pytest.approx(peaks[0], rel=0.05)


def test_the_water_is_what_the_days_before_left(scenarios):
    """Concentrations of the first moment are those of the last of the days before; levels are not."""
    design = scenarios[1]
    until = replace(design, storm=(), period=replace(design.period, end=design.storm[0].start))
    early, state = run_to_the_end(until)
    later = replace(design, period=replace(design.period, start=design.storm[0].start))
    later = replace(later, start=replace(later.start, water_surface=9.5 * FOOT))
    results = run_after(later, state)
    for name in ("dissolved_oxygen", "water_temperature", "detritus", "reduced_substances"):
        first, last = results[name].values[0], early[name].values[-1]
        assert first == pytest.approx(last, abs=1e-9, nan_ok=True)
    assert float(results["water_surface_elevation"][0]) == pytest.approx(9.5 * FOOT)
    assert float(early["water_surface_elevation"][-1]) != pytest.approx(9.5 * FOOT, abs=0.01)


def test_a_run_in_two_parts_is_the_run_in_one(scenarios):
    """Split where it stands, at its own level: the second part goes on as if nothing had been cut."""
    pond = replace(scenarios[0], drainage=(), storm=())
    cut = scenarios[0].storm[0].start
    whole = run(pond, how_long_start_matters=False)
    early, state = run_to_the_end(replace(pond, period=replace(pond.period, end=cut)))
    level = float(early["water_surface_elevation"][-1])
    rest = replace(
        pond, period=replace(pond.period, start=cut), start=replace(pond.start, water_surface=level)
    )
    parts = run_after(rest, state)
    one = whole.sel(time=parts["time"])
    for name, most in (("dissolved_oxygen", 0.02), ("water_temperature", 0.02)):
        assert np.nanmax(np.abs(one[name].values - parts[name].values)) < most
    assert np.abs(one["water_surface_elevation"] - parts["water_surface_elevation"]).max() < 1e-4


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"drainage": ()}, "has no land to fall on"),
        ({"storm": ()}, r"there is no storm \"2yr\"; there are none"),
    ],
)
def test_storms_that_cannot_be_run_are_told(scenarios, change, told):
    with pytest.raises(ScenarioError, match=told):
        run_storms(replace(scenarios[0], **change), ["2yr"])


def test_a_storm_that_the_land_holds_back_is_told_before_anything_is_run(scenarios):
    """A storm without rain was told as if none had been named."""
    small = replace(scenarios[0].storm[0], depth=0.0)
    with pytest.raises(ScenarioError, match=r'storm "2yr" brings no water: .* 0 in \(0 mm\)'):
        storm_named(replace(scenarios[0], storm=(small,)), "2yr")
