"""Everything a design is held against, counted: the loop and the aeration together."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from pondsim.design import air, circulation
from pondsim.design.hours_limits import hours_limits
from pondsim.design.limits import Limit
from pondsim.design.outlet_limits import outlet_limits
from pondsim.design.site_work import site_work_limits
from pondsim.scenario.settings import Scenario

GRAVEST = ("fail", "warn", "pass", "reported")


def all_limits(scenario: Scenario) -> tuple[Limit, ...]:
    """Limits of the line in the order of the water, of trench and well, of air, of idle equipment, outlet."""
    return (
        *circulation.limits(scenario),
        *site_work_limits(scenario),
        *air.limits(scenario),
        *hours_limits(scenario),
        *outlet_limits(scenario),
    )


@dataclass(frozen=True)
class Breach:
    """A limit that fails or warns in a changed design; `also` where the design as it stands does too."""

    limit: Limit
    also: bool


def breaches(own: Scenario, changed: Scenario) -> tuple[Breach, ...]:
    """What fails or warns in a changed design: failing ones first, and first what the change brings."""
    before = {(one.part, one.what): one.verdict for one in all_limits(own)}
    found = [
        Breach(limit, before.get((limit.part, limit.what)) in (limit.verdict, GRAVEST[0]))
        for limit in all_limits(changed)
        if limit.verdict in GRAVEST[:2]
    ]
    return tuple(sorted(found, key=lambda one: (GRAVEST.index(one.limit.verdict), one.also)))


def by_part(limits: tuple[Limit, ...]) -> dict[str, list[Limit]]:
    """Limits part by part; in each the failing ones first, then those that warn."""
    parts: dict[str, list[Limit]] = {}
    for limit in limits:
        parts.setdefault(limit.part, []).append(limit)
    return {
        part: sorted(found, key=lambda limit: GRAVEST.index(limit.verdict)) for part, found in parts.items()
    }


def counts(limits: tuple[Limit, ...]) -> dict[str, int]:
    """How many fail, warn, pass and are only reported."""
    found = Counter(limit.verdict for limit in limits)
    return {verdict: found[verdict] for verdict in GRAVEST}


def tally(limits: tuple[Limit, ...]) -> str:
    """One sentence: how many fail, warn and pass, and which fail and warn."""
    number = counts(limits)
    failing, warning, passing = number["fail"], number["warn"], number["pass"]
    if not failing + warning + passing:
        return "Nothing in it can be checked against a limit."
    passed = f"{passing} pass"
    if not failing + warning:
        return f"0 fail, 0 warnings, {passed}."
    heads = []
    if failing:
        heads.append(f"{failing} fail")
    if warning:
        heads.append(f"{warning} warning{'' if warning == 1 else 's'}")
    graver = sorted(
        (limit for limit in limits if limit.verdict in GRAVEST[:2]),
        key=lambda limit: GRAVEST.index(limit.verdict),
    )
    named = "; ".join(f"{limit.part}, {limit.what}" for limit in graver)
    return f"{', '.join(heads)}: {named}. {passed}."
