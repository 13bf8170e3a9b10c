"""The compiled time loop: steps through a season and keeps the state at the output times."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pondsim.constants import ZERO_CELSIUS
from pondsim.engine.control import Control, next_poll, poll, read_meter, start_control
from pondsim.engine.model import Model, compute_rates
from pondsim.engine.moment import level_of
from pondsim.engine.norm import Allowed, allowed_errors, relative_error
from pondsim.engine.scheme import (
    Stages,
    error_estimate,
    first_stage,
    longest_step,
    next_stage,
    stage_coefficients,
    stages_for,
    step_factor,
)
from pondsim.engine.step import settle_traces, update_part
from pondsim.engine.transfers import Sums, new_sums, sum_flows
from pondsim.jit.bundle import Bundle
from pondsim.jit.compiled import add_with_carry, compiled_for_loop, copy
from pondsim.jit.lanes import lined_up
from pondsim.processes import constituents as s
from pondsim.processes.ice import melt_rest
from pondsim.processes.settling import lift_to_zero, set_traces
from pondsim.processes.state import State, new_state
from pondsim.site.pond import FloatArray

DONE, STUCK, SWITCHED, FROZEN = range(4)
FREEZING = ZERO_CELSIUS  # K; where nothing may freeze, the run ends
SLIVER = 0.01  # share of a planned part
SHORTEST = 1e-5  # s; a puddle under a wide hole is gone within milliseconds
FIRST_STEP = 30.0  # s
# Share of its water to which a box may shrink before the flow pattern is renewed, and within a step: a shelf
# that falls dry within an hour would else be drained below nothing.
RENEWED_AT, LEAST_LEFT = 0.5, 0.25


@dataclass(frozen=True, eq=False)
class Season(Bundle):
    """Where the loop stands and what it has kept; arrays are written in place."""

    state: State
    rates: State  # scratch from here
    end_rates: State
    stage_rates: State
    new: State
    before: FloatArray  # (size,) change since the step's start, at every other stage
    change: FloatArray  # (size,) and at the others, the last one of them
    carry: FloatArray  # (size,) rounded off the state so far
    error: State
    clock: FloatArray  # (4,) next step [s], error and length of the last one, time reached [s]
    count: np.ndarray  # (6,) evaluations, steps, rejected, status, box and constituent of a failure
    kept: FloatArray  # (outputs, size) state at the output times
    surface: FloatArray  # (outputs, zones) water surface elevation [m]
    floating: FloatArray  # (outputs, zones) height of water above the underside of its ice [m]
    light: FloatArray  # (outputs, 2, boxes) of grown algae: chlorophyll [kg/m3], extinction [1/m]
    ran: FloatArray  # (outputs, systems) 1 where a system ran at the end of the step, else 0
    sums: Sums
    control: Control
    renewed: FloatArray  # (boxes,) water when the flow pattern was last renewed [m3]
    allowed: Allowed


def start_season(model: Model, state: State, tolerance: float) -> Season:
    """A season about to begin from `state`; `tolerance` multiplies the error allowed."""
    layout = model.layout
    outputs = int(model.forcing.output.sum()) + 1
    boxes = layout.boxes
    return Season(
        state=state,
        rates=new_state(layout),
        end_rates=new_state(layout),
        stage_rates=new_state(layout),
        new=new_state(layout),
        before=lined_up(layout.size),
        change=lined_up(layout.size),
        carry=lined_up(layout.size),
        error=new_state(layout),
        clock=np.array([FIRST_STEP, 0.0, FIRST_STEP, 0.0]),
        count=np.zeros(6, dtype=np.int64),
        kept=np.zeros((outputs, layout.size)),
        surface=np.zeros((outputs, layout.zones)),
        floating=np.zeros((outputs, layout.zones)),
        light=np.zeros((outputs, 2, boxes if layout.living.grown else 0)),
        ran=np.zeros((outputs, 1 + layout.units)),
        sums=new_sums(boxes),
        control=start_control(model),
        renewed=np.zeros(boxes),
        allowed=allowed_errors(tolerance, layout.living),
    )


@compiled_for_loop
def _try_step(
    model: Model,
    stages: Stages,
    season: Season,
    step: int,
    time: float,
    length: float,
    number: int,
    f0: FloatArray,
) -> None:
    """One step of the scheme from the rates f0; season.new is the new state, season.change what it adds."""
    start, f, new = season.state.vector, season.stage_rates, season.new
    last, before = season.change, season.before
    if number % 2 == 0:  # so that the last one is written into season.change
        last, before = before, last
    for i in range(before.size):
        before[i] = 0.0
    first_stage(stages, number, length, start, f0, last, new.vector)
    for j in range(2, number + 1):
        compute_rates(model, step, time + stages.place[number, j - 1] * length, new, f)
        next_stage(stages, number, j, length, start, f0, last, f.vector, before, new.vector)
        last, before = before, last


@compiled_for_loop
def _all_hold(season: Season, state: State, share: float) -> bool:
    """Whether every box holds more than a share of what it held when the flow pattern was renewed."""
    for box in range(state.rows.shape[1]):
        if not state.rows[s.WATER, box] > share * season.renewed[box]:
            season.count[4], season.count[5] = box, s.WATER
            return False
    return True


@compiled_for_loop
def _freezes(season: Season) -> bool:
    """Whether any box has fallen below freezing; the first that has is left in count[4]."""
    rows = season.state.rows
    for box in range(rows.shape[1]):
        if rows[s.HEAT, box] < FREEZING * rows[s.WATER, box]:
            season.count[4] = box
            return True
    return False


@compiled_for_loop
def part_end(time: float, end: float, planned: float) -> float:
    """End of the next part of a hydraulic step that ends at `end`, planned to take so long [s].

    A part that would leave a sliver takes it along: what rounding leaves, 1e-11 s, is no time in which
    volumes that drifted can be made good.
    """
    return end if end - time <= (1.0 + SLIVER) * planned else time + planned


@compiled_for_loop
def _run_step(model: Model, stages: Stages, season: Season, step: int) -> int:
    """Integrate one hydraulic step, in parts where a box empties or control switches something.

    Where a box has lost half of its water the next part is planned no longer than the last was, so that the
    drift of volumes is made good before the box has halved again.
    """
    time, end = model.forcing.time[step], model.forcing.time[step + 1]
    planned = end - time
    while time < end:
        poll(model, season.control, step, time, season.state)
        until = part_end(time, end, planned)
        status = _run_part(model, stages, season, step, time, until)
        reached = season.clock[3]
        settle_traces(model, season.state, reached - time)
        lift_to_zero(model.grid, season.state)
        melt_rest(model.ice, model.grid, model.work, season.state)
        if status in (STUCK, FROZEN):
            return status
        sum_flows(model, season.sums, season.state, reached - time)
        if reached == until:
            planned = 2.0 * planned
        elif status != SWITCHED:
            planned = reached - time
        time = reached
    return DONE


@compiled_for_loop
def _begin_part(model: Model, season: Season, step: int, time: float, end: float) -> float:
    """Renew what holds until `end`, and the rates in season.rates; returns the fastest relative one [1/s]."""
    update_part(model, step, time, end, season.state)
    set_traces(model.solids, model.work, model.forcing.inflow[step], end - time)
    if time <= model.forcing.time[0]:
        _keep_light(model, season, 0)
    for box in range(season.renewed.size):
        season.renewed[box] = season.state.rows[s.WATER, box]
    season.count[0] += 1
    return compute_rates(model, step, time, season.state, season.rates)


@compiled_for_loop
def _run_part(model: Model, stages: Stages, season: Season, step: int, time: float, end: float) -> int:
    """Integrate from `time` to `end`, or until a box has lost half of its water or control switches.

    Steps end wherever control polls; the flow pattern is updated only where a poll switched something.
    """
    count, clock, control = season.count, season.clock, season.control
    rates, end_rates = season.rates, season.end_rates
    fastest = _begin_part(model, season, step, time, end)
    length, last_error, last_length = clock[0], clock[1], clock[2]
    status = DONE
    until = min(end, next_poll(model, control, end))
    while time < end and status == DONE and _all_hold(season, season.state, RENEWED_AT):
        length = min(length, longest_step(fastest))
        left = until - time
        tried = left if length >= left else left / np.ceil(left / length)
        number = stages_for(tried, fastest)
        _try_step(model, stages, season, step, time, tried, number, rates.vector)
        new = season.new
        ratio = np.inf
        faster = fastest
        if _all_hold(season, new, LEAST_LEFT):
            faster = compute_rates(model, step, time + tried, new, end_rates)
            vectors = season.state.vector, rates.vector, new.vector, end_rates.vector
            error_estimate(tried, *vectors, season.error.vector)
            ratio = relative_error(model.grid, model.work, season.allowed, new, season.error, season.count)
        count[0] += number
        if ratio <= 1.0:
            factor = step_factor(ratio, last_error, tried, last_length)
            if model.control.meter_rows > 0:
                read_meter(model, control, time, tried, season.state, rates, new, end_rates)
            add_with_carry(season.change, season.state.vector, season.carry)
            rates, end_rates = end_rates, rates
            fastest = faster
            time = until if tried == left else time + tried
            last_error, last_length = max(ratio, 1e-4), tried
            length = max(tried * factor, length if tried < length else 0.0)
            count[1] += 1
            if not model.ice.on and _freezes(season):
                status = FROZEN
            elif time == until and time < end:
                if poll(model, control, step, time, season.state):
                    status = SWITCHED
                until = min(end, next_poll(model, control, end))
        else:
            count[2] += 1
            length = tried * (step_factor(ratio, 0.0, tried, tried) if ratio < np.inf else 0.2)
            last_error = 0.0
            if length < SHORTEST:
                clock[3] = time
                return STUCK
    clock[0], clock[1], clock[2], clock[3] = length, last_error, last_length, time
    return status


@compiled_for_loop
def _keep_light(model: Model, season: Season, row: int) -> None:
    """Chlorophyll of grown algae and extinction of the last renewal."""
    work = model.work
    for box in range(season.light.shape[2]):
        season.light[row, 0, box] = work.chlorophyll[box]
        season.light[row, 1, box] = work.optical_thickness[box] / max(work.thickness[box], 1e-9)


@compiled_for_loop
def _keep(model: Model, season: Season, row: int) -> None:
    copy(season.state.vector, season.kept[row])
    copy(model.work.running, season.ran[row])
    _keep_light(model, season, row)
    for zone in range(model.grid.zone_bottom.size):
        level = level_of(model.grid, model.work, zone, season.state)
        season.surface[row, zone] = max(level, model.grid.zone_bottom[zone])
        season.floating[row, zone] = model.work.ice_load[zone]


@compiled_for_loop
def integrate(model: Model, stages: Stages, season: Season, first: int, end: int, row: int) -> int:
    """Integrate hydraulic steps `first` to `end`; the next output goes to `row`. Returns the row after.

    The status is in season.count[3]; on failure count[4] and count[5] hold the box and constituent at fault.
    """
    for step in range(first, end):
        season.count[3] = _run_step(model, stages, season, step)
        if season.count[3] != DONE:
            return row
        if model.forcing.output[step] == 1:
            _keep(model, season, row)
            row += 1
    return row


STAGES = stage_coefficients()
