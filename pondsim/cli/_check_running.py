"""What switches the equipment and what it costs, on the design sheet: set points, outages, tariff, amps."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pondsim.cli._check_text import hanging
from pondsim.units import display, number_text, show

if TYPE_CHECKING:
    from datetime import date

    from pondsim.design.running import Amps, TimerCost
    from pondsim.scenario.settings import Aeration, Outage, Pump, Scenario, Tariff

MINUTE = 60.0  # s


def running_text(scenario: Scenario, system: str) -> list[str]:
    """Parts of the sheet: what switches, outages, tariff, amps; only those of which the file speaks."""
    from pondsim.design.running import amps_of, timer_cost  # noqa: PLC0415

    cost = timer_cost(scenario)
    parts = [
        ("Switched by an oxygen sensor", _set_points(scenario, system)),
        ("Outages", [_outage(one) for one in scenario.outage]),
        ("Electricity tariff", _tariff(scenario.tariff, scenario) if scenario.tariff else []),
        ("Current, informational: the licensed electrician decides", [_amps(a) for a in amps_of(scenario)]),
    ]
    if cost is not None:
        parts[2][1].append(_cost(cost, scenario))
    return ["\n".join([head, *(hanging(line) for line in lines)]) for head, lines in parts if lines]


def switched(scenario: Scenario) -> bool:
    """Whether a set point rules any equipment, so that timers say only how long it runs at most."""
    return any(one.set_point is not None for _, one in _equipment(scenario))


def _equipment(scenario: Scenario) -> list[tuple[str, Pump | Aeration]]:
    found: list[tuple[str, Pump | Aeration]] = [("pump", scenario.pump)] if scenario.pump else []
    return found + [(unit.name, unit) for unit in scenario.aeration]


def _set_points(scenario: Scenario, system: str) -> list[str]:
    lines = []
    for name, one in _equipment(scenario):
        point = one.set_point
        if point is None:
            continue
        place = (
            f"{display(point.depth, 'length', system)} under the surface"
            if point.depth is not None
            else f"at {display(point.elevation or 0.0, 'length', system, 5)}"
        )
        lines.append(
            f"{name}: on below {show(point.on_below, 'mg/L')}, off above {show(point.off_above, 'mg/L')}; "
            f"sensor in {point.zone}, {place}, read every {number_text(point.every / MINUTE)} min; minimum "
            f"run {number_text(one.minimum_run / MINUTE)} min, minimum rest "
            f"{number_text(one.minimum_rest / MINUTE)} min"
        )
        if point.bias or point.noise:
            bias, noise = show(point.bias, "mg/L"), show(point.noise, "mg/L")
            lines.append(f"{name}: sensor bias {bias} high, noise {noise}")
    return lines


def _outage(outage: Outage) -> str:
    from datetime import timedelta  # noqa: PLC0415

    end = outage.end
    if end is None and outage.duration is not None:
        end = outage.start + timedelta(seconds=outage.duration)
    until = f"to {end:%Y-%m-%d %H:%M}" if end else "until the period ends"
    return f"{outage.start:%Y-%m-%d %H:%M} {until}: {', '.join(outage.systems) or 'all equipment'}"


def _tariff(tariff: Tariff, scenario: Scenario) -> list[str]:
    from pondsim.site.bill import months_run, prices_of  # noqa: PLC0415

    prices = sorted({float(price) for day in _days(scenario) for price in prices_of(tariff, day)})
    named = [number_text(price * 3.6e6) for price in prices]
    price = " to ".join(dict.fromkeys((named[0], named[-1]))) + f" {tariff.currency}/kWh"
    demand = [one.price * 1e3 for one in tariff.demand]
    demand += [tariff.demand_price * 1e3] if tariff.demand_price is not None else []
    lines = [f"energy {price} in the period, by {_many(len(prices), 'price')}"]
    if demand:
        ends = " to ".join(dict.fromkeys(number_text(one) for one in (min(demand), max(demand))))
        lines.append(
            f"highest power of each month {ends} {tariff.currency}/kW, mean over "
            f"{number_text(tariff.demand_interval / MINUTE)} min"
        )
    if tariff.fixed_charge:
        months = len(months_run(scenario.period))
        lines.append(
            f"fixed charge {number_text(tariff.fixed_charge)} {tariff.currency} a month; the period touches "
            f"{_many(months, 'month')}"
        )
    return lines


def _days(scenario: Scenario) -> list[date]:
    from datetime import timedelta  # noqa: PLC0415

    start = scenario.period.start
    last = scenario.period.end - timedelta(microseconds=1)
    return [start.date() + timedelta(days=n) for n in range((last.date() - start.date()).days + 1)]


def _many(count: int, word: str) -> str:
    return f"{count} {word}{'' if count == 1 else 's'}"


def _cost(cost: TimerCost, scenario: Scenario) -> str:
    from pondsim.comparison.names import money_text  # noqa: PLC0415

    most = "at most " if switched(scenario) else ""
    parts = {"energy": cost.energy, "highest power": cost.demand, "fixed": cost.fixed}
    told = ", ".join(f"{part} {amount:.0f}" for part, amount in parts.items())
    return (
        "estimate, no run: if all equipment follows its timers at normal pool, "
        f"{most}{money_text(cost.all, cost.currency)} in the period ({told})"
    )


def _amps(one: Amps) -> str:
    of = "nameplate full load" if one.full_load else "as it runs at normal pool"
    supply = f"{number_text(one.volts)} V, {_many(one.phases, 'phase')}"
    power = display(one.power, "power")
    return (
        f"{one.system}: {number_text(one.current)} A each motor, {of}: {power} electric on {supply}, power "
        f"factor {number_text(one.power_factor)}; starting draws several times as much"
    )
