"""What watches the pond while a season runs and switches equipment: sensors and the float of the wet well.

Equipment runs when its timer is on, there is power, its set point requests it and it has not tripped. A
controller polls at whole multiples of its interval since the start; between two polls nothing switches but
timers and the power.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pondsim.constants import ATMOSPHERE
from pondsim.engine.model import Model
from pondsim.engine.moment import head_of
from pondsim.jit.bundle import Bundle
from pondsim.jit.compiled import compiled_for_loop
from pondsim.physics.oxygen import oxygen_saturation
from pondsim.processes import circulation, geometry
from pondsim.processes import constituents as s
from pondsim.processes.state import State
from pondsim.processes.work import PUMP_SYSTEM
from pondsim.site.control import METER_STEP, TRIP_POLL
from pondsim.site.pond import FloatArray, IntArray

STARTED, STOPPED, TRIPPED = range(3)  # what the log tells
LOG_ROWS = 2000  # moments that are kept
SAME = 1e-3  # s; closer moments are one
ROUNDING = 1e-13  # share of the energy of a run below which a step's is rounding error


@dataclass(frozen=True, eq=False)
class Control(Bundle):
    """Where control stands and what it has counted; systems are the pump, then the aeration units."""

    requests: IntArray  # (systems,) 1 where the set point asks for it, or there is none
    tripped: IntArray  # (systems,) 1 from a trip to the next try
    running: IntArray  # (systems,)
    started: FloatArray  # (systems,) when it last started [s]
    stopped: FloatArray  # (systems,) when it last stopped [s]
    polls: IntArray  # (sensors + 1,) number of the next poll of each sensor, and of the float
    reading: FloatArray  # (sensors,) what the lagging sensor stands at [kg/m3]
    water: FloatArray  # (sensors,) oxygen around it at the last poll [kg/m3]
    dry: FloatArray  # (sensors,) time the sensor hung above the water [s]
    starts: IntArray  # (systems,)
    trips: IntArray  # (systems,)
    log: FloatArray  # (LOG_ROWS, 3) time [s], system, what
    logged: IntArray  # (1,) moments there were, kept or not
    meter: FloatArray  # (intervals, systems) electricity used in each interval [J]


def start_control(model: Model) -> Control:
    """Control at the start: everything stands still until the first poll."""
    settings = model.control
    systems, sensors = settings.controlled.size, settings.system.size
    requests = np.ones(systems, dtype=np.int64)
    requests[settings.system] = 0
    model.work.enabled[:] = requests
    return Control(
        requests=requests,
        tripped=np.zeros(systems, dtype=np.int64),
        running=np.zeros(systems, dtype=np.int64),
        started=np.full(systems, -np.inf),
        stopped=np.full(systems, -np.inf),
        polls=np.zeros(sensors + 1, dtype=np.int64),
        reading=np.zeros(sensors),
        water=np.zeros(sensors),
        dry=np.zeros(sensors),
        starts=np.zeros(systems, dtype=np.int64),
        trips=np.zeros(systems, dtype=np.int64),
        log=np.zeros((LOG_ROWS, 3)),
        logged=np.zeros(1, dtype=np.int64),
        meter=np.zeros((settings.meter_rows, systems)),
    )


@compiled_for_loop
def next_poll(model: Model, control: Control, end: float) -> float:
    """The next moment at which anything is looked at; `end` where none comes well before it [s]."""
    settings = model.control
    moment = end
    if settings.polls == 1:
        for sensor in range(settings.system.size):
            moment = min(moment, control.polls[sensor] * settings.every[sensor])
        if settings.trips == 1:
            moment = min(moment, control.polls[settings.system.size] * TRIP_POLL)
    return moment if end - moment > SAME else end


@compiled_for_loop
def poll(model: Model, control: Control, step: int, time: float, state: State) -> bool:
    """Poll where a poll is due, and switch what is to be switched; says whether anything was.

    What runs stands in model.work.enabled, and holds from the next renewal of the flow pattern on.
    """
    settings = model.control
    if settings.polls == 1:
        if time <= model.forcing.time[0]:  # nothing has been renewed yet
            geometry.update_levels(model.grid, model.work, state)
            geometry.update_boxes(model.grid, model.work, state)
        for sensor in range(settings.system.size):
            system = settings.system[sensor]
            if control.polls[sensor] * settings.every[sensor] <= time + SAME:
                _look(model, control, sensor, time, state)
            if model.forcing.outage[step, system] == 1:
                control.requests[system] = 0
        if settings.trips == 1:
            _look_at_float(model, control, step, time, state)
    switched = False
    for system in range(control.running.size):
        timer = model.forcing.pump_on[step]
        if system != PUMP_SYSTEM:
            timer = model.forcing.air_on[step, system - PUMP_SYSTEM - 1]
        wanted = 0
        if timer > 0.0 and control.requests[system] == 1 and control.tripped[system] == 0:
            wanted = 1
        if wanted != control.running[system]:
            switched = _switch(model, control, system, wanted, time, state) or switched
        model.work.enabled[system] = control.requests[system] * (1 - control.tripped[system])
    return switched


@compiled_for_loop
def _switch(model: Model, control: Control, system: int, wanted: int, time: float, state: State) -> bool:
    """Start or stop a system; a pump whose well is low at once trips again before it delivers anything."""
    if wanted == 0:
        control.running[system] = 0
        control.stopped[system] = time
        if control.tripped[system] == 0:
            _log(model, control, system, STOPPED, time)
        return True
    control.starts[system] += 1
    if system == PUMP_SYSTEM and model.control.trips == 1 and _well_is_low(model, state):
        _trip(model, control, time)
        return False
    control.running[system] = 1
    control.started[system] = time
    _log(model, control, system, STARTED, time)
    return True


@compiled_for_loop
def _trip(model: Model, control: Control, time: float) -> None:
    control.trips[PUMP_SYSTEM] += 1
    control.tripped[PUMP_SYSTEM] = 1
    control.stopped[PUMP_SYSTEM] = time
    _log(model, control, PUMP_SYSTEM, TRIPPED, time)


@compiled_for_loop
def _log(model: Model, control: Control, system: int, what: int, time: float) -> None:
    if model.control.controlled[system] == 0:
        return
    row = control.logged[0]
    control.logged[0] += 1
    if row < control.log.shape[0]:
        control.log[row, 0] = time
        control.log[row, 1] = system
        control.log[row, 2] = what


@compiled_for_loop
def _well_is_low(model: Model, state: State) -> bool:
    """Whether a running pump would draw the wet well below its float."""
    settings = model.circulation
    level = head_of(model.grid, model.work, settings.intake_zone, state)
    return circulation.well_level(settings, level) < settings.pump_off


@compiled_for_loop
def _look_at_float(model: Model, control: Control, step: int, time: float, state: State) -> None:
    """Stop a pump that draws its well too low; let one that has rested from that try again."""
    if model.forcing.outage[step, PUMP_SYSTEM] == 1:
        control.tripped[PUMP_SYSTEM] = 0
    poll = model.control.system.size
    if control.polls[poll] * TRIP_POLL > time + SAME:
        return
    control.polls[poll] += 1
    rested = time - control.stopped[PUMP_SYSTEM] >= model.control.minimum_rest[PUMP_SYSTEM] - SAME
    if control.tripped[PUMP_SYSTEM] == 1 and rested:
        control.tripped[PUMP_SYSTEM] = 0
    elif control.running[PUMP_SYSTEM] == 1 and _well_is_low(model, state):
        _trip(model, control, time)


@compiled_for_loop
def _look(model: Model, control: Control, sensor: int, time: float, state: State) -> None:
    """Read a sensor and decide whether its set point asks for the equipment.

    The sensor follows the water with a lag of first order, exactly so where the oxygen around it goes in a
    straight line from poll to poll.
    """
    settings = model.control
    number, water = control.polls[sensor], oxygen_at(model, sensor, state)
    if _hangs(model, sensor) > model.work.surface[settings.zone[sensor]]:
        control.dry[sensor] += settings.every[sensor]
    every, lag = settings.every[sensor], settings.lag[sensor]
    if number == 0 or lag <= 0.0:
        control.reading[sensor] = water
    else:
        behind = (water - control.water[sensor]) / every * lag
        off = control.reading[sensor] - control.water[sensor] + behind
        control.reading[sensor] = water - behind + off * np.exp(-every / lag)
    control.water[sensor] = water
    control.polls[sensor] = number + 1
    noise = settings.noise[sensor, number % settings.noise.shape[1]]
    shown = control.reading[sensor] + settings.bias[sensor] + noise
    shown = min(max(shown, settings.lowest[sensor]), settings.highest[sensor])
    system = settings.system[sensor]
    if control.requests[system] == 0:
        rested = time - control.stopped[system] >= settings.minimum_rest[system] - SAME
        if shown < settings.on_below[sensor] and rested:
            control.requests[system] = 1
    else:
        run = time - control.started[system] >= settings.minimum_run[system] - SAME
        if shown > settings.off_above[sensor] and run:
            control.requests[system] = 0


@compiled_for_loop
def _hangs(model: Model, sensor: int) -> float:
    """Elevation of a sensor [m]."""
    if np.isnan(model.control.depth[sensor]):
        return model.control.elevation[sensor]
    return model.work.surface[model.control.zone[sensor]] - model.control.depth[sensor]


@compiled_for_loop
def oxygen_at(model: Model, sensor: int, state: State) -> float:
    """Oxygen around a sensor: straight lines between the middles of the layers [kg/m3].

    One that hangs in the air reads what water at its temperature would hold: it calls for nothing.
    """
    settings, grid, work = model.control, model.grid, model.work
    zone = settings.zone[sensor]
    place = _hangs(model, sensor)
    first, end = grid.first_box[zone], grid.first_box[zone + 1]
    if place > work.surface[zone]:
        temperature = state.rows[s.HEAT, end - 1] / state.rows[s.WATER, end - 1]
        return oxygen_saturation(temperature, 0.0, ATMOSPHERE)
    value = state.rows[s.OXYGEN, first] / state.rows[s.WATER, first]
    for box in range(first, end - 1):
        low = 0.5 * (work.bottom[box] + work.top[box])
        high = 0.5 * (work.bottom[box + 1] + work.top[box + 1])
        if place <= low:
            break
        above = state.rows[s.OXYGEN, box + 1] / state.rows[s.WATER, box + 1]
        share = min((place - low) / max(high - low, 1e-9), 1.0)
        value += share * (above - value)
    return value


@compiled_for_loop
def read_meter(
    model: Model,
    control: Control,
    time: float,
    length: float,
    before: State,
    rates: State,
    after: State,
    end_rates: State,
) -> None:
    """Share the electricity of one step out to the intervals of the meter.

    Within the step it follows the cubic that meets what was used and the power at both ends.
    """
    since = time + model.control.meter_before
    first = int(since / METER_STEP + 1e-9)
    last = control.meter.shape[0] - 1
    for system in range(control.running.size):
        used = after.energy[system] - before.energy[system]
        if abs(used) <= ROUNDING * after.energy[system]:
            continue
        done = 0.0
        row = first
        while done < 1.0:
            share = 1.0 if row >= last else min(((row + 1) * METER_STEP - since) / length, 1.0)
            control.meter[row, system] += _used_until(
                share, used, length * rates.energy[system], length * end_rates.energy[system]
            ) - _used_until(done, used, length * rates.energy[system], length * end_rates.energy[system])
            done = share
            row += 1


@compiled_for_loop
def _used_until(share: float, used: float, start: float, end: float) -> float:
    """Hermite's cubic from 0 to `used`, with slopes `start` and `end`, at a share of the step."""
    square = share * share
    cube = square * share
    return used * (3.0 * square - 2.0 * cube) + start * (cube - 2.0 * square + share) + end * (cube - square)
