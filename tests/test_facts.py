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
