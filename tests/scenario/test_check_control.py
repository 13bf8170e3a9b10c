# ruff: noqa: E501 (one row is one fault and its whole message)
"""Bad set points, outages and tariffs: file, line, key and words."""

from __future__ import annotations

import pytest

from pondsim.errors import ScenarioError
from pondsim.scenario.read import read_scenario
from tests.scenarios_for_tests import faults_of, minimal_design, write_design

LINES = len(minimal_design().splitlines())
SET_POINT = '[aeration.set_point]\nzone = "cove"\ndepth = "2 ft"\non_below = "4 mg/L"\noff_above = "5 mg/L"\n'
FLAT = '[tariff]\nprice = "0.14 $/kWh"\n'


def faults(tmp_path, extra):
    return faults_of(write_design(tmp_path, minimal_design() + extra))


def at(line: int, words: str) -> list[str]:
    return [f"design.toml:{LINES + line}: {words}"]


def test_a_whole_control_is_read(tmp_path):
    extra = (
        SET_POINT
        + '[[outage]]\nstart = "2025-07-05 14:00"\nduration = "6 h"\nsystems = ["pump", "pool air"]\n[[outage]]\nstart = "2025-07-08"\n'
        + '[tariff]\nfixed_charge = "25 $"\ndemand_price = "12 $/kW"\n'
        + '[[tariff.rate]]\nprice = "0.31 $/kWh"\nhours = ["14:00-20:00"]\ndays = "weekdays"\n'
        + '[[tariff.rate]]\nprice = "0.11 $/kWh"\nhours = ["20:00-14:00"]\ndays = "weekdays"\n'
        + '[[tariff.rate]]\nprice = "0.09 $/kWh"\ndays = "weekends"\n'
    )
    scenario = read_scenario(write_design(tmp_path, minimal_design() + extra))
    point, tariff = scenario.aeration[0].set_point, scenario.tariff
    assert (point.on_below, point.off_above) == pytest.approx((4e-3, 5e-3))
    assert (point.every, point.lag, point.bias, point.noise) == (300.0, 120.0, 0.0, 0.0)
    assert point.range == pytest.approx((0.0, 0.02))
    assert scenario.pump.minimum_rest == 600.0
    assert scenario.outage[0].systems == ("pump", "pool air")
    assert scenario.outage[1].duration is None
    assert [rate.price * 3.6e6 for rate in tariff.rate] == pytest.approx([0.31, 0.11, 0.09])
    assert (tariff.fixed_charge, tariff.demand_price * 1e3, tariff.currency) == (25.0, 12.0, "$")


