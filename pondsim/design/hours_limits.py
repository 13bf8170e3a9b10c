"""Whether equipment runs at all in the period."""

from __future__ import annotations

import numpy as np

from pondsim.design.limits import Limit
from pondsim.scenario.settings import Aeration, Pump, Scenario
from pondsim.site.control import PUMP_NAME, outages_of
from pondsim.site.timers import is_on, switch_times

LEAST_HOURS = 3600.0  # s, one hour in the whole period: less is a slip of hours, season or period; judgement


def hours_limits(scenario: Scenario) -> tuple[Limit, ...]:
    """A limit for everything that does not run in the period: by hours, season and outages. SI."""
    given: list[tuple[str, Pump | Aeration | None]] = [(PUMP_NAME, scenario.pump)]
    given += [(unit.name, unit) for unit in scenario.aeration]
    found = []
    for system, (name, one) in enumerate(given):
        if one is None:
            continue
        running = _seconds_on(system, one, scenario)
        if running < LEAST_HOURS:
            found.append(
                Limit(
                    "time_running",
                    name,
                    "time it runs in the period",
                    running,
                    "hours",
                    LEAST_HOURS,
                    None,
                    "warn",
                    "judgement",
                    "Hours, season or outages keep it off for the whole period, so a run shows nothing "
                    "about it.",
                )
            )
    return tuple(found)


def _seconds_on(system: int, one: Pump | Aeration, scenario: Scenario) -> float:
    """Time in the period in which timer and power let a thing run, set points aside. [s]"""
    on, off = switch_times(one.hours, one.season, scenario.period)
    out = [failure for failure in outages_of(scenario) if failure.system == system]
    edges = np.unique([*on, *off, *(f.begin for f in out), *(f.end for f in out)])
    middle = 0.5 * (edges[1:] + edges[:-1])
    runs = np.asarray(is_on(middle, on, off))
    for failure in out:
        runs &= (middle < failure.begin) | (middle > failure.end)
    return float(np.sum(np.diff(edges)[runs]))
