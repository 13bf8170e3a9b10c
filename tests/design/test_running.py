"""Amps and the cost by timers, against arithmetic by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from pondsim.cli._check_running import running_text
from pondsim.design.running import amps_of, line_current, timer_cost
from pondsim.scenario.read import read_scenario
from tests.results.test_design import ONE_ZONE
from tests.scenarios_for_tests import minimal_site

WEATHER = ("air_temperature", "daily_range", "dew_point", "wind_speed", "cloud_cover")
TARIFF = """
[tariff]
price = "0.10 $/kWh"
demand_price = "10 $/kW"
fixed_charge = "12 $"
[[tariff.rate]]
price = "0.30 $/kWh"
hours = ["14:00-20:00"]
days = "weekdays"
"""
SENSOR = """
[aeration.set_point]
zone = "pond"
elevation = "103 ft"
on_below = "4 mg/L"
off_above = "5 mg/L"
every = "15 min"
bias = "0.5 mg/L"
"""
OUTAGES = """
[[outage]]
start = "2025-06-10 15:00"
duration = "18 h"
[[outage]]
start = "2025-06-20"
systems = ["air"]
"""
MONTHS = "".join(  # of the weather
    line for line in minimal_site().splitlines(keepends=True) if line.split(" = ")[0] in WEATHER
)
SUPPLY = 'volts = "230 V"\nphases = {}\npower_factor = {}\n'


@pytest.fixture
def scenario(tmp_path):
    def read(*, air="", pump="", extra=""):
        text = ONE_ZONE.replace("[pump]\n", f'[pump]\npower = "2 kW"\n{pump}')
        text = text.replace('power = "500 W"\n', f'power = "500 W"\n{air}') + MONTHS + extra
        path = tmp_path / "one.toml"
        path.write_text(text, encoding="utf-8")
        return read_scenario(path)

    return read


def test_line_current_of_one_and_of_three_phases():
    """4600 W at 230 V is 20 A, 25 A at a power factor of 0.8; three phases share it by the root of 3."""
    assert line_current(4600.0, 230.0, 1, 1.0) == pytest.approx(20.0)
    assert line_current(4600.0, 230.0, 1, 0.8) == pytest.approx(25.0)
    assert line_current(4600.0, 230.0, 3, 0.8) == pytest.approx(25.0 / 1.7320508, rel=1e-7)


def test_amps_by_the_nameplate_else_as_it_runs(scenario):
    """5 hp = 3728.5 W of shaft / 0.86 = 4335.5 W; / (1.73205 x 230 V x 0.82) = 13.27 A.

    500 W / 230 V / 0.9 = 2.415 A.
    """
    pump = SUPPLY.format(3, 0.82) + 'nameplate_power = "5 hp"\nmotor_efficiency = 0.86\n'
    found = amps_of(scenario(pump=pump, air=SUPPLY.format(1, 0.9)))
    assert [one.system for one in found] == ["pump", "air"]
    assert [one.current for one in found] == pytest.approx([13.27, 2.415], abs=5e-3)
    assert [one.full_load for one in found] == [True, False]
    assert amps_of(scenario()) == ()


def test_two_pumps_without_a_nameplate_share_the_power(scenario):
    """2 kW of two pumps: 1 kW each, / 230 V / 0.8 = 5.435 A."""
    (one,) = amps_of(scenario(pump=SUPPLY.format(1, 0.8) + "count = 2\n"))
    assert one.current == pytest.approx(5.435, abs=5e-4)


def test_cost_by_timers_of_one_june(scenario):
    """June 2025 has 21 weekdays. Pump 2 kW x 12 h x 30 at 0.10, off from 14 to 20: 72 $.

    Air 0.5 kW: 63 kWh of 21 afternoons at 0.30 and 297 kWh at 0.10: 48.60 $. Demand 2.5 kW x 10, fixed 12.
    """
    cost = timer_cost(scenario(extra=TARIFF))
    assert cost.energy == pytest.approx(120.60, rel=1e-9)
    assert (cost.demand, cost.fixed) == pytest.approx((25.0, 12.0), rel=1e-9)
    assert cost.all == pytest.approx(157.60, rel=1e-9)
    assert timer_cost(scenario()) is None


def test_cost_of_a_part_of_a_month_and_of_no_equipment(scenario):
    """Half of June: half of demand and fixed charge. Nothing running: the fixed charge alone."""
    whole = scenario(extra=TARIFF)
    half = replace(whole, period=replace(whole.period, end=whole.period.start.replace(day=16)))
    assert (timer_cost(half).demand, timer_cost(half).fixed) == pytest.approx((12.5, 6.0), rel=1e-9)
    bare = replace(whole, intake=None, pump=None, waterfall=None, aeration=())
    assert timer_cost(bare).all == pytest.approx(12.0)


def test_sheet_says_what_switches_what_fails_and_what_it_costs(scenario):
    one = scenario(air=SENSOR, extra=OUTAGES + TARIFF)
    sensor, outages, tariff = (" ".join(part.split()) for part in running_text(one, "us"))
    assert "air: on below 4 mg/L, off above 5 mg/L; sensor in pond, at 103 ft, read every 15 min" in sensor
    assert "sensor bias 0.5 mg/L high, noise 0 mg/L" in sensor
    assert "2025-06-10 15:00 to 2025-06-11 09:00: all equipment" in outages
    assert "2025-06-20 00:00 until the period ends: air" in outages
    assert "energy 0.1 to 0.3 $/kWh" in tariff and "highest power of each month 10 $/kW" in tariff
    assert "estimate, no run" in tariff and "at most $158 in the period" in tariff


def test_sheet_shows_amps_and_who_decides(scenario):
    (part,) = running_text(scenario(air=SUPPLY.format(1, 0.9)), "si")
    assert "licensed electrician decides" in part
    assert "air: 2.42 A each motor, as it runs at normal pool" in " ".join(part.split())
    assert running_text(scenario(), "us") == []
