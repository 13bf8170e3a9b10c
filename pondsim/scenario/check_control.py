"""Checks of what switches equipment and of what electricity costs.

Each takes the scenario and yields dotted keys with a message that continues a sentence begun with the key.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from datetime import date, timedelta

from pondsim.scenario.check_pond import Fault, length, no_zone
from pondsim.scenario.settings import Scenario
from pondsim.scenario.settings_control import QUARTER, QUARTERS, Demand, Outage, SetPoint, Tariff, in_season
from pondsim.scenario.unreadable import likely
from pondsim.units import show

PUMP = "pump"  # name of the circulation pump in an outage
MONTHS = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)
DEMAND_INTERVALS = (300.0, 600.0, 900.0, 1800.0, 3600.0)  # s; those that fill the hour


def set_points(scenario: Scenario) -> Iterator[Fault]:
    """Sensors hang in water, and their readings can switch."""
    given = [("pump.set_point", scenario.pump.set_point)] if scenario.pump else []
    given += [(f"aeration.{unit.name}.set_point", unit.set_point) for unit in scenario.aeration]
    for key, one in given:
        if one is not None:
            yield from _sensor(key, one, scenario)
            yield from _readings(key, one)


def _sensor(key: str, one: SetPoint, scenario: Scenario) -> Iterator[Fault]:
    yield from no_zone(f"{key}.zone", one.zone, scenario)
    if (one.depth is None) == (one.elevation is None):
        said = (
            "has both depth and elevation" if one.depth is not None else "does not say where the sensor hangs"
        )
        yield key, f'{said}; write one of them, such as depth = "3 ft".'
        return
    surface = scenario.pond.normal_pool
    for zone in scenario.zone:
        if zone.name != one.zone:
            continue
        place = surface - one.depth if one.depth is not None else one.elevation
        if place is not None and not zone.stage[0] <= place <= surface:
            name = "depth" if one.depth is not None else "elevation"
            yield (
                f"{key}.{name}",
                f'puts the sensor at {length(place)}, out of the water of "{zone.name}", which lies between '
                f"{length(zone.stage[0])} and normal pool, {length(surface)}.",
            )


def _readings(key: str, one: SetPoint) -> Iterator[Fault]:
    if len(one.range) != 2 or one.range[0] >= one.range[1]:
        yield f"{key}.range", 'is not a lowest and a highest reading; write such as ["0 mg/L", "20 mg/L"].'
        return
    low, high = one.range
    span = f"{show(low, 'mg/L')} to {show(high, 'mg/L')}"
    if one.on_below >= one.off_above:
        yield (
            f"{key}.off_above",
            f"= {show(one.off_above, 'mg/L')} is not above on_below = {show(one.on_below, 'mg/L')}; "
            "it starts below the one and stops above the other.",
        )
    # a reading never leaves the range: below its low end nothing starts, above its high end nothing stops
    if not low < one.on_below <= high:
        value = show(one.on_below, "mg/L")
        yield f"{key}.on_below", f"= {value} is outside what the sensor reads, {span}: it would never start."
    if not low <= one.off_above < high:
        value = show(one.off_above, "mg/L")
        yield f"{key}.off_above", f"= {value} is outside what the sensor reads, {span}: it would never stop."


def outages(scenario: Scenario) -> Iterator[Fault]:
    """An outage names equipment that is there, and ends after it began."""
    known = ([PUMP] if scenario.pump else []) + [unit.name for unit in scenario.aeration]
    for place, outage in enumerate(scenario.outage, 1):
        key = f"outage.{place}"
        for name in outage.systems:
            if name not in known:
                there = f"Systems: {', '.join(known)}." if known else "This design has no equipment."
                yield (
                    f"{key}.systems",
                    f'names "{name}", which is not in this design{likely(name, known) or "."} {there}',
                )
        yield from _lasts(key, outage)
    if scenario.outage and any(unit.name == PUMP for unit in scenario.aeration):
        yield (
            f"aeration.{PUMP}.name",
            f'= "{PUMP}" is what an outage calls the circulation pump; choose another.',
        )


def _lasts(key: str, outage: Outage) -> Iterator[Fault]:
    if outage.end is None:
        return
    if outage.duration is not None:
        yield f"{key}.end", "stands beside duration; keep one of them."
    elif outage.end <= outage.start:
        yield f"{key}.end", f"= {outage.end:%Y-%m-%d %H:%M} is not after start."


def tariff(scenario: Scenario) -> Iterator[Fault]:
    """Every hour of the period has one price, every month at most one price of its highest power."""
    given = scenario.tariff
    if given is None:
        return
    if given.demand_interval not in DEMAND_INTERVALS:
        yield (
            "tariff.demand_interval",
            f"= {show(given.demand_interval, 'min')} does not fill the hour; write 5, 10, 15, 30 or 60 min.",
        )
    on_quarters = True
    for place, rate in enumerate(given.rate, 1):
        if any(moment % QUARTER for span in rate.hours for moment in span):
            on_quarters = False
            yield (
                f"tariff.rate.{place}.hours",
                "begin or end off the quarter hour; meters are read by the quarter hour, write such as "
                '"14:00-20:15".',
            )
    if given.price is None and not given.rate:
        yield "tariff", 'has no price of energy; write price = "0.14 $/kWh", or [[tariff.rate]] sections.'
    elif on_quarters:
        days = [
            scenario.period.start.date() + timedelta(days=n)
            for n in range((scenario.period.end - scenario.period.start).days + 2)
        ]
        last = (scenario.period.end - timedelta(seconds=1)).date()
        yield from _hours_priced(given, [day for day in days if day <= last])
    yield from _demand_priced(given.demand)


def _hours_priced(given: Tariff, days: list[date]) -> Iterator[Fault]:
    """Hours of the period without a price, and those with two."""
    none: dict[tuple[str, str], Counter[int]] = {}
    twice: dict[tuple[int, int], tuple[str, str, int]] = {}
    priced: dict[tuple[tuple[bool, ...], ...], list[list[int]]] = {}  # most days are alike
    for day in days:
        kind = "weekends" if day.weekday() >= 5 else "weekdays"
        table = tuple(rate.quarters(day) for rate in given.rate)
        if table not in priced:
            priced[table] = [[place for place, row in enumerate(table, 1) if row[q]] for q in range(QUARTERS)]
        holds = priced[table]
        bare = tuple(not one for one in holds)
        if any(bare) and given.price is None:
            none.setdefault((kind, spans_text(bare)), Counter())[day.month] += 1
        for quarter, one in enumerate(holds):
            if len(one) > 1:
                twice.setdefault((one[0], one[1]), (kind, MONTHS[day.month - 1], quarter))
    for (first, second), (kind, month, quarter) in twice.items():
        at = f"{quarter // 4:02}:{quarter % 4 * 15:02}"
        yield (
            f"tariff.rate.{second}",
            f"prices hours that tariff.rate {first} prices too, such as {at} on {kind} in {month}; "
            "let them lie apart.",
        )
    if none:
        told = "; ".join(
            f"{hours} on {kind} in {_months_text(sorted(months))}" for (kind, hours), months in none.items()
        )
        yield "tariff", f"leaves hours without a price: {told}. Write price for all hours left."


def spans_text(quarters: tuple[bool, ...]) -> str:
    """Spans of the day in which a condition holds, such as ``00:00-07:00, 21:00-24:00``."""
    edges = [q for q in range(QUARTERS + 1) if (q < QUARTERS and quarters[q]) != (q > 0 and quarters[q - 1])]
    clock = [f"{q // 4:02}:{q % 4 * 15:02}" for q in edges]
    return ", ".join(f"{a}-{b}" for a, b in zip(clock[::2], clock[1::2], strict=True))


def _months_text(months: list[int]) -> str:
    runs: list[list[int]] = []
    for month in months:
        if runs and month == runs[-1][-1] + 1:
            runs[-1].append(month)
        else:
            runs.append([month])
    return ", ".join(
        MONTHS[run[0] - 1] + (f" to {MONTHS[run[-1] - 1]}" if len(run) > 1 else "") for run in runs
    )


def _demand_priced(demand: tuple[Demand, ...]) -> Iterator[Fault]:
    year = [date(2024, 1, 1) + timedelta(days=n) for n in range(366)]
    seen: dict[int, int] = {}
    for place, one in enumerate(demand, 1):
        days = Counter(day.month for day in year if in_season(day, one.season))
        for month, count in days.items():
            whole = sum(1 for day in year if day.month == month)
            if count not in (whole, 28 if month == 2 else whole):
                yield (
                    f"tariff.demand.{place}.season",
                    f"holds for a part of {MONTHS[month - 1]}; write whole months.",
                )
            if month in seen:
                yield (
                    f"tariff.demand.{place}.season",
                    f"has {MONTHS[month - 1]}, which tariff.demand {seen[month]} prices too.",
                )
            seen.setdefault(month, place)
