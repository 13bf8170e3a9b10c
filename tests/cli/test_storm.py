"""The storm command, on the small pond with a design storm."""

from __future__ import annotations

import json

import pytest

from pondsim.comparison.harm import SEASON, STORM, harm_sentence, storm_harm
from pondsim.comparison.storms import MEASURED_IN, storm_words
from pondsim.measures.declared import declarations
from tests.cli.common import call, write_files
from tests.storms_for_tests import LOT, NO_INFLOW, TWO_STORMS

RAIN = (
    """
[rain.design_storm]
start = "2025-07-03"
depth = "2 in"
"""
    + LOT
)
GOOD = dict.fromkeys(STORM, 5.0) | {"drawdown": 50000.0}
STORMS = TWO_STORMS + 'before = "rain"\n' + LOT


def test_a_storm_with_and_without_the_existing_pond(tmp_path):
    """2 in on 3 acre: paving (CN 98) sheds 1.7695 in, ground (CN 80) 0.5625 in by NEH-630: 0.2614 acre-ft."""
    design = write_files(tmp_path, NO_INFLOW, extra=RAIN)
    (tmp_path / "old.toml").write_text('site = "site.toml"\ntitle = "existing"\n' + RAIN, encoding="utf-8")
    result = call("storm", design, "--existing", tmp_path / "old.toml", "--figure", tmp_path / "storm.png")
    assert result.exit_code == 0, result.output
    rows = {line[:44].strip(): line[44:].split() for line in result.output.splitlines()}
    assert [float(value) for value in rows["rain [in]"]] == pytest.approx([2.0, 2.0], rel=5e-3)
    assert float(rows["runoff of lot [acre-ft]"][0]) == pytest.approx(0.2614, rel=0.01)
    peaks = [float(rows[f"peak {way} [cfs]"][0].rstrip("!")) for way in ("out", "in")]
    assert peaks[0] < peaks[1]
    assert "existing pond" in result.output
    assert "drawdown to 10 % of its own rise [h]" in rows
    assert "Traceback" not in result.output
    assert (tmp_path / "storm.png").read_bytes().startswith(b"\x89PNG")


def test_a_pond_with_no_storm(tmp_path):
    result = call("storm", write_files(tmp_path, NO_INFLOW))
    assert result.exit_code == 2, result.output
    assert "there is no storm" in result.output


def test_a_storm_has_no_bill(tmp_path):
    """A tariff of the site is no matter of a storm, so nothing is said of months run in part."""
    tariff = RAIN + '[tariff]\nprice = "0.14 $/kWh"\n'
    result = call("storm", write_files(tmp_path, NO_INFLOW, extra=tariff))
    assert result.exit_code == 0, result.output
    assert "bill" not in result.output


def test_a_picture_of_another_kind(tmp_path):
    result = call("storm", write_files(tmp_path), "--figure", tmp_path / "a.doc")
    assert result.exit_code == 2
    assert "a picture ends in" in result.output


def verdict(design, existing):
    return harm_sentence(storm_harm(design, existing), "si")


def test_harm_is_said_line_by_line_with_its_tolerance():
    assert verdict(GOOD, GOOD).startswith("No harm")
    assert verdict(GOOD | {"peak_out": 5.2}, GOOD) == (
        "Worse than the existing pond: peak outflow (5 to 5.2 m3/s, tolerance 0.1 m3/s (2 %))."
    )
    # 2 % of 14 h would be 17 min; half an hour is allowed
    assert verdict(GOOD | {"drawdown": 51700.0}, GOOD).startswith("No harm")
    assert "drawdown time" in verdict(GOOD | {"drawdown": 51900.0}, GOOD)
    warmer = verdict(GOOD | {"outlet_temperature": 25.4}, GOOD | {"outlet_temperature": 25.0})
    assert warmer.endswith("temperature of the water out, mean (25 to 25.4 degC, tolerance 0.2 degC).")
    assert verdict(GOOD | {"outlet_oxygen_lowest": 4.86}, GOOD).startswith("No harm")
    assert verdict(GOOD | {"peak_out": 4.0, "oxygen_after": 6.0}, GOOD).startswith("No harm")
    assert "drawdown" in verdict(GOOD | {"drawdown": float("nan")}, GOOD)  # never drawn down within the run
    assert "0.36 degF" in harm_sentence(
        storm_harm(GOOD | {"outlet_temperature": 25.4}, GOOD | {"outlet_temperature": 25.0}), "us"
    )


