"""Own limits that no run of a scenario can judge, and why."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, time, timedelta

from pondsim.records import Record
from pondsim.scenario.dredging import bed_at
from pondsim.scenario.settings import OwnLimit, Scenario, in_season, quantity_of

DAY = timedelta(days=1)


def limits_not_judged(scenario: Scenario) -> list[Record]:
    """A record of each own limit that a run of this scenario cannot judge; each names the first cause."""
    firsts = (next(_causes(limit, scenario), None) for limit in scenario.judging.limit)
    return [first for first in firsts if first is not None]


def _causes(limit: OwnLimit, scenario: Scenario) -> Iterator[Record]:
    daily, name = limit.statistic not in ("instantaneous", "whole run"), limit.name
    longest = _longest(limit, scenario, whole=daily)
    if not longest:
        yield Record("limit_out_of_season", "caution", name)
    elif longest < limit.days:
        days = {"days": (limit.days, "d"), "longest": (longest, "d")}
        yield Record("limit_too_long", "caution", name, days)
    if limit.at == "intake" and scenario.intake is None:
        yield Record("limit_without_intake", "caution", name)
    quantity = quantity_of(limit)[0]
    comes_in = scenario.inflow or scenario.base_flow or scenario.drainage
    of_inflow = quantity == "temperature_rise" and limit.against == "inflow"
    if (of_inflow or quantity == "solids_removal") and not comes_in:
        yield Record("limit_without_inflow", "caution", name)
    if limit.at == "zones" and quantity in ("oxygen", "temperature", "temperature_rise"):
        zones = [limit.zone] if limit.zone else [zone.name for zone in scenario.zone]
        end = (scenario.period.end - scenario.period.start).total_seconds()
        depth = scenario.pond.normal_pool - min(bed_at(scenario, zone, end) for zone in zones)
        if limit.from_depth > depth:
            depths = {"depth": (depth, "m"), "from_depth": (limit.from_depth, "m")}
            zone = {"zone": limit.zone} if limit.zone else {}
            yield Record("limit_too_deep", "caution", name, depths, names=zone)


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
