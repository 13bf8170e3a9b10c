"""Facts kept with results: what the files of a design say, read back from the attributes."""

from __future__ import annotations

import json

import pytest

from pondsim.output.provenance import facts_of
from pondsim.scenario.read import read
from tests.line_for_tests import line_scenario
from tests.scenarios_for_tests import minimal_design, minimal_site, write_design

OWN = """
[bed]
half_saturation = "0.9 mg/L"

[algae]
chlorophyll = "30 ug/L"
"""


@pytest.fixture
def facts(tmp_path):
    site = minimal_site().replace('name = "cove"\n', 'name = "cove"\nbed_oxygen_demand = "3 g/m2/d"\n')
    path = write_design(tmp_path, minimal_design() + OWN, site)
    return {name: json.loads(text) for name, text in facts_of(read(path).scenario).items()}


def test_layout_is_that_of_the_files(facts):
    (passage,) = facts["layout"].pop("connections")
    assert passage == ["deep pool", "cove", pytest.approx(40 * 0.3048), pytest.approx(6 * 0.3048)]
    assert facts["layout"] == {
        "intake_zone": "deep pool",
        "waterfall_zone": "cove",
        "outlet_zone": "cove",
        "inflow_zones": ["deep pool"],
        "aeration": [{"name": "pool air", "zone": "deep pool", "diffusers": 2}],
    }


def test_parameters_hold_the_value_used_beside_the_default(facts):
    rows = {row["key"]: row for row in facts["parameters"]}
    half = rows["bed.half_saturation"]
    assert (half["value"], half["default"], half["unit"]) == (0.9, 0.7, "mg/L")
    assert (half["low"], half["high"], half["mark"], half["source"]) == (0.3, 1.4, "J", "judgement")
    assert rows["algae.chlorophyll"]["value"] == [30.0] * 12
    assert len(rows) == len(facts["parameters"]), "each key once"


def test_a_value_of_one_zone_or_unit_is_named_by_its_place(facts):
    rows = {row["key"]: row["value"] for row in facts["parameters"]}
    assert rows["bed.oxygen_demand (cove)"] == 3.0
    assert rows["bed.oxygen_demand"] == 2.0  # of the zone that has none of its own
    assert rows["aeration.transfer_efficiency_fine"] == 4.0
    assert "aeration.transfer_efficiency_coarse" not in rows  # no such diffuser is there


def test_a_pond_without_equipment_has_no_parameters_of_equipment(tmp_path):
    path = write_design(tmp_path, 'site = "site.toml"\ntitle = "As it is"\n')
    facts = {name: json.loads(text) for name, text in facts_of(read(path).scenario).items()}
    assert facts["layout"]["intake_zone"] == "" and facts["layout"]["aeration"] == []
    assert not [
        row for row in facts["parameters"] if row["key"].startswith(("pump", "waterfall", "aeration"))
    ]


def test_a_wet_well_says_where_its_float_stops_the_pump(tmp_path):
    facts = facts_of(line_scenario(tmp_path))
    assert json.loads(facts["layout"])["wet_well"] == {"pump_off": pytest.approx(7 * 0.3048)}


def test_givens_are_kept_by_kind_with_their_units(facts):
    """What a file says, in SI or in the unit of its parameter: 0.9 mg/L, 3 ft, 300 gpm (231 in3 a gallon)."""
    given = facts["givens"]
    assert given["pond"]["bed.half_saturation"] == [0.9, "mg/L"]
    assert given["pond"]["zone.cove.bed_oxygen_demand"][0] == pytest.approx(3e-3 / 86400)  # kg/m2/s
    assert given["equipment"]["intake.elevation"] == [pytest.approx(3 * 0.3048), "m"]
    assert given["equipment"]["pump.flow"][0] == pytest.approx(300 * 231 * 0.0254**3 / 60, rel=1e-5)
    assert given["equipment"]["aeration.pool air.diffusers"] == [2, "1"]
    assert given["events"] == {} and given["tariff"] == {}
    kinds = {key.partition(".")[0] for key in given["pond"]}
    assert {"zone", "connection", "weather", "inflow", "start", "numerics", "mixing"} <= kinds
    assert not kinds & {"title", "period", "judging", "pump"}


def test_events_and_tariff_are_kinds_of_their_own(tmp_path):
    more = '\n[[outage]]\nstart = "2025-07-03 12:00"\nduration = "18 h"\n[tariff]\nprice = "0.2 $/kWh"\n'
    given = json.loads(facts_of(read(write_design(tmp_path, minimal_design() + more)).scenario)["givens"])
    assert given["events"]["outage.1.start"] == ["2025-07-03 12:00", ""]
    assert given["events"]["outage.1.duration"] == [18 * 3600.0, "s"]
    assert given["tariff"]


def test_the_design_sheet_is_kept_with_what_fails_and_warns(tmp_path):
    """At low pool, 9 ft, an intake at 8 ft has 1 ft of water over it; one at 3 ft has 6 ft: enough."""

    def of_intake(elevation):
        text = minimal_design().replace('elevation = "3 ft"', f'elevation = "{elevation}"', 1)
        kept = json.loads(facts_of(read(write_design(tmp_path, text)).scenario)["design_sheet"])
        assert kept["pass"] > 0
        return [row for row in kept["fail"] + kept["warn"] if row["part"] == "intake"]

    (shallow,) = of_intake("8 ft")
    assert shallow["value"] == pytest.approx(0.3048) and shallow["kind"] == "length"
    assert "low pool" in shallow["what"]
    assert of_intake("3 ft") == []
