"""Plain sentences where a run left what the model knows, or what the user said of the pond."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

import numpy as np
from numpy.typing import NDArray

from pondsim.constants import DAY, HOUR
from pondsim.engine.control import LOG_ROWS, TRIPPED
from pondsim.engine.loop import Season
from pondsim.engine.model import Model
from pondsim.processes.circulation import TRIP_DEPTH
from pondsim.processes.state import state_of
from pondsim.processes.work import PUMP_SYSTEM
from pondsim.scenario.settings import Scenario
from pondsim.site.bill import months_run

FOOT = 0.3048  # m
DRY = 0.02  # m of water over a zone's bottom below which it counts as dry
STILL = 1.0  # s of running in an output step that count as none
STANDSTILL = 3.0 * DAY  # of the pump, in one piece, that is worth a word
WAVE = 0.003  # m below low pool that is not worth a word


def run_remarks(scenario: Scenario, season: Season, model: Model, days: float, looked_at: float) -> list[str]:
    """Remarks on a finished run.

    Parameters
    ----------
    scenario, season, model : after the last step
    days : days on which the starting state still shows
    looked_at : how long at most the start was looked at [s]
    """
    said = []
    if days > 0.0:
        searched = min(looked_at, float(model.forcing.time[-1]))
        at_least = "at least " if days * DAY >= searched - HOUR else ""
        until = scenario.period.start + timedelta(days=days)
        said.append(
            f"Results before {until:%d %B} depend on the guessed or measured start somewhere in the pond "
            f"({at_least}{days:.0f} days); they are counted in."
        )
    return [
        *said,
        *_low(scenario, season),
        *_dry(scenario, season, model),
        *_high(scenario, season),
        *_tripped(scenario, season, model),
        *_stood(scenario, season, model),
        *_dry_sensors(scenario, season, model),
        *_bill(scenario),
    ]


def _first(scenario: Scenario, true: NDArray[np.bool_]) -> str:
    """Day on which something first holds."""
    seconds = float(np.argmax(true)) * scenario.period.output_step
    return f"{scenario.period.start + timedelta(seconds=seconds):%d %B}"


def _size(metres: float) -> str:
    return f"{metres / FOOT:.2f} ft ({metres:.2f} m)"


def _low(scenario: Scenario, season: Season) -> Iterator[str]:
    if scenario.pump and scenario.intake:
        zone = [z.name for z in scenario.zone].index(scenario.intake.zone)
        short = season.surface[:, zone] < scenario.intake.elevation + TRIP_DEPTH
        if short.any():
            day = _first(scenario, short)
            yield (
                f"The water fell to within {_size(TRIP_DEPTH)} of the intake's centre, first on {day}: the "
                "pump loses its flow, draws air and goes on using power, which ruins it. Give it a float "
                "([wet_well] pump_off)."
            )
    level, low = season.surface.max(axis=1), scenario.pond.low_pool
    if low is not None and level.min() < low - WAVE:
        day = _first(scenario, level < low - WAVE)
        below = _size(low - float(level.min()))
        yield f"The water fell below low pool, first on {day}, and at the lowest stood {below} below."


def _tripped(scenario: Scenario, season: Season, model: Model) -> Iterator[str]:
    control = season.control
    trips, logged = int(control.trips[PUMP_SYSTEM]), int(control.logged[0])
    moments = control.log[: min(logged, LOG_ROWS)]
    tripped = moments[moments[:, 2] == TRIPPED, 0]
    if trips:
        first = ""
        if tripped.size:
            first = f", first on {scenario.period.start + timedelta(seconds=float(tripped[0])):%d %B %H:%M}"
        times = "once" if trips == 1 else f"{trips} times, tries that came to nothing included"
        yield (
            f"The pump tripped {times}{first}: running, it draws the wet well below pump off "
            f"({_size(model.circulation.pump_off)}): the pond stands too low, or the line to the well loses "
            "too much."
        )
    if logged > LOG_ROWS:
        yield f"Of {logged} starts, stops and trips by control the results list the first {LOG_ROWS}."


def _stood(scenario: Scenario, season: Season, model: Model) -> Iterator[str]:
    """A long standstill of the pump: ages of water hold for its flow spread over the run."""
    if scenario.pump is None:
        return
    ran = np.array([state_of(model.layout, row).running[PUMP_SYSTEM] for row in season.kept])
    still = np.concatenate([[False], np.diff(ran) < STILL, [False]])
    begins, ends = (np.flatnonzero(np.diff(still.astype(int)) == sign) for sign in (1, -1))
    if not begins.size or ran[-1] <= 0.0:
        return
    longest = int(np.argmax(ends - begins))
    step = scenario.period.output_step
    if (ends[longest] - begins[longest]) * step >= STANDSTILL:
        first, last = (
            scenario.period.start + timedelta(seconds=float(row) * step)
            for row in (begins[longest], ends[longest])
        )
        yield (
            f"The pump stood still from {first:%d %B %H:%M} to {last:%d %B %H:%M}: turnover time, days since "
            "the waterfall and renewed share are as if its flow were spread evenly over the run, and look "
            "too good for that time."
        )


def _dry_sensors(scenario: Scenario, season: Season, model: Model) -> Iterator[str]:
    for sensor, seconds in enumerate(season.control.dry):
        if seconds > 0.0:
            system = int(model.control.system[sensor])
            name = "pump" if system == PUMP_SYSTEM else scenario.aeration[system - PUMP_SYSTEM - 1].name
            yield (
                f"The oxygen sensor of {name} hung above the water for {seconds / HOUR:.0f} h: it read the "
                "air and called for nothing. Hang it lower, or by its depth."
            )


def _bill(scenario: Scenario) -> Iterator[str]:
    """Months of the bill that were run in part."""
    if scenario.tariff is None:
        return
    shares = months_run(scenario.period)
    parts = [f"{100.0 * share:.0f} % of {label}" for label, share in shares.items() if share < 1.0]
    if parts:
        yield (
            f"The electricity bill covers {' and '.join(parts)}: demand and fixed charges of such a month "
            "are counted by that share, and its highest power is that of the days run."
        )


def _dry(scenario: Scenario, season: Season, model: Model) -> Iterator[str]:
    for index, zone in enumerate(scenario.zone):
        dry = season.surface[:, index] < model.grid.zone_bottom[index] + DRY
        if dry.any():
            yield (
                f"Zone {zone.name} fell dry, first on {_first(scenario, dry)}: "
                "what is printed of it while dry is of a film of water and means nothing."
            )


def _high(scenario: Scenario, season: Season) -> Iterator[str]:
    pond, level = scenario.pond, season.surface.max(axis=1)
    if level.max() > pond.bank_top:
        yield "The water rose above the bank top; what leaves over the banks is not in the results."
    elif pond.freeboard is not None and level.max() > pond.bank_top - pond.freeboard:
        taken = float(level.max()) - pond.bank_top + pond.freeboard
        day = _first(scenario, level > pond.bank_top - pond.freeboard)
        yield f"The water took up {_size(taken)} of the freeboard, first on {day}."
