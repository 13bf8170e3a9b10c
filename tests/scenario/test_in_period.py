"""Events and the period: what overlaps takes effect, cut to the period; what lies outside is told."""

from __future__ import annotations

import numpy as np
import pytest

from pondsim.comparison.remarks import sentence
from pondsim.engine.forcing import build_forcing
from pondsim.errors import ScenarioError
from pondsim.scenario.read import read
from pondsim.site.weather import weather_series
from pondsim.storm import event_of
from tests.scenarios_for_tests import minimal_design, minimal_site, write_design, write_site

STORMS = """
[[inflow]]
zone = "cove"
start = "{first}"
volume = "0.1 acre-ft"
duration = "2 h"

[[inflow]]
zone = "{zone}"
start = "{second}"
volume = "0.2 acre-ft"
duration = "2 h"
"""
AUGUST = """
[period]
start = "2025-07-05 00:00"
end = "2025-07-09 00:00"
"""


def files(folder, *, zone="cove", design=AUGUST):
    storms = STORMS.format(first="2025-07-02 12:00", second="2025-07-06 12:00", zone=zone)
    site = minimal_site() + storms
    return write_design(folder, minimal_design() + design, site)


def test_what_the_site_dates_outside_the_period_is_left_out_and_told(tmp_path):
    reading = read(files(tmp_path))
    assert [storm.start.day for storm in reading.scenario.inflow] == [6]
    assert f"2 of 3 inflow events lie outside the period, {OUTSIDE}, and are left out." in map(
        sentence, reading.notes
    )


WITHIN, OUTSIDE = ("2025-07-05", "2025-07-09"), "2025-07-05 00:00 to 2025-07-09 00:00"
EVENTS = {  # section, its keys beside start, where it is kept
    "hot spell": ("[[weather.hot_spell]]", 'duration = "6 d"', lambda found: found.weather.hot_spell),
    "bloom crash": (
        "[[bloom_crash]]",
        'duration = "1 d"\nrecovery = "5 d"',
        lambda found: found.bloom_crash,
    ),
    "outage": ("[[outage]]", 'duration = "6 d"', lambda found: found.outage),
    "inflow event": (
        "[[inflow]]",
        'zone = "cove"\nvolume = "0.1 acre-ft"\nduration = "6 d"',
        lambda found: found.inflow,
    ),
}


@pytest.mark.parametrize("kind", EVENTS)
@pytest.mark.parametrize("layer", ["site", "design"])
@pytest.mark.parametrize(
    ("day", "stays"), [("06-29", False), ("06-30", True), ("07-04", True), ("07-08", True), ("07-09", False)]
)
def test_an_event_that_overlaps_the_period_stays_and_no_other(tmp_path, kind, layer, day, stays):
    """Six days of effect against 5 to 9 July: half-open spans share a moment, or they do not."""
    head, keys, of = EVENTS[kind]
    event = f'{head}\nstart = "2025-{day}"\n{keys}\n'
    own = AUGUST + (event if layer == "design" else "")
    site = minimal_site().split("[[inflow]]")[0] + (event if layer == "site" else "")
    reading = read(write_design(tmp_path, minimal_design() + own, site))
    assert len(of(reading.scenario)) == stays
    told = f"the {kind} of 2025-{day} 00:00 "
    if not stays:
        assert [sentence(one) for one in reading.notes] == [
            f"{told}lies outside the period, {OUTSIDE}, and is left out."
        ]
    elif day < "07-05":
        assert sentence(reading.notes[0]).startswith(f"{told}begins before")
    elif kind != "inflow event":
        assert reading.notes == ()


def test_a_hot_spell_longer_than_the_period_warms_all_of_it(tmp_path):
    """The very case: 12 August 18:00 to 15 August 12:00 within four days from the 12th; 4 K all through."""
    site = minimal_site().split("[[inflow]]")[0]
    site = site.replace('"2025-07-01"', '"2025-08-12 18:00"').replace('"2025-07-11"', '"2025-08-15 12:00"')
    spell = '[[weather.hot_spell]]\nstart = "2025-08-12"\nduration = "4 d"\nwarmer = "4 delta_degC"\n'
    cool, hot = (read(write_site(tmp_path, text)).scenario for text in (site, site + spell))
    added = np.subtract(
        *(weather_series(one.weather, one.period, one.place).air_temperature for one in (hot, cool))
    )
    assert added == pytest.approx(4.0, abs=1e-9)


