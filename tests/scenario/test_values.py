"""Other values of single keys of a scenario that was read: any key, checked as in a file."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import datetime
from pathlib import Path

import numpy as np
import pytest

import pondsim
from pondsim.errors import ScenarioError
from pondsim.scenario.keys import is_named, keys_of
from pondsim.scenario.read import read_scenario
from pondsim.scenario.settings import Scenario
from pondsim.scenario.values import value_at, with_value, with_values
from pondsim.scenario.vary import Change, read_changed
from tests.cli.common import DEMO
from tests.scenarios_for_tests import write_design

FOOT = 0.3048  # m, exact
DAY = 86400.0  # s, exact


@pytest.fixture
def design(tmp_path):
    return write_design(tmp_path)


def keys_within(section, cls, before=""):
    """Dotted keys of all single values that a scenario holds, with their kinds."""
    for name, key in keys_of(cls).items():
        value, dotted = getattr(section, name), before + name
        if key.kind == "section" and value is not None:
            yield from keys_within(value, key.section, f"{dotted}.")
        elif key.kind == "sections":
            for place, item in enumerate(value, 1):
                own = item.name if is_named(key.section) else place
                yield from keys_within(item, key.section, f"{dotted}.{own}.")
        elif key.section is None:
            yield dotted, key.kind, value


@pytest.mark.parametrize("file", ["waterfall_night_air.toml", "air_on_demand.toml"])
def test_every_key_takes_the_value_it_has(file):
    scenario = read_scenario(DEMO / file)
    tried = 0
    for dotted, kind, value in keys_within(scenario, Scenario):
        if dotted == "algae.chlorophyll":  # of given algae, and those of the demo grow
            continue
        if kind in ("quantity", "integer", "numbers", "months", "point", "flag", "choice", "text", "instant"):
            given = None if value in (None, ()) else value
            assert value_at(with_value(scenario, dotted, given), dotted) == value, dotted
            tried += 1
    assert tried > 250


@pytest.mark.parametrize(
    ("key", "text", "si"),
    [
        ("zone.cove.bed_oxygen_demand", "2 g/m2/d", 2e-3 / DAY),
        ("waterfall.drop", "3 ft", 3 * FOOT),
        ("bed.oxygen_demand_theta", 1.05, np.float64(1.05)),
        ("start.chloride", "120 mg/L", 0.12),
        ("algae.chlorophyll", "40 ug/L", 4e-5),
        ("aeration.pool air.diffusers", 5, np.int64(5)),
        ("inflow.1.volume", "1 acre-ft", 43560 * FOOT**3),
        ("zone.deep pool.centre", ["1 ft", "2 ft"], (FOOT, 2 * FOOT)),
        ("period.end", "2025-07-09", datetime(2025, 7, 9)),
        ("aeration.pool air.season", ["05-15 to 09-30"], ("05-15 to 09-30",)),
    ],
)
def test_a_number_in_si_and_a_text_are_what_a_file_says(design, key, text, si):
    """Conversions by definition: foot, acre and day."""
    scenario = read_scenario(design)
    by_file = read_changed(design, [Change(key, text, Path("test"))]).scenario
    assert with_value(scenario, key, text) == by_file != scenario
    before, after = value_at(by_file, key), value_at(with_value(scenario, key, si), key)
    assert (
        after == pytest.approx(before)
        if isinstance(before, float)
        else np.allclose(np.ravel(after).astype(float), np.ravel(before).astype(float))
        if not isinstance(before, datetime)
        else after == before
    )
    assert read_scenario(design) == scenario


def test_a_stated_flow_takes_the_place_of_a_curve_and_none_brings_the_default(tmp_path):
    curve = 'curve_flow = ["0 gpm", "300 gpm", "600 gpm"]\ncurve_head = ["20 ft", "15 ft", "5 ft"]'
    pipe = '\n[discharge]\ninside_diameter = "6 in"\nlength = "100 ft"\n'
    text = write_design(tmp_path).read_text().replace('flow = "300 gpm"', curve) + pipe
    scenario = read_scenario(write_design(tmp_path, text))
    stated = pondsim.with_value(scenario, "pump.flow", "400 gpm")
    assert stated.pump.curve_flow == () == stated.pump.curve_head
    assert (
        with_value(with_value(stated, "bed.oxygen_demand_theta", 1.1), "bed.oxygen_demand_theta", None)
        == stated
    )
    assert with_value(stated, "discharge", None).discharge is None


@pytest.mark.parametrize(
    ("key", "value", "words"),
    [
        (
            "zone.cove.bed_oxygen_demand",
            2.0,
            '= "2.0 kg/m2/s" is too high; write a rate per area from 0 g/m2/d',
        ),
        ("zone.cove.bed_oxygen_demand", "2", '= "2" has no unit; write a rate per area'),
        ("zone.bay.bed_oxygen_demand", 1e-8, "names no zone of this scenario. It has: deep pool, cove."),
        ("zone.cove", 1.0, "is a section; name one of its keys too."),
        ("bed", 1.0, "is a section; name one of its keys too."),
        ("bed.organic_decoy", 1.0, 'is an unknown key; did you mean "organic_decay"?'),
        (
            "bed.oxygen_demand_theta",
            math.nan,
            "= nan is not a number; write a plain number or a share in SI.",
        ),
        ("bed.oxygen_demand_theta", True, "= true is not a plain number or a share"),
        (
            "bed.oxygen_demand_theta.low",
            1.0,
            "is unknown: oxygen_demand_theta is one value and has no keys of its own.",
        ),
        ("wet_well.diameter", 1.0, "cannot be set: the scenario has no [wet_well]"),
        ("bloom_crash.1.duration", 1.0, "cannot be set: the scenario has no [[bloom_crash]]"),
        ("aeration.pool air.diffusers", 2.5, "= 2.5 is not a whole number"),
        ("pump.flow", None, "pump"),
        ("intake.elevation", 11 * FOOT, "is not below pond.normal_pool"),
        ("intake.zone", "bay", "names no zone"),
        ("period.end", datetime(2025, 7, 1), "is not after period.start"),
    ],
)
def test_what_does_not_fit_is_refused_with_its_key(design, key, value, words):
    with pytest.raises(ScenarioError) as caught:
        with_value(read_scenario(design), key, value)
    assert words in str(caught.value)
    assert str(caught.value).startswith(key.partition(".")[0])


def test_values_that_must_fit_each_other_are_set_together(design):
    scenario = read_scenario(design)
    up = {"pond.low_pool": "9.5 ft", "intake.elevation": "9.2 ft"}
    with pytest.raises(ScenarioError, match="is dry at"):
        with_value(scenario, "intake.elevation", "9.2 ft")
    assert with_values(scenario, up).intake.elevation == pytest.approx(9.2 * FOOT)
    with pytest.raises(ScenarioError, match="needs a scenario"):
        with_value(design, "bed.oxygen_demand_theta", 1.0)


def test_a_fault_that_was_there_before_is_not_of_the_value(design):
    """`replace` checks nothing: an intake above the pond is no fault of the bed that is set after it."""
    whole = read_scenario(design)
    dry = replace(whole, intake=replace(whole.intake, elevation=11 * FOOT))
    assert with_value(dry, "zone.cove.bed_oxygen_demand", "2 g/m2/d").zone[1].bed_oxygen_demand > 0.0
    with pytest.raises(ScenarioError, match="is not below"):
        with_value(dry, "intake.elevation", "10.5 ft")


def test_another_period_leaves_out_what_is_dated_outside_it(design):
    scenario = read_scenario(design)
    shorter = with_value(scenario, "period.end", "2025-07-03")
    assert len(scenario.inflow) == 1 and shorter.inflow == ()
    assert shorter == read_changed(design, [Change("period.end", "2025-07-03", Path("test"))]).scenario
