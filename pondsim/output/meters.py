"""What equipment did in a season: starts, trips, the wet well, and the moments of switching."""

from __future__ import annotations

import json
from datetime import timedelta
from typing import Any

import numpy as np

from pondsim.engine.control import STARTED, STOPPED, TRIPPED
from pondsim.engine.loop import Season
from pondsim.engine.model import Model
from pondsim.processes.work import PUMP_SYSTEM
from pondsim.scenario.settings import Scenario
from pondsim.site.control import outages_of

PUMP_WORDS = "circulation pump"
WORDS = {STARTED: "started", STOPPED: "stopped", TRIPPED: "tripped"}


def system_names(scenario: Scenario) -> list[str]:
    """Every place among the systems: the pump, there or not, then each aeration unit."""
    return [PUMP_WORDS, *(unit.name for unit in scenario.aeration)]


def equipment_of(scenario: Scenario, model: Model, season: Season) -> dict[str, Any]:
    """Starts and trips of each system, and the level of the wet well where there is one."""
    metered = slice(0 if scenario.pump else 1, None)
    data: dict[str, Any] = {
        "starts": (("system",), season.control.starts[metered].copy()),
        "trips": (("system",), season.control.trips[metered].copy()),
    }
    loop = model.circulation
    if loop.most_flow > 0.0 and (np.isfinite(loop.pump_off) or np.any(loop.well_level != loop.pond_level)):
        pond = season.surface[:, loop.intake_zone]
        ran = season.ran[:, PUMP_SYSTEM].copy()
        ran[0] = ran[1]
        drawn = np.interp(pond, loop.pond_level, loop.well_level)
        data["well_level"] = (("time",), np.where(ran > 0.0, drawn, pond))
    return data


def events_of(scenario: Scenario, season: Season) -> str:
    """Moments at which control switched something or the power failed, as a JSON list in order of time."""
    start, names = scenario.period.start, system_names(scenario)
    rows = season.control.log[: int(season.control.logged[0])]
    found = [(float(at), names[int(system)], WORDS[int(what)]) for at, system, what in rows]
    for failure in outages_of(scenario):
        found.append((failure.begin, names[failure.system], "outage begins"))
        if start + timedelta(seconds=failure.end) < scenario.period.end:
            found.append((failure.end, names[failure.system], "outage ends"))
    told = [
        {
            "time": (start + timedelta(seconds=round(at))).isoformat(sep=" "),
            "system": name,
            "what": what,
        }
        for at, name, what in sorted(found)
    ]
    return json.dumps(told)
