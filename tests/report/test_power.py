"""Electricity on the page: the bill by month and system, outages, the wet well, moments of switching."""

from __future__ import annotations

import json

import numpy as np
import pytest

from pondsim.reporting import events, power, report
from tests.report.page_reader import Page, keep_parts
from tests.results.ponds import small_pond

LOOKED_AT = (events.harm_part, power.power_part)
EVENTS = [
    ("2025-06-03 15:00:00", "pump", "outage begins"),
    ("2025-06-03 15:00:00", "night_air", "outage begins"),
    ("2025-06-04 09:00:00", "pump", "outage ends"),
    ("2025-06-04 09:00:00", "night_air", "outage ends"),
    ("2025-06-20 00:00:00", "night_air", "outage begins"),
    *((f"2025-06-2{day} 05:30:00", "pump", "tripped") for day in range(1, 10)),
]


def equipped(currency="$", **attributes):
    """A loop with night air, two months of bills, a wet well that fell to 98.4 m, 14 moments."""
    events = json.dumps([dict(zip(("time", "system", "what"), row, strict=True)) for row in EVENTS])
    pond = small_pond(title="loop", pumped=0.01, currency=currency, events=events, **attributes)
    well = np.full(pond.sizes["time"], 99.6)
    well[77] = 98.4
    return pond.assign_coords(month=["2025-06", "2025-07"], system=["pump", "night_air"]).assign(
        bill_energy=(("month", "system"), [[700.5, 20.5], [230.0, 9.0]]),
        bill_energy_charge=("month", [86.25, 29.0]),
        bill_peak_power=("month", [1.25, 1.5]),
        bill_demand_charge=("month", [12.5, 5.0]),
        bill_fixed_charge=("month", [20.0, 6.0]),
        starts=("system", [12.0, 40.0]),
        trips=("system", [9.0, 0.0]),
        running_share=(("time", "system"), np.full((pond.sizes["time"], 2), [0.75, 0.5])),
        well_level=("time", well),
    )


@pytest.fixture(autouse=True)
def only_what_is_looked_at(monkeypatch):
    keep_parts(monkeypatch, *LOOKED_AT)


@pytest.fixture(scope="module")
def made():
    layout = json.dumps({"wet_well": {"pump_off": 98.1}})
    with pytest.MonkeyPatch.context() as patch:
        keep_parts(patch, *LOOKED_AT)
        return report([small_pond(title="existing"), equipped(layout=layout)])


def lines(made, table):
    return made.tables[table].replace('"', "").splitlines()


def test_bill_by_month_with_the_highest_power(made):
    bill = lines(made, "bill")
    assert "No tariff is given" not in made.html
    assert "energy charge, $,2025-06,,86.25" in bill
    assert "highest power, kW,2025-07,,1.50" in bill
    assert "demand charge, $,2025-07,,5.00" in bill
    assert "fixed charge, $,2025-06,,20.00" in bill
    assert "all charges, $,whole run,,158.75" in bill


def test_energy_on_the_bill_by_system(made):
    energy = lines(made, "bill_energy")
    assert "pump, kWh,2025-06,,700.5" in energy
    assert "night_air, kWh,2025-07,,9.0" in energy


def test_hours_starts_and_trips_over_the_run(made):
    """40 days at 0.75 and 0.5 are 720 and 480 h."""
    table = lines(made, "electricity")
    assert "Hours run, h,pump,0,720,720" in table
    assert "Hours run, h,night_air,0,480,480" in table
    assert "Trips,pump,0,9,9" in table


def test_outages_are_named_with_what_they_stopped(made):
    text = Page(made.html).text
    assert "without power from 2025-06-03 15:00 to 2025-06-04 09:00: pump and night_air." in text
    assert "without power from 2025-06-20 00:00 until the run ends: night_air." in text


def test_the_lowest_water_in_the_well_stands_beside_pump_off(made):
    """98.4 m is 322.83 ft, 98.1 m is 321.85 ft, 0.3 m is 0.98 ft (ft = 0.3048 m)."""
    text = Page(made.html).text
    assert "the wet well stood lowest at 322.83 ft, 0.98 ft over pump-off (321.85 ft)." in text
    assert "the wet well stood lowest at 98.40 m, 0.30 m over pump-off (98.10 m)." in text


def test_the_first_moments_are_listed_and_all_are_counted(made):
    rows = lines(made, "switching")
    assert len(rows) == 1 + 12
    assert rows[1] == "loop: the first 12 of 14,2025-06-03 15:00,pump,outage begins"


def test_results_that_do_not_say_are_reported_without(made):
    """Pump-off unknown, and a currency other than the dollar."""
    other = report([small_pond(title="existing"), equipped(currency="EUR")])
    assert "the wet well stood lowest at 322.83 ft." in Page(other.html).text
    assert "all charges, EUR,whole run,,158.75" in lines(other, "bill")
    bare = report([small_pond(title="existing"), small_pond(title="loop", pumped=0.01)])
    assert not {"bill", "bill_energy", "switching"} & set(bare.tables)
    assert "No tariff is given" in bare.html
