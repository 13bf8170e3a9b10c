"""The service calendar of a design: what is looked at, cleaned and replaced, month by month."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from pondsim.design.trench import silting, trench_sheet
from pondsim.design.well import VALVES, draining
from pondsim.scenario.settings import Aeration, Pump, Scenario, in_season
from pondsim.site.circulation_line import flow_at_normal_pool
from pondsim.site.timers import ALL_DAY

WEEKLY, ONCE = "w", "x"
WINTER = (12, 1, 2)
COLD_FROM = math.radians(30.0)  # latitude, either sign, from which still water may freeze (judgement)
MEMBRANE_YEARS, REBUILD_YEARS = "5 to 10", "2 to 4"  # of use; common practice, no source
PUMP_YEARS = "10"  # median of an opinion survey of sump and well pumps
ALL_YEAR = ((1, 1, 12, 31),)
FIRST_START = "in cool weather, early in the afternoon, never at dawn; read the meter at dawn"
A_YEAR = 2025  # any; a season is read on the fifteenth of its months


@dataclass(frozen=True)
class Task:
    """One row of the calendar.

    Attributes
    ----------
    part : of the equipment
    name : what is done
    months : twelve marks, January first: "w" every week, "x" once, "" not
    note : how, and the numbers of this design
    """

    part: str
    name: str
    months: tuple[str, ...]
    note: str = ""


def running_months(equipment: Pump | Aeration) -> tuple[int, ...]:
    """Months in which a timer lets it run, by the middle of the month."""
    return tuple(m for m in range(1, 13) if in_season(date(A_YEAR, m, 15), equipment.season))


def winter_months(scenario: Scenario) -> tuple[int, ...]:
    """Months in which ice may lie; none near the equator."""
    if abs(scenario.place.latitude) < COLD_FROM:
        return ()
    return WINTER if scenario.place.latitude > 0.0 else tuple((month + 5) % 12 + 1 for month in WINTER)


def runs_in_winter(scenario: Scenario) -> bool:
    """Whether a timer lets any equipment run in a month in which ice may lie."""
    some: list[Pump | Aeration] = [*scenario.aeration, *([scenario.pump] if scenario.pump else [])]
    return any(set(winter_months(scenario)) & set(running_months(one)) for one in some)


def starts_by_itself(scenario: Scenario) -> bool:
    """Whether a timer, a sensor or a float starts any equipment."""
    some: list[Pump | Aeration] = [*scenario.aeration, *([scenario.pump] if scenario.pump else [])]
    floats = scenario.pump is not None and scenario.wet_well is not None
    return floats or any(
        one.hours not in ((), ALL_DAY) or one.season not in ((), ALL_YEAR) or one.set_point is not None
        for one in some
    )


def _marks(months: tuple[int, ...], mark: str = ONCE) -> tuple[str, ...]:
    return tuple(mark if month in months else "" for month in range(1, 13))


def _before(months: tuple[int, ...]) -> int:
    """Month before the season begins; March where it runs all year."""
    starts = [m for m in months if (m - 2) % 12 + 1 not in months]
    return (starts[0] - 2) % 12 + 1 if starts else 3


def _after(months: tuple[int, ...]) -> int:
    """Month after the season ends; November where it runs all year."""
    ends = [m for m in months if m % 12 + 1 not in months]
    return ends[-1] % 12 + 1 if ends else 11


def service_calendar(scenario: Scenario) -> tuple[Task, ...]:
    """Everything the equipment of a scenario asks for; empty where there is none. Raises: nothing.

    How often is common practice, no source; the makers' sheets go first.
    """
    found: list[Task] = []
    if scenario.pump is not None:
        found += _loop(scenario, scenario.pump)
    for unit in scenario.aeration:
        found += _air(unit)
    if found and runs_in_winter(scenario):
        marks = _marks(winter_months(scenario), WEEKLY)
        found.append(Task("ice", "signs and fence at thin ice", marks, "nobody on the ice of this pond"))
    if found:
        months = tuple(range(4, 11))
        found.append(
            Task("pond", "oxygen at dawn, top and bottom", _marks(months), "at the worst place the run names")
        )
        found.append(Task("pond", "banks, pipes through slopes, outlet walked", _marks((3, 9))))
    return tuple(found)


def _loop(scenario: Scenario, pump: Pump) -> Iterator[Task]:
    months = running_months(pump)
    first, last = _before(months), _after(months)
    if scenario.intake is not None and scenario.intake.grate_area is not None:
        yield Task("intake", "grate raked, pump off", _marks(months, WEEKLY), "every day while leaves fall")
    yield Task("intake", "muck pole at the intake and along the trench", _marks((first,)), _pole(scenario))
    if scenario.trench is not None and scenario.trench.sump_depth > 0.0:
        yield Task("intake", "sump emptied", _marks((last,)), _sump(scenario))
    line = scenario.gravity_line
    if line is not None and any(name in VALVES for _, name in line.fittings):
        yield Task("gravity line", "isolation valve shut and opened once", _marks((first, last)))
    if scenario.wet_well is not None:
        yield Task("wet well", "floats and alarm lifted by hand", _marks((first, months[len(months) // 2])))
        yield Task("wet well", "drained and cleaned, valve shut", _marks((last,)), _drain(scenario))
    yield Task("pump", "amps, gauge, lip depth recorded", _marks(months), "`pondsim commission` reads them")
    yield Task(
        "pump", "pulled, seal and oil by its maker's sheet", _marks((last,)), f"life some {PUMP_YEARS} years"
    )
    yield Task("waterfall", "lip leveled and cleaned, leaks", _marks(months[::2]))
    if not set(winter_months(scenario)) & set(months):
        yield Task("discharge", "drained before frost, filled again", _marks((last, first)))


def _pole(scenario: Scenario) -> str:
    sheet = trench_sheet(scenario)
    if sheet is None or scenario.intake is None:
        return "record the bed elevation; compare with last year"
    bed, opening = (value / 0.3048 for value in (sheet.bed[0], sheet.bed[0] + sheet.under_intake))
    return f"bed {bed:.2f} ft as sounded; the bottom of the opening is at {opening:.2f} ft"


def _sump(scenario: Scenario) -> str:
    drawn = silting(scenario)
    if not drawn:
        return "state trench.growth and its volume of a year is known"
    years = "every year" if drawn[0].low <= 2.0 else f"at least every {int(drawn[0].low)} years"
    return f"{years}; some {drawn[0].yearly / 0.764555:.2f} yd3 a year"


def _drain(scenario: Scenario) -> str:
    flow = flow_at_normal_pool(scenario)
    found = draining(scenario, flow or 0.0)
    if found is None or not flow:
        return "never entered without an air test, an attendant and retrieval gear"
    gallon = 3.785411784e-3
    return (
        f"{found.own_pump / 60.0:.0f} min by its own pump, then {found.rest / gallon:.0f} gal by a "
        "portable one; "
        "never entered without an air test, an attendant and retrieval gear; an empty well can float"
    )


def _air(unit: Aeration) -> Iterator[Task]:
    months = running_months(unit)
    first, last = _before(months), _after(months)
    part = f"air, {unit.name}"
    yield Task(part, "intake filter changed", _marks(months[::3]))
    yield Task(part, "pressure recorded, lines blown out", _marks(months), "rising: diffusers foul")
    yield Task(part, "first start: minutes a day, oxygen watched", _marks((first,)), FIRST_START)
    if unit.source == "compressor":
        yield Task(part, "rebuild kit", _marks((last,)), f"after {REBUILD_YEARS} years of running")
    elif unit.source == "blower":
        yield Task(part, "oil and belt by its maker's sheet", _marks((first, last)))
    if unit.kind != "coarse":
        yield Task(part, "membranes inspected, cleaned", _marks((last,)), f"new after {MEMBRANE_YEARS} years")
