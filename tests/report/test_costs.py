"""Costs on the owner's page and beside a comparison, at invented prices."""

from __future__ import annotations

import json

import pytest

from pondsim.reporting import power
from pondsim.results import save
from tests.cli.common import DEMO, call
from tests.report.page_reader import keep_parts
from tests.results.ponds import small_pond
from tests.scenarios_for_tests import minimal_design, write_design

PRICES = """
[first]
mobilization = 1000
[yearly]
electricity = 700
cleaning = 300
[worth]
rate = "5 %"
[[price]]
item = "pump"
unit = "each"
price = 4000
[[price]]
item = "lip"
unit = "ft"
price = 100
[[price]]
item = "air source"
unit = "each"
price = 900
[[price]]
item = "diffuser, fine"
unit = "each"
price = 50
"""
FIRST = 1000 + 4000 + 5 * 100 + 900 + 2 * 50  # counted by hand: 5 ft of lip, two diffusers


@pytest.fixture
def priced(tmp_path):
    path = tmp_path / "prices.toml"
    path.write_text(PRICES, encoding="utf-8")
    return path


def test_costs_reach_the_page(files, priced, tmp_path, monkeypatch):
    keep_parts(monkeypatch, power.power_part)
    design, sums, page = write_design(tmp_path), tmp_path / "sums.json", tmp_path / "bid.html"
    result = call(
        *("quantities", design, "--prices", priced, "--json", sums),
        *("--results", files[1], "--existing", files[0]),
    )
    assert result.exit_code == 0, result.output
    found = json.loads(sums.read_text(encoding="utf-8"))
    assert found["first"] == pytest.approx(FIRST)
    assert found["each_year"] == pytest.approx(
        1000
    )  # the run has no tariff, so the stated electricity counts
    assert found["present_worth"] == pytest.approx(FIRST + 1000 * 7.7217, abs=1)  # P/A 5 %, 10 years, printed
    assert call("report", *files, "--costs", sums, "-o", page).exit_code == 0
    text = page.read_text(encoding="utf-8")
    assert "Building and keeping" in text and f"{FIRST:,}" in text
    table = (tmp_path / "bid_tables" / "costs.csv").read_text(encoding="utf-8")
    assert "present worth" in table
    assert "These sums count electricity as stated for a year." in text


def test_costs_stand_beside_a_comparison(files, priced, tmp_path):
    design = write_design(tmp_path)
    result = call("compare", files[0], design, "--prices", priced)
    assert result.exit_code == 0, result.output
    [row] = [line for line in result.output.splitlines() if line.startswith("  first cost")]
    assert row.split()[-1] == f"{FIRST:,}" and "LEFT OUT" not in result.output
    priced.write_text(PRICES.replace("electricity = 700", ""), encoding="utf-8")
    without = call("compare", files[0], design, "--prices", priced)
    assert "LEFT OUT of every sum of Waterfall and night air (invented): electricity." in " ".join(
        without.output.split()
    )
    refused = call("compare", *files, "--prices", priced)
    assert refused.exit_code == 2 and "give at least one design as a .toml file" in refused.output


def test_a_cost_of_a_year_says_whose_days_its_electricity_is(priced, tmp_path):
    """A bill of 40 days of a run stands in the sum of a year as often as is written, nothing scaled up."""
    design, run, sums = write_design(tmp_path), tmp_path / "run.nc", tmp_path / "sums.json"
    bill = {"bill_energy_charge": 900.0, "bill_demand_charge": 100.0, "bill_fixed_charge": 0.0}
    pond = small_pond(title="loop").assign({name: ("month", [charge]) for name, charge in bill.items()})
    save(pond.assign_coords(month=["2025-06"]), run)
    for often, days in ((1, 40), (2, 80), (9, 360)):
        times = f"[yearly]\nruns_a_year = {often}"
        priced.write_text(PRICES.replace("[yearly]", times), encoding="utf-8")
        result = call("quantities", design, "--prices", priced, "--json", sums, "--results", run)
        assert result.exit_code == 0, result.output
        told = f"(the electricity of {days} days of a year; equipment that runs all year uses more)"
        assert told in " ".join(result.output.split())
        found = json.loads(sums.read_text(encoding="utf-8"))
        assert found["electricity_days"] == pytest.approx(days)
        assert found["each_year"] == pytest.approx(300 + 1000 * often)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (lambda sums: {**sums, "title": "another"}, 'costs of "another": no results of that title'),
        (lambda sums: {"title": "x"}, "holds no sums of a design"),
        (lambda sums: {**sums, "first": "much"}, "holds no sums of a design"),
        (lambda sums: [], "holds no sums of a design"),
    ],
)
def test_sums_that_do_not_fit(files, priced, tmp_path, change, message):
    design, sums = write_design(tmp_path, minimal_design()), tmp_path / "sums.json"
    assert call("quantities", design, "--prices", priced, "--json", sums).exit_code == 0
    sums.write_text(json.dumps(change(json.loads(sums.read_text(encoding="utf-8")))), encoding="utf-8")
    result = call("report", *files, "--costs", sums, "-o", tmp_path / "r.html")
    assert result.exit_code == 2
    assert message in result.output


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ('item = "grate"', 'item = "grates"', 'price of "grates": the design has no such item'),
        ('unit = "yd2"', 'unit = "ft"', 'unit = "ft" does not measure it'),
    ],
)
def test_the_file_of_a_wrong_price_is_named(tmp_path, old, new, told):
    text = (DEMO / "prices.toml").read_text(encoding="utf-8")
    assert old in text
    path = tmp_path / "mine.toml"
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    for command in (("quantities",), ("compare", DEMO / "existing.toml")):
        refused = call(*command, DEMO / "waterfall.toml", "--prices", path)
        assert refused.exit_code == 2 and f"{path}: " in refused.output and told in refused.output
