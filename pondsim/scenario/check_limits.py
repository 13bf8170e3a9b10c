"""Checks of the user's own limits: one quantity each, at a place where it can be judged."""

from __future__ import annotations

from collections.abc import Iterator

from pondsim.scenario.check_pond import Fault, length
from pondsim.scenario.settings import JUDGED, OwnLimit, Scenario, quantity_of

OF_DRAWN_WATER = ("suspended_solids", "phosphorus")
FEDERAL = ("30-day mean", "7-day mean", "7-day mean minimum", "1-day minimum")  # lines of the criteria


def own_limits(scenario: Scenario) -> Iterator[Fault]:
    """Every limit has one quantity, a statistic that goes with it, and a place that is there."""
    zones = [zone.name for zone in scenario.zone]
    seen: set[str] = set()
    for limit in scenario.judging.limit:
        key = f"judging.limit.{limit.name}"
        if limit.name in seen:
            yield f"{key}.name", "is given twice; each limit needs a name of its own."
        seen.add(limit.name)
        if limit.name in FEDERAL:
            yield f"{key}.name", "is the name of a line of the federal criteria; choose another."
        given = quantity_of(limit)
        if len(given) != 1:
            said = f"has {' and '.join(given)}" if given else "has nothing to judge"
            yield key, f"{said}; write one of {', '.join(JUDGED)}."
            continue
        yield from _statistic(limit, key, given[0])
        yield from _place(limit, key, given[0], scenario, zones)
    if scenario.judging.criterion == "own" and not scenario.judging.limit:
        yield "judging.criterion", '= "own", but there is no [[judging.limit]]; write one.'


def _statistic(limit: OwnLimit, key: str, quantity: str) -> Iterator[Fault]:
    if quantity == "solids_removal" and limit.statistic != "whole run":
        yield f"{key}.statistic", f'= "{limit.statistic}"; solids_removal is judged over the "whole run".'
    if limit.statistic in ("instantaneous", "whole run") and limit.days > 1:
        yield f"{key}.days", f'= {limit.days} goes with a daily statistic, not with "{limit.statistic}".'
    if limit.days_needed is not None and limit.days_needed > limit.days:
        yield f"{key}.days_needed", f"= {limit.days_needed} is more than days = {limit.days}."
    if limit.test == "binomial" and limit.allowed_share <= 0.0:
        yield f"{key}.test", '= "binomial" tests an allowed_share; write one, such as "10 %".'


def _place(limit: OwnLimit, key: str, quantity: str, scenario: Scenario, zones: list[str]) -> Iterator[Fault]:
    if quantity in OF_DRAWN_WATER and limit.at == "zones":
        yield f"{key}.at", f'= "zones"; {quantity} is judged in drawn water: write "outlet" or "intake".'
    if quantity == "fit_for_fish" and limit.at != "zones":
        yield f"{key}.at", f'= "{limit.at}"; fit_for_fish is judged in the pond: write "zones".'
    if limit.zone is not None and limit.zone not in zones:
        yield f"{key}.zone", f'= "{limit.zone}" is no zone; there are {", ".join(zones)}.'
    if limit.zone is not None and limit.at != "zones":
        yield f"{key}.zone", f'stands beside at = "{limit.at}", which is no zone; keep one of them.'
    if limit.to_depth < limit.from_depth:
        yield (
            f"{key}.to_depth",
            f"= {length(limit.to_depth)} is above from_depth = {length(limit.from_depth)}.",
        )
    if limit.at == "outlet" and scenario.outlet is None:
        yield f"{key}.at", '= "outlet", but the pond has no [outlet].'
