"""Own limits that no run of a scenario can judge, and why."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, time, timedelta

from pondsim.scenario.settings import OwnLimit, Scenario, in_season, lowest_bed, quantity_of
from pondsim.units import display

DAY = timedelta(days=1)


def limits_not_judged(scenario: Scenario, system: str = "us") -> list[str]:
    """A sentence for each own limit that a run of this scenario cannot judge; each names the first cause."""
    found = []
    for limit in scenario.judging.limit:
        why = next(_causes(limit, scenario, system), "")
        if why:
            found.append(f'The limit "{limit.name}" cannot be judged: {why}.')
    return found


def _causes(limit: OwnLimit, scenario: Scenario, system: str) -> Iterator[str]:
    daily = limit.statistic not in ("instantaneous", "whole run")
    longest = _longest(limit, scenario, whole=daily)
    if not longest:
        yield "no day of its season lies in the period"
    elif longest < limit.days:
        yield (
            f"it averages {limit.days} days in a row, and the longest part of its season in the period has "
            f"{longest}"
        )
    if limit.at == "intake" and scenario.intake is None:
        yield "this design has no intake"
    quantity = quantity_of(limit)[0]
    comes_in = scenario.inflow or scenario.base_flow or scenario.drainage
    of_inflow = quantity == "temperature_rise" and limit.against == "inflow"
    if (of_inflow or quantity == "solids_removal") and not comes_in:
        yield "the pond has no inflow"
    if limit.at == "zones" and quantity in ("oxygen", "temperature", "temperature_rise"):
        zones = [limit.zone] if limit.zone else [zone.name for zone in scenario.zone]
        depth = scenario.pond.normal_pool - min(lowest_bed(scenario.zone, zone) for zone in zones)
        if limit.from_depth > depth:
            yield (
                f"{limit.zone or 'every zone'} is at most {display(depth, 'length', system)} deep at normal "
                f"pool, and it is read from {display(limit.from_depth, 'length', system)} down"
            )


def _longest(limit: OwnLimit, scenario: Scenario, *, whole: bool) -> int:
    """Most days in a row that lie in the season of a limit and, wholly or in part, in the period."""
    begin, end = scenario.period.start, scenario.period.end
    day = datetime.combine(begin.date(), time(), begin.tzinfo)
    if whole and day < begin:
        day += DAY
    longest = running = 0
    while day < end and (not whole or day + DAY <= end):
        running = running + 1 if in_season(day.date(), limit.season) else 0
        longest = max(longest, running)
        day += DAY
    return longest