def test_an_outage_that_begins_before_the_period_is_cut_to_it(tmp_path):
    """From 30 June to 3 July 06:00: nothing runs for the first 54 h of the period, and 10 min of rest."""
    outage = '[[outage]]\nstart = "2025-06-30"\nend = "2025-07-03 06:00"\nsystems = ["pump"]\n'
    scenario = read(write_design(tmp_path, minimal_design() + outage)).scenario
    forcing, _ = build_forcing(scenario)
    still = np.sum(np.diff(forcing.time)[forcing.pump_on == 0.0])
    assert still == pytest.approx(54 * 3600.0 + 600.0, abs=1e-6)


def test_a_bloom_crash_before_the_period_still_lacks_its_algae(tmp_path):
    """80 % die on 29 June, back in a straight line over 10 d: 2 d later 1 - 0.8 * 8/10 = 36 % are there."""
    crash = '[algae]\nmode = "given"\nchlorophyll = "50 ug/L"\n[[bloom_crash]]\nstart = "2025-06-28"\n'
    crash += 'duration = "1 d"\nrecovery = "10 d"\n'
    forcing, _ = build_forcing(read(write_design(tmp_path, minimal_design() + crash)).scenario)
    assert forcing.chlorophyll[0, :, 0] == pytest.approx(0.36 * 50e-6, rel=1e-9)
    assert not forcing.dying.any()


def test_a_storm_that_began_before_the_period_brings_the_rest_of_its_water(tmp_path):
    """12 h, peak after 4 h, begun 8 h before: (4/8)^2 of the fall, which is 2/3 of the water, is left."""
    site = minimal_site().replace(
        '"2025-07-04 15:00"\nduration = "6 h"', '"2025-06-30 16:00"\nduration = "12 h"'
    )
    scenario = read(write_site(tmp_path, site)).scenario
    forcing, _ = build_forcing(scenario)
    came = np.sum(forcing.inflow.mean(axis=2)[:, 0] * np.diff(forcing.time))
    assert came == pytest.approx(0.5 * 1233.48 * 2.0 / 3.0 * 0.25, rel=1e-5)


def test_a_design_storm_is_cut_to_the_period(tmp_path):
    """An even storm of 12 h and 6 cm: what falls inside is its share of the time; outside, none."""
    storm = '[rain.design_storm]\nstart = "{}"\ndepth = "6 cm"\nduration = "12 h"\ndistribution = "own"\n'
    storm += 'curve_time = ["0 h", "12 h"]\ncurve_share = [0.0, 1.0]\n'
    for start, fallen, note in (
        ("2025-06-30 21:00", 0.045, "begins before the period and is cut to it"),
        ("2025-07-10 18:00", 0.030, "ends after the period and is cut to it"),
        ("2025-08-01", 0.0, "lies outside the period"),
    ):
        reading = read(write_site(tmp_path, minimal_site() + storm.format(start)))
        forcing, _ = build_forcing(reading.scenario)
        assert np.sum(forcing.rain.mean(axis=1) * np.diff(forcing.time)) == pytest.approx(fallen, abs=1e-12)
        assert any(note in sentence(one) for one in reading.notes)


def test_the_storm_of_a_run_begins_with_the_period(tmp_path):
    """A design storm that began three hours before: what comes before the period is not looked for."""
    storm = '[rain.design_storm]\nstart = "2025-06-30 21:00"\ndepth = "6 cm"\n[[drainage]]\nname = "lot"\n'
    storm += 'zone = "cove"\narea = "2 acre"\nimpervious_share = 1.0\ntime_of_concentration = "15 min"\n'
    site = minimal_site().split("[[inflow]]")[0] + storm
    scenario = read(write_site(tmp_path, site)).scenario
    assert event_of(scenario)[0] == scenario.period.start


def test_a_fault_of_a_design_that_shortens_the_period_brings_no_others(tmp_path):
    path = files(tmp_path, design=AUGUST + '[bed]\noxygen_demand = "30 g/m2/d"\n')
    with pytest.raises(ScenarioError) as caught:
        read(path)
    keys = [problem.key for problem in caught.value.problems]  # the last says what was not checked
    assert keys == ["bed.oxygen_demand", ""]


def test_a_fault_of_a_storm_that_stays_is_told_at_its_line(tmp_path):
    path = files(tmp_path, zone="nowhere")
    site = path.parent / "site.toml"
    line = 1 + site.read_text().splitlines().index('zone = "nowhere"')
    with pytest.raises(ScenarioError, match=rf"site.toml:{line}: inflow.3.zone"):
        read(path)