@pytest.mark.parametrize(
    ("extra", "line", "message"),
    [
        (SET_POINT.replace('"cove"', '"coves"'), 2, 'aeration.pool air.set_point.zone = "coves" names no zone; did you mean "cove"? Zones: deep pool, cove.'),
        (SET_POINT.replace('"5 mg/L"', '"4 mg/L"'), 5, "aeration.pool air.set_point.off_above = 4 mg/L is not above on_below = 4 mg/L; it starts below the one and stops above the other."),
        (SET_POINT + 'range = ["0 mg/L", "5 mg/L"]\n', 5, "aeration.pool air.set_point.off_above = 5 mg/L is outside what the sensor reads, 0 mg/L to 5 mg/L: it would never stop."),
        (SET_POINT + 'range = ["4 mg/L", "20 mg/L"]\n', 4, "aeration.pool air.set_point.on_below = 4 mg/L is outside what the sensor reads, 4 mg/L to 20 mg/L: it would never start."),
        (SET_POINT + 'range = ["9 mg/L"]\n', 6, 'aeration.pool air.set_point.range is not a lowest and a highest reading; write such as ["0 mg/L", "20 mg/L"].'),
        (SET_POINT.replace('depth = "2 ft"\n', ""), 1, 'aeration.pool air.set_point does not say where the sensor hangs; write one of them, such as depth = "3 ft".'),
        (SET_POINT + 'elevation = "8 ft"\n', 1, 'aeration.pool air.set_point has both depth and elevation; write one of them, such as depth = "3 ft".'),
        (SET_POINT.replace('"2 ft"', '"6 ft"'), 3, 'aeration.pool air.set_point.depth puts the sensor at 4 ft (1.2192 m), out of the water of "cove", which lies between 5 ft (1.524 m) and normal pool, 10 ft (3.048 m).'),
        (SET_POINT.replace('"4 mg/L"', '"75 degF"'), 4, 'aeration.pool air.set_point.on_below = "75 degF" is a temperature; write a concentration, such as "5 mg/L" or "40 ug/L". A set point reads dissolved oxygen alone; for times of day and year write hours and season, and floats of the pump into [wet_well].'),
        (SET_POINT + 'variable = "temperature"\n', 6, "aeration.pool air.set_point.variable is an unknown key; a set point reads dissolved oxygen alone; for times of day and year write hours and season, and floats of the pump into [wet_well]."),
        (SET_POINT + 'on_above = "8 mg/L"\n', 6, "aeration.pool air.set_point.on_above is an unknown key; equipment starts on_below and stops off_above."),
        ('volts = "230 V"\n', 1, "aeration.pool air.volts stands without phases and power_factor; amps need volts, phases and power_factor."),
        ('volts = "230 V"\nphases = 2\npower_factor = 0.8\n', 2, "aeration.pool air.phases = 2 is not a supply; write 1 or 3."),
        ('volts = "230"\n', 1, 'aeration.pool air.volts = "230" has no unit; write a voltage, such as "230 V" or "460 V".'),
        ('[[outage]]\nstart = "2025-07-05"\nsystems = ["pool airs"]\n', 3, 'outage.1.systems names "pool airs", which is not in this design; did you mean "pool air"? Systems: pump, pool air.'),
        ('[[outage]]\nstart = "2025-07-05"\nend = "2025-07-05"\n', 3, "outage.1.end = 2025-07-05 00:00 is not after start."),
        ('[[outage]]\nstart = "2025-07-05"\nduration = "1 h"\nend = "2025-07-06"\n', 4, "outage.1.end stands beside duration; keep one of them."),
        ('[tariff]\nfixed_charge = "2 $"\n', 1, 'tariff has no price of energy; write price = "0.14 $/kWh", or [[tariff.rate]] sections.'),
        ('[tariff]\nprice = "-0.14 $/kWh"\n', 2, 'tariff.price = "-0.14 $/kWh" is too low; write a price of energy from 0 $/kWh to 10 $/kWh.'),
        ('[tariff]\nprice = "14"\n', 2, 'tariff.price = "14" has no unit; write a price of energy, such as "0.14 $/kWh" or "40 $/MWh".'),
        (FLAT + 'demand_interval = "7 min"\n', 3, "tariff.demand_interval = 7 min does not fill the hour; write 5, 10, 15, 30 or 60 min."),
        (FLAT + '[[tariff.rate]]\nprice = "0.3 $/kWh"\nhours = ["14:00-20:10"]\n', 5, 'tariff.rate.1.hours begin or end off the quarter hour; meters are read by the quarter hour, write such as "14:00-20:15".'),
        (FLAT + '[[tariff.rate]]\nprice = "0.3 $/kWh"\nhours = ["14:00-20:00"]\n[[tariff.rate]]\nprice = "0.2 $/kWh"\nhours = ["19:45-23:00"]\ndays = "weekends"\n', 6, "tariff.rate.2 prices hours that tariff.rate 1 prices too, such as 19:45 on weekends in July; let them lie apart."),
        ('[tariff]\n[[tariff.rate]]\nprice = "0.3 $/kWh"\nhours = ["07:00-21:00"]\ndays = "weekdays"\n', 1, "tariff leaves hours without a price: 00:00-07:00, 21:00-24:00 on weekdays in July; 00:00-24:00 on weekends in July. Write price for all hours left."),
        (FLAT + '[[tariff.demand]]\nprice = "9 $/kW"\nseason = ["06-01 to 09-15"]\n', 5, "tariff.demand.1.season holds for a part of September; write whole months."),
        (FLAT + '[[tariff.demand]]\nprice = "9 $/kW"\nseason = ["06-01 to 09-30"]\n[[tariff.demand]]\nprice = "8 $/kW"\nseason = ["09-01 to 09-30"]\n', 8, "tariff.demand.2.season has September, which tariff.demand 1 prices too."),
    ],
)  # fmt: skip
def test_each_fault_is_told_with_its_place(tmp_path, extra, line, message):
    assert faults(tmp_path, extra) == at(line, message)


def test_a_demand_of_all_february_is_whole(tmp_path):
    extra = FLAT + '[[tariff.demand]]\nprice = "9 $/kW"\nseason = ["02-01 to 02-28"]\n'
    tariff = read_scenario(write_design(tmp_path, minimal_design() + extra)).tariff
    assert tariff.demand[0].price == pytest.approx(9e-3)


def test_the_circulation_pump_keeps_its_name(tmp_path):
    design = minimal_design().replace('"pool air"', '"pump"') + '[[outage]]\nstart = "2025-07-05"\n'
    path = write_design(tmp_path, design)
    with pytest.raises(ScenarioError, match='"pump" is what an outage calls the circulation pump'):
        read_scenario(path)
