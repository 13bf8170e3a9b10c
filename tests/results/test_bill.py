"""The electricity bill, against bills made out by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

import numpy as np
import pytest

from pondsim import measures
from pondsim.comparison import compare
from pondsim.comparison.findings import findings
from pondsim.errors import ScenarioError
from pondsim.processes import circulation
from pondsim.results import load, save
from pondsim.scenario.settings import (
    Aeration,
    Demand,
    Ground,
    Intake,
    Numerics,
    Outage,
    Pump,
    Rate,
    Scenario,
    Tariff,
    Waterfall,
)
from pondsim.site.loop_table import LoopTable
from tests.engine.ponds import DAY, LEVEL, WARM, basin, inert_pond
from tests.records_for_tests import records_of
from tests.results.ponds import small_pond
from tests.runs import run

HOUR, KWH, KW = 3600.0, 3.6e6, 1e3
# Wednesday 30 July to Sunday 3 August 2025 noon: two days of July, two and a half of August
START, END = datetime(2025, 7, 30), datetime(2025, 8, 3, 12)


def metered(tariff: Tariff | None, hours=((6 * HOUR, 22 * HOUR),), **sections) -> Scenario:
    """A pump of 2 kW on a timer, and a unit of 0.5 kW round the clock."""
    pond = inert_pond(
        basin("pool", 400.0, 2.0),
        intake=Intake(zone="pool", elevation=LEVEL - 1.5),
        pump=Pump(flow=0.01, power=2000.0, hours=hours),
        waterfall=Waterfall(zone="pool", drop=1.0, width=1.0),
        aeration=(
            Aeration(name="air", zone="pool", elevation=LEVEL - 1.9, diffusers=1, air_flow=5e-4, power=500.0),
        ),
        tariff=tariff,
        numerics=Numerics(tolerance=1.0),
    )
    return replace(pond, period=replace(pond.period, start=START, end=END), **sections)


AFTERNOON = Rate(price=0.30 / KWH, hours=((14 * HOUR, 20 * HOUR),), days="weekdays")
BY_HOURS = Tariff(price=0.10 / KWH, rate=(AFTERNOON,), demand_price=10.0 / KW, fixed_charge=31.0)


@pytest.fixture(scope="module")
def billed():
    return run(metered(BY_HOURS))


def test_the_energy_of_each_month_and_system(billed):
    """Pump 16 h a day, of the Sunday 6; the unit 24 h, of the Sunday 12."""
    assert billed["month"].values.tolist() == ["2025-07", "2025-08"]
    assert billed["bill_energy"].values == pytest.approx(
        np.array([[2 * 16 * 2.0, 2 * 24 * 0.5], [2 * (16 + 16 + 6), 0.5 * (24 + 24 + 12)]]), rel=1e-9
    )


def test_the_bill_by_hand(billed):
    """Dear hours 14-20 on Wednesday, Thursday and Friday: 6 h of 2.5 kW each; every other kWh at 0.10."""
    dear = 6 * 2.5
    july, august = 2 * (32 + 12), (32 + 12) * 2 + 12 + 6
    charge = [2 * dear * 0.30 + (july - 2 * dear) * 0.10, dear * 0.30 + (august - dear) * 0.10]
    assert billed["bill_energy_charge"].values == pytest.approx(charge, rel=1e-9)
    assert billed["bill_peak_power"].values == pytest.approx([2.5, 2.5], rel=1e-9)
    share = [2 / 31, 2.5 / 31]
    assert billed["bill_share_run"].values == pytest.approx(share, rel=1e-12)
    assert billed["bill_demand_charge"].values == pytest.approx([25.0 * x for x in share], rel=1e-9)
    assert billed["bill_fixed_charge"].values == pytest.approx([2.0, 2.5], rel=1e-9)
    parts = records_of(billed)["bill_in_part"].numbers
    assert [part for part, _ in parts.values()] == pytest.approx(share, rel=1e-12)
    assert list(parts) == ["2025-07", "2025-08"]


def test_cost_by_hour_and_by_system_add_up_to_the_energy_charge(billed):
    charge = float(billed["bill_energy_charge"].sum())
    assert billed["electricity_cost"].values[1:].sum() == pytest.approx(charge, rel=1e-9)
    # Thursday 19 to 20 o'clock: 2.5 kW at 0.30; 21 to 22: at 0.10; 3 to 4: the unit alone
    hours = [24 + 20, 24 + 22, 24 + 4]
    assert billed["electricity_cost"].values[hours] == pytest.approx([0.75, 0.25, 0.05], rel=1e-9)
    pump = (12 + 12 + 12) * 0.30 + (2 * 16 * 4 + 2 * 6 - 36) * 0.10
    unit = 9 * 0.30 + (0.5 * (4 * 24 + 12) - 9) * 0.10
    assert measures.money_by_system(billed) == pytest.approx(
        {"circulation pump": pump, "air": unit}, rel=1e-9
    )


def test_money_in_measures_comparison_and_findings(billed):
    money = measures.money(billed)
    assert money["all"] == pytest.approx(money["energy"] + money["demand"] + money["fixed"])
    assert money["fixed"] == pytest.approx(4.5)
    other = run(metered(replace(BY_HOURS, currency="EUR"), title="in euro"))
    rows = compare([billed]).rows
    cost = next(row for row in rows if row.key == "cost")
    assert (cost.unit, cost.is_main, cost.values[0]) == ("$", True, pytest.approx(money["all"]))
    for system in ("us", "si"):
        words = findings(compare([billed, billed]), system)[1]
        assert f" days, ${money['all']:.0f} with demand and fixed charges" in words
        assert f", {money['all']:.0f} EUR with demand" in findings(compare([other, other]), system)[1]
    with pytest.raises(ScenarioError, match=r"in \$ and in EUR; give both one tariff.currency"):
        compare([billed, other])


@pytest.mark.parametrize(
    ("demand", "fixed", "words"),
    [(12.0, 3.0, " with demand and fixed charges"), (0.0, 3.0, " with fixed charges"), (0.0, 0.0, "")],
)
def test_charges_are_named_where_the_tariff_has_them(demand, fixed, words):
    """10 $ of energy beside the charges, by hand."""
    pond = small_pond(pumped=0.01).assign_coords(month=["2025-06"])
    for part, amount in (("energy", 10.0), ("demand", demand), ("fixed", fixed)):
        pond[f"bill_{part}_charge"] = ("month", np.array([amount]))
    said = findings(compare([pond, pond]))[1]
    assert f" days, ${10.0 + demand + fixed:.0f}{words}." in said.replace(";", ".")


def test_no_tariff_no_money():
    results = run(metered(None))
    assert not [name for name in results.data_vars if "bill" in name or "cost" in name]
    assert not [row.key for row in compare([results]).rows if "cost" in row.key]
    assert measures.money(results) == {}
    assert measures.hours_run(results) == pytest.approx({"circulation pump": 70.0, "air": 108.0}, rel=1e-9)
    assert measures.switchings(results, "starts") == {"circulation pump": 5.0, "air": 1.0}


@pytest.mark.parametrize(("minutes", "peak"), [(5, 2.5), (10, 1.5), (15, 0.5 + 2 / 3), (60, 0.5 + 1 / 6)])
def test_highest_power_is_a_mean_over_the_demand_interval(minutes, peak):
    """Five minutes of 2 kW at 6:00 beside 0.5 kW that never stops."""
    tariff = Tariff(price=0.1 / KWH, demand_price=10.0 / KW, demand_interval=60.0 * minutes)
    results = run(metered(tariff, hours=((6 * HOUR, 6 * HOUR + 300.0),)))
    assert results["bill_peak_power"].values == pytest.approx([peak, peak], rel=1e-9)


def test_a_night_rate_holds_on_the_day_of_the_clock_and_demand_by_season():
    """22:00-06:00 on weekends: Saturday 0-6 and 22-24, Sunday 0-6; August alone pays for its peak."""
    night = Rate(price=0.05 / KWH, hours=((22 * HOUR, 30 * HOUR),), days="weekends")
    tariff = Tariff(
        price=0.20 / KWH, rate=(night,), demand=(Demand(price=9.0 / KW, season=((8, 1, 8, 31),)),)
    )
    results = run(metered(tariff))
    cheap = (6 + 2 + 6) * 0.5
    used = results["bill_energy"].values.sum(axis=1)
    assert results["bill_energy_charge"].values == pytest.approx(
        [used[0] * 0.20, (used[1] - cheap) * 0.20 + cheap * 0.05], rel=1e-9
    )
    assert results["bill_demand_charge"].values == pytest.approx([0.0, 9.0 * 2.5 * 2.5 / 31], rel=1e-9)


def test_a_run_that_begins_off_the_clock_is_billed_by_the_clock():
    """From 13:53 to 14:22 on a weekday with the unit alone: 7 min cheap, 22 min dear."""
    pond = metered(BY_HOURS, hours=((6 * HOUR, 7 * HOUR),))
    period = replace(
        pond.period, start=datetime(2025, 7, 30, 13, 53), end=datetime(2025, 7, 30, 14, 22), output_step=60.0
    )
    results = run(replace(pond, period=period))
    exact = 0.5 * (7 / 60 * 0.10 + 22 / 60 * 0.30)
    assert float(results["bill_energy_charge"].sum()) == pytest.approx(exact, rel=1e-9)
    assert results["bill_peak_power"].values == pytest.approx([0.5], rel=1e-9)


def test_meter_measure_and_power_agree_where_power_follows_the_level(monkeypatch):
    """Power that falls with the pond: integral of the written power, kWh measure and meter are one number."""
    level = np.array([LEVEL - 3.0, LEVEL - 0.3, LEVEL + 2.0])
    table = LoopTable(level, np.array([0.0, 0.008, 0.02]), np.array([500.0, 1500.0, 3100.0]), level, -np.inf)
    monkeypatch.setattr(circulation, "loop_table", lambda scenario: table if scenario.pump else None)
    results = run(metered(BY_HOURS, ground=Ground(seepage=0.2 / DAY, temperature=WARM)))
    assert np.ptp(results["power_by_unit"].values[8:20, 0]) > 20.0
    by_meter = results["bill_energy"].values.sum(axis=0)
    written = results["power_by_unit"].values[1:].sum(axis=0) * HOUR / KWH
    measured = measures.electricity(results)
    assert by_meter == pytest.approx(written, rel=1e-9)
    assert [measured["circulation pump"], measured["air"]] == pytest.approx(by_meter, rel=1e-9)


def test_a_pond_without_equipment_pays_the_fixed_charge_and_is_kept_in_a_file(tmp_path):
    """The existing pond under the site's tariff: nothing used, 4.50 fixed; the file comes back alike."""
    bare = replace(metered(BY_HOURS), intake=None, pump=None, waterfall=None, aeration=())
    results = run(bare)
    save(results, tmp_path / "bare.nc")
    kept = load(tmp_path / "bare.nc")
    assert measures.money(kept) == pytest.approx({"energy": 0.0, "demand": 0.0, "fixed": 4.5, "all": 4.5})
    assert kept["month"].values.tolist() == ["2025-07", "2025-08"]


def test_bills_come_back_from_a_file(tmp_path, billed):
    save(billed, tmp_path / "billed.nc")
    kept = load(tmp_path / "billed.nc")
    assert measures.money(kept) == pytest.approx(measures.money(billed), rel=1e-12)
    assert kept["starts"].values.tolist() == [5, 1]
    assert kept.attrs["currency"] == "$"
    with_bill, without = compare([billed]), compare([kept])
    assert [row.key for row in with_bill.rows] == [row.key for row in without.rows]


def test_nothing_is_paid_and_nothing_runs_without_power():
    """From 10:00 to 16:00 of the first day the power is off: exactly nothing, no crumb of sums."""
    failed = Outage(start=START.replace(hour=10), end=START.replace(hour=16))
    results = run(metered(BY_HOURS, outage=(failed,)))
    hours = results["time"].values
    begin = np.datetime64(START.replace(hour=10), "ns")
    off = (hours > begin) & (hours <= begin + np.timedelta64(6, "h"))
    assert off.sum() == 6
    assert not results["electricity_cost"].values[off].any()
    assert not results["running_share"].values[off].any()
    assert results["electricity_cost"].values[-1] > 0.0