def test_lines_of_the_season_are_judged_in_the_units_they_are_kept_in():
    """A tolerance in another unit would pass or fail everything."""
    for key, judged in SEASON.items():
        assert declarations()[key].template.unit == judged.unit, key
    for key, judged in STORM.items():
        words = storm_words(key)
        assert words is not None and MEASURED_IN[words[1]] == judged.unit, key


def test_several_storms_of_several_designs_from_one_pool(tmp_path):
    design = write_files(tmp_path, NO_INFLOW)
    site = tmp_path / "site.toml"
    site.write_text(site.read_text(encoding="utf-8") + STORMS, encoding="utf-8")
    made = tmp_path / "storms.json"
    result = call(
        "storm", design, "--existing", site, "--storms", "2yr,10yr", "--pool", "9.9 ft", "--json", made
    )
    assert result.exit_code == 0, result.output
    assert " ".join(result.stdout.split()).count("starts it with the water at 9.9 ft") == 2
    assert result.stdout.count("Tolerances: ") == 2
    assert max(len(line) for line in result.stdout.splitlines()) <= 80
    storms = json.loads(made.read_text(encoding="utf-8"))["storms"]
    assert [one["name"] for one in storms] == ["2yr", "10yr"]
    for one in storms:
        levels = [found["level_before"] for found in one["measures"]]
        assert levels == pytest.approx([9.9 * 0.3048] * 2, abs=1e-6)
    rains = [one["measures"][0]["rain"] for one in storms]
    assert rains == pytest.approx([2 * 0.0254, 4 * 0.0254], rel=1e-6)


def test_design_storms_need_land_alone(tmp_path):
    """A site without [rain] takes the same storm as one with rain before which it is dry: 2 in on 3 acre shed
    0.2614 acre-ft by NEH-630, as above; a run of the season says that its land sheds nothing."""
    storm = STORMS.partition("[[storm]]")[2].partition("[[storm]]")[0]
    land = "[[drainage]]" + RAIN.partition("[[drainage]]")[2]
    design = write_files(tmp_path, NO_INFLOW)
    site = tmp_path / "site.toml"
    site.write_text(f"{site.read_text(encoding='utf-8')}\n[[storm]]{storm}{land}", encoding="utf-8")
    result = call("storm", design, "--existing", site, "--storms", "all")
    assert result.exit_code == 0, result.output
    rows = {line[:44].strip(): line[44:].split() for line in result.stdout.splitlines()}
    assert float(rows["runoff of lot [acre-ft]"][0]) == pytest.approx(0.2614, rel=0.01)
    season = call("run", design, "-o", tmp_path / "run.nc")
    assert season.exit_code == 0, season.output
    assert "drainage areas shed nothing in this run" in " ".join(season.output.split())
    plain = call("storm", design)
    assert plain.exit_code == 2 and "--storms 2yr" in plain.output


@pytest.mark.parametrize("chosen", ["2yr", "all"])
def test_a_pond_without_design_storms_is_named(tmp_path, chosen):
    result = call("storm", write_files(tmp_path, NO_INFLOW), "--storms", chosen)
    assert result.exit_code == 2, result.output
    said = " ".join(result.output.split())
    assert f"{tmp_path / 'site.toml'}: " in said
    assert "there are none; write [[storm]]" in said and "docs/rain.md" in said


@pytest.mark.parametrize(
    ("option", "told"),
    [
        (("--storms", "5yr"), 'there is no storm "5yr"; there are 2yr, 10yr'),
        (("--storms", "2yr", "--pool", "20 ft"), "is not between the deepest bed"),
        (("--storms", "2yr", "--pool", "high"), "--pool high: "),
        (("--storms", ","), "names no storm"),
        (("--storms", ""), "names no storm"),
        (("--pool", "9.9 ft"), "goes with --storms"),
    ],
)
def test_storms_and_pools_that_are_not_there(tmp_path, option, told):
    design = write_files(tmp_path, NO_INFLOW)
    site = tmp_path / "site.toml"
    site.write_text(site.read_text(encoding="utf-8") + STORMS, encoding="utf-8")
    result = call("storm", design, *option)
    assert result.exit_code == 2, result.output
    assert told in result.output
