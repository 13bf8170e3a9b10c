"""Records of where a run left what the model knows, or what the user said of the pond."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

import numpy as np
from numpy.typing import NDArray

from pondsim.constants import DAY
from pondsim.engine.control import LOG_ROWS, TRIPPED
from pondsim.engine.loop import Season
from pondsim.engine.model import Model
from pondsim.output.over_time import spans_of_one_grid, states_over_time
from pondsim.physics.ice import ICE_PER_WATER
from pondsim.processes import constituents as s
from pondsim.processes.circulation import TRIP_DEPTH
from pondsim.processes.settling import LEAST_FETCH
from pondsim.processes.work import PUMP_SYSTEM
from pondsim.records import Record, iso
from pondsim.scenario.settings import Scenario
from pondsim.site.bill import months_run
from pondsim.site.pond import zone_area

DRY = 0.02  # m of water over a zone's bottom below which it counts as dry
STILL = 1.0  # s of running in an output step that count as none
SKIN = 0.005  # m of ice, mean of a zone, that are worth a word
STANDSTILL = 3.0 * DAY  # of the pump, in one piece, that is worth a word
WAVE = 0.003  # m below low pool that is not worth a word


def run_records(
    scenario: Scenario, season: Season, model: Model, days: float, looked_at: float
) -> list[Record]:
    """Records of a finished run.

    Parameters
    ----------
    scenario, season, model : after the last step
    days : days on which the starting state still shows; NaN where nobody looked
    looked_at : how long at most the start was looked at [s]
    """
    return [
        *_start(scenario, model, days, looked_at),
        *_low(scenario, season),
        *_dry(scenario, season, model),
        *_ice(scenario, season, model),
        *_high(scenario, season),
        *_tripped(scenario, season, model),
        *_stood(scenario, season, model),
        *_dry_sensors(scenario, season, model),
        *_bill(scenario),
        _resuspension(model),
    ]


def _resuspension(model: Model) -> Record:
    """Whether mud is stirred up again, which decides how the solids are read."""
    solids = model.solids
    numbers = {
        "waves": (float(solids.waves), "1"),
        "at_return": (float(solids.at_return), "1"),
        "fetch": (float(solids.fetch), "m"),
        "least_fetch": (LEAST_FETCH, "m"),
    }
    return Record("resuspension", numbers=numbers)


def _at(scenario: Scenario, seconds: float) -> str:
    return iso(scenario.period.start + timedelta(seconds=float(seconds)))


def _first(scenario: Scenario, true: NDArray[np.bool_]) -> dict[str, str]:
    """Output time at which something first holds."""
    return {"first": _at(scenario, float(np.argmax(true)) * scenario.period.output_step)}


def _start(scenario: Scenario, model: Model, days: float, looked_at: float) -> Iterator[Record]:
    if days > 0.0:
        searched = min(looked_at, float(model.forcing.time[-1]))
        numbers = {"days": (days, "d"), "searched": (searched, "s")}
        yield Record("start_shows", numbers=numbers, times={"until": _at(scenario, days * DAY)})


def _low(scenario: Scenario, season: Season) -> Iterator[Record]:
    if scenario.pump and scenario.intake:
        zone = [z.name for z in scenario.zone].index(scenario.intake.zone)
        short = season.surface[:, zone] < scenario.intake.elevation + TRIP_DEPTH
        if short.any():
            numbers = {"cover": (TRIP_DEPTH, "m")}
            if scenario.wet_well:  # it has a float, which is set too low
                numbers["pump_off"] = (scenario.wet_well.pump_off, "m")
            yield Record("intake_short", "warning", "pump", numbers, _first(scenario, short))
    level, low = season.surface.max(axis=1), scenario.pond.low_pool
    if low is not None and level.min() < low - WAVE:
        below = {"below": (low - float(level.min()), "m")}
        yield Record("below_low_pool", "warning", "", below, _first(scenario, level < low - WAVE))


def _tripped(scenario: Scenario, season: Season, model: Model) -> Iterator[Record]:
    control = season.control
    trips, logged = int(control.trips[PUMP_SYSTEM]), int(control.logged[0])
    moments = control.log[: min(logged, LOG_ROWS)]
    tripped = moments[moments[:, 2] == TRIPPED, 0]
    if trips:
        numbers = {"trips": (trips, "1"), "pump_off": (model.circulation.pump_off, "m")}
        first = {"first": _at(scenario, tripped[0])} if tripped.size else {}
        yield Record("pump_tripped", "warning", "pump", numbers, first)
    if logged > LOG_ROWS:
        yield Record("switchings_cut", numbers={"switchings": (logged, "1"), "listed": (LOG_ROWS, "1")})


def _stood(scenario: Scenario, season: Season, model: Model) -> Iterator[Record]:
    """A long standstill of the pump: ages of water hold for its flow spread over the run."""
    if scenario.pump is None:
        return
    ran = states_over_time(model.layout, season.kept).running[:, PUMP_SYSTEM]
    still = np.concatenate([[False], np.diff(ran) < STILL, [False]])
    begins, ends = (np.flatnonzero(np.diff(still.astype(int)) == sign) for sign in (1, -1))
    if not begins.size or ran[-1] <= 0.0:
        return
    longest = int(np.argmax(ends - begins))
    step = scenario.period.output_step
    if (ends[longest] - begins[longest]) * step >= STANDSTILL:
        span = {"first": _at(scenario, begins[longest] * step), "last": _at(scenario, ends[longest] * step)}
        yield Record("pump_stood", "caution", "pump", times=span)


def _ice(scenario: Scenario, season: Season, model: Model) -> Iterator[Record]:
    """That ice lay, how thick, and whether equipment ran in a zone under it."""
    if scenario.ice is None:
        return
    states = states_over_time(model.layout, season.kept)
    area = np.array([zone_area(model.grid, z, model.grid.normal_pool) for z in range(model.layout.zones)])
    thick = states.zones[:, s.ICE] * ICE_PER_WATER / area
    lay = thick.max(axis=1) > SKIN
    if not lay.any():
        return
    zone = scenario.zone[int(thick.max(axis=0).argmax())].name
    last = _at(scenario, float(lay.size - 1 - np.argmax(lay[::-1])) * scenario.period.output_step)
    times = _first(scenario, lay) | {"last": last}
    yield Record("ice_lay", "caution", zone, {"thickest": (float(thick.max()), "m")}, times)
    ran = np.diff(states.running, axis=0).max(axis=1) > STILL
    if (ran & lay[1:]).any():
        yield Record("ran_under_ice", "warning")


def _dry_sensors(scenario: Scenario, season: Season, model: Model) -> Iterator[Record]:
    for sensor, seconds in enumerate(season.control.dry):
        if seconds > 0.0:
            system = int(model.control.system[sensor])
            name = "pump" if system == PUMP_SYSTEM else scenario.aeration[system - PUMP_SYSTEM - 1].name
            yield Record("sensor_dry", "caution", name, {"duration": (float(seconds), "s")})


def _bill(scenario: Scenario) -> Iterator[Record]:
    """Months of the bill that were run in part."""
    if scenario.tariff is not None:
        shares = months_run(scenario.period)
        parts = {month: (float(share), "1") for month, share in shares.items() if share < 1.0}
        if parts:
            yield Record("bill_in_part", numbers=parts)


def _dry(scenario: Scenario, season: Season, model: Model) -> Iterator[Record]:
    bottom = np.empty_like(season.surface)
    for span in spans_of_one_grid(scenario, model):
        bottom[span] = model.grid.zone_bottom
    for index, zone in enumerate(scenario.zone):
        dry = season.surface[:, index] < bottom[:, index] + DRY
        if dry.any():
            yield Record("zone_dry", "warning", zone.name, times=_first(scenario, dry))


def _high(scenario: Scenario, season: Season) -> Iterator[Record]:
    pond, level = scenario.pond, season.surface.max(axis=1)
    if level.max() > pond.bank_top:
        yield Record("above_bank_top", "warning", times=_first(scenario, level > pond.bank_top))
    elif pond.freeboard is not None and level.max() > pond.bank_top - pond.freeboard:
        used = {"used": (float(level.max()) - pond.bank_top + pond.freeboard, "m")}
        yield Record(
            "freeboard_used", "caution", "", used, _first(scenario, level > pond.bank_top - pond.freeboard)
        )
