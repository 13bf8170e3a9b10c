"""Facts kept with results: what the files of a design say, read back from the attributes."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from pondsim.errors import ScenarioError
from pondsim.output.provenance import facts_of
from pondsim.scenario.defaults import default_parameter
from pondsim.scenario.read import read
from pondsim.scenario.values import with_value
from pondsim.scenario.vary import Change, read_changed
from tests.line_for_tests import line_scenario
from tests.scenarios_for_tests import living_site, minimal_design, minimal_site, write_design

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
    assert (half["low"], half["high"], half["mark"], half["source"]) == (0.3, 1.4, "S", "stated by the user")
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


@pytest.mark.parametrize(("season", "winter"), [('["05-15 to 09-30"]', False), ('["11-01 to 03-31"]', True)])
def test_results_say_whether_equipment_may_run_under_ice(tmp_path, season, winter):
    """The owner's page warns of thin ice by it."""
    head, _, air = minimal_design().partition("[[aeration]]")
    text = f"{head.partition('[intake]')[0]}[[aeration]]{air}"
    found = read(write_design(tmp_path, f"{text}season = {season}\n")).scenario
    sheet = json.loads(facts_of(found)["design_sheet"])
    assert sheet["winter"] is winter and sheet["automatic"] is True


SOURCES = """
[sources]
bed.half_saturation = "three chamber tests, June 2024"
aeration."pool air" = "the maker's sheet"
"zone.cove" = "soundings by the county"
"""


def rows_of(scenario):
    return {row["key"]: row for row in json.loads(facts_of(scenario)["parameters"])}


def test_a_value_of_the_users_never_carries_the_source_of_the_default(facts):
    """Neither one that differs from the default, nor one that repeats it, nor those of a zone."""
    rows = {row["key"]: row for row in facts["parameters"]}
    for key in ("bed.half_saturation", "algae.chlorophyll", "bed.oxygen_demand (cove)"):
        assert (rows[key]["source"], rows[key]["mark"]) == ("stated by the user", "S"), key
    assert rows["bed.oxygen_demand"]["source"] == default_parameter("bed.oxygen_demand").source


def test_a_value_equal_to_the_default_is_still_the_users_where_he_writes_it(tmp_path):
    default = default_parameter("bed.half_saturation")
    text = f'\n[bed]\nhalf_saturation = "{default.texts[0]}"\n'
    (row,) = [
        row
        for key, row in rows_of(read(write_design(tmp_path, minimal_design() + text)).scenario).items()
        if key == "bed.half_saturation"
    ]
    assert (row["value"], row["mark"], row["source"]) == (row["default"], "S", "stated by the user")


def test_a_value_laid_over_the_files_is_stated_too(tmp_path):
    path = write_design(tmp_path)
    laid = read_changed(path, [Change("bed.oxygen_demand", "2.5 g/m2/d", path)]).scenario
    python = replace(read(path).scenario, bed=replace(laid.bed))
    for scenario in (laid, python):
        assert rows_of(scenario)["bed.oxygen_demand"]["source"] == "stated by the user"


def test_a_source_that_the_user_gives_stands_with_the_value(tmp_path):
    site = minimal_site().replace('name = "cove"\n', 'name = "cove"\nbed_oxygen_demand = "3 g/m2/d"\n')
    unit = "transfer_efficiency = " + '"5 %/m"\n'
    scenario = read(write_design(tmp_path, minimal_design() + unit + OWN + SOURCES, site)).scenario
    rows = rows_of(scenario)
    assert rows["bed.half_saturation"]["source"] == "three chamber tests, June 2024"
    assert rows["aeration.transfer_efficiency_fine"]["source"] == "the maker's sheet"
    assert rows["bed.oxygen_demand (cove)"]["source"] == "soundings by the county"
    assert rows["algae.chlorophyll"]["source"] == "stated by the user"
    assert json.loads(facts_of(scenario)["sources"])["zone.cove"] == "soundings by the county"


def test_a_design_that_changes_a_value_drops_the_source_of_its_site(tmp_path):
    """And where it gives one of its own, that one stands, for a value of the site too."""
    site = (
        living_site()
        + OWN.replace("[algae]", '[algae]\nmode = "given"')
        + '[sources]\nbed.half_saturation = "cores"\nalgae.chlorophyll = "lab"\n'
    )
    design = minimal_design() + '\n[bed]\nhalf_saturation = "0.8 mg/L"\n'
    rows = rows_of(read(write_design(tmp_path, design, site)).scenario)
    assert rows["bed.half_saturation"]["source"] == "stated by the user"
    assert rows["algae.chlorophyll"]["source"] == "lab"
    design += '[sources]\nbed.half_saturation = "later cores"\n'
    rows = rows_of(read(write_design(tmp_path, design, site)).scenario)
    assert rows["bed.half_saturation"]["source"] == "later cores"
    assert rows["algae.chlorophyll"]["source"] == "lab"


def test_a_value_set_from_code_drops_the_source_of_the_file(tmp_path):
    scenario = read(
        write_design(tmp_path, minimal_design() + OWN + SOURCES.partition("aeration")[0])
    ).scenario
    default = default_parameter("bed.half_saturation").source
    for value, source in (("0.8 mg/L", "stated by the user"), (None, default)):
        changed = with_value(scenario, "bed.half_saturation", value)
        assert rows_of(changed)["bed.half_saturation"]["source"] == source


@pytest.mark.parametrize(
    ("text", "line", "said"),
    [
        ('[sources]\nbed.oxygn_demand = "core"\n[bed]\noxygen_demand = "2 g/m2/d"\n', 25, "; did you mean"),
        ("[sources]\npump.flow = 3\n", 25, "sources.pump.flow is not text"),
        ('[[sources]]\npump.flow = "meter"\n', 24, "sources is a list; write it once"),
    ],
)  # fmt: skip
def test_a_source_that_fits_nothing_is_a_fault_at_its_line(tmp_path, text, line, said):
    with pytest.raises(ScenarioError) as caught:
        read(write_design(tmp_path, minimal_design() + "\n" + text))
    (problem,) = caught.value.problems
    assert problem.line == line and said in str(problem)
