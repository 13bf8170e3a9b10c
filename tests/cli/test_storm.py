"""The storm command, on the small pond with a design storm."""

from __future__ import annotations

import pytest

from pondsim.comparison.storms import verdict
from tests.cli.common import call, write_files

RAIN = """
[rain.design_storm]
start = "2025-07-03"
depth = "2 in"

[[drainage]]
name = "lot"
zone = "deep pool"
area = "3 acre"
impervious_share = "40 %"
curve_number = 80
time_of_concentration = "15 min"
"""
NO_STORM = (
    '[[inflow]]\nzone = "deep pool"\nstart = "2025-07-04 15:00"\nduration = "6 h"\nvolume = "0.5 acre ft"\n',
    "",
)
GOOD = dict.fromkeys(
    (
        "peak_out",
        "rise",
        "drawdown",
        "solids_out",
        "outlet_oxygen_lowest",
        "outlet_temperature",
        "oxygen_after",
    ),
    5.0,
)


def test_a_storm_with_and_without_the_existing_pond(tmp_path):
    """2 in on 3 acre: paving (CN 98) sheds 1.7695 in, ground (CN 80) 0.5625 in by NEH-630: 0.2614 acre ft."""
    design = write_files(tmp_path, NO_STORM, extra=RAIN)
    (tmp_path / "old.toml").write_text('site = "site.toml"\ntitle = "existing"\n' + RAIN, encoding="utf-8")
    result = call("storm", design, "--existing", tmp_path / "old.toml", "--figure", tmp_path / "storm.png")
    assert result.exit_code == 0, result.output
    rows = {line[:50].strip(): line[50:].split() for line in result.output.splitlines()}
    assert [float(value) for value in rows["rain [in]"]] == pytest.approx([2.0, 2.0], rel=5e-3)
    assert float(rows["runoff of lot [acre ft]"][0]) == pytest.approx(0.2614, rel=0.01)
    assert float(rows["peak out [cfs]"][0]) < float(rows["peak in [cfs]"][0])
    assert "existing pond" in result.output
    assert "Traceback" not in result.output
    assert (tmp_path / "storm.png").read_bytes().startswith(b"\x89PNG")


def test_a_pond_with_no_storm(tmp_path):
    result = call("storm", write_files(tmp_path, NO_STORM))
    assert result.exit_code == 2, result.output
    assert "there is no storm" in result.output


def test_a_storm_has_no_bill(tmp_path):
    """A tariff of the site is no matter of a storm, so nothing is said of months run in part."""
    tariff = RAIN + '[tariff]\nprice = "0.14 $/kWh"\n'
    result = call("storm", write_files(tmp_path, NO_STORM, extra=tariff))
    assert result.exit_code == 0, result.output
    assert "bill" not in result.output


def test_a_picture_of_another_kind(tmp_path):
    result = call("storm", write_files(tmp_path), "--figure", tmp_path / "a.doc")
    assert result.exit_code == 2
    assert "a picture ends in" in result.output


def test_harm_is_said():
    assert "No harm" in verdict(GOOD, GOOD)
    assert verdict(GOOD | {"peak_out": 5.2}, GOOD) == "Worse than the existing pond: peak out."
    after = verdict(GOOD | {"oxygen_after": 4.0}, GOOD)
    assert after.endswith("lowest oxygen near the surface, 5 days after.")
    warmer = verdict(GOOD | {"outlet_temperature": 25.4}, GOOD | {"outlet_temperature": 25.0})
    assert (
        warmer == "Worse than the existing pond: temperature at the outlet."
    )  # in degrees, no share of them
    assert "No harm" in verdict(GOOD | {"outlet_oxygen_lowest": 4.86}, GOOD)
    assert "No harm" in verdict(GOOD | {"peak_out": 4.0, "oxygen_after": 6.0}, GOOD)
