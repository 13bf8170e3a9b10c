"""Plain sentences where a run left what the model knows, or what the user said of the pond."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

import numpy as np
from numpy.typing import NDArray

from pondsim.bill import months_run
from pondsim.constants import DAY, HOUR
from pondsim.control import LOG_ROWS, TRIPPED
from pondsim.model import Model
from pondsim.processes.circulation import TRIP_DEPTH
from pondsim.processes.work import PUMP_SYSTEM
from pondsim.scenario.settings import Scenario
from pondsim.season import Season

FOOT = 0.3048  # m
DRY = 0.02  # m of water over a zone's bottom below which it counts as dry
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
            yield f"The water fell to the intake and the pump lost its flow, first on {day}."
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
            f"({_size(model.circulation.pump_off)}), as the pond stood too low for it."
        )
    if logged > LOG_ROWS:
        yield f"Of {logged} starts, stops and trips by control the results list the first {LOG_ROWS}."


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
