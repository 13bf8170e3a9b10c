"""One way to integrate a scenario with the engine's time loop, and one with SciPy's LSODA."""

from __future__ import annotations

import time
from dataclasses import dataclass, replace
from datetime import timedelta

import numpy as np
from scipy.integrate import odeint

from pondsim.engine.forcing import build_forcing
from pondsim.engine.initial import open_passages, start_state
from pondsim.engine.loop import DONE, STAGES, Season, integrate, start_season
from pondsim.engine.model import Model, build_model, compute_rates
from pondsim.engine.step import update_step
from pondsim.processes import constituents as s
from pondsim.processes.state import State, new_state, state_of
from pondsim.scenario.settings import Scenario

DAY = 86400.0


@dataclass(frozen=True)
class Outcome:
    """What a run cost and gave."""

    seconds: float
    evaluations: int
    steps: int
    rejected: int
    days: float
    oxygen: np.ndarray  # (outputs, boxes) [mg/L]
    temperature: np.ndarray  # (outputs, boxes) [K]
    stuck: str = ""  # where, if it did not reach its end


def read_off(model: Model, kept: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Oxygen [mg/L] and temperature [K] of states, (outputs, boxes) each."""
    amounts = np.array([state_of(model.layout, row).amounts for row in kept])
    concentration = amounts / amounts[:, :, :1]
    return 1e3 * concentration[:, :, s.OXYGEN], concentration[:, :, s.HEAT]


def prepared(scenario: Scenario, days: float | None = None) -> tuple[Scenario, Model, State]:
    """The scenario over its first `days`, its model and its starting state."""
    if days is not None:
        end = min(scenario.period.end, scenario.period.start + timedelta(days=days))
        scenario = replace(scenario, period=replace(scenario.period, end=end))
    model = build_model(scenario, build_forcing(scenario)[0])
    return scenario, model, start_state(scenario, model)


def copied(model: Model, state: State) -> State:
    copy = new_state(model.layout)
    copy.vector[:] = state.vector
    return copy


def marched(scenario: Scenario, model: Model, start: State, tolerance: float) -> Outcome:
    """Integrate the whole period with the engine's own loop."""
    open_passages(scenario, model)
    season: Season = start_season(model, copied(model, start), tolerance)
    season.kept[0] = start.vector
    begun = time.process_time()
    rows = integrate(model, STAGES, season, 0, model.forcing.time.size - 1, 1)
    seconds = time.process_time() - begun
    stuck = ""
    if season.count[3] != DONE:
        stuck = f"day {season.clock[3] / DAY:.2f}, box {season.count[4]}, constituent {season.count[5]}"
    counts = [int(n) for n in season.count[:3]]
    days = float(model.forcing.time[-1]) / DAY
    return Outcome(seconds, *counts, days, *read_off(model, season.kept[:rows]), stuck)


def fed_back(model: Model) -> int:
    """Length of the part of the state that its rates depend on; the rest only counts."""
    state = new_state(model.layout)
    return state.rows.size + state.bed.size + state.zones.size


def lsoda(scenario: Scenario, model: Model, start: State, times: float) -> Outcome:
    """The same with SciPy's LSODA on the compiled rates, restarted at each hydraulic step.

    Errors allowed are those of the engine, times a factor. It is spared the sums that only count.
    """
    open_passages(scenario, model)
    model.work.falls_later[:] = 0  # traces fall with all other rates here
    season = start_season(model, copied(model, start), times)
    state, trial, rates = season.state, copied(model, start), new_state(model.layout)
    size = fed_back(model)
    kept = [state.vector.copy()]
    allowed, relative = new_state(model.layout), new_state(model.layout)
    relative.amounts[:] = season.allowed.relative
    allowed.bed_heat[:] = 2.5 * season.allowed.absolute[s.HEAT]
    allowed.bed_organics[:] = 1e-3 * times
    allowed.bed[s.FAST :] = 1e-3 * times  # stores of grown algae, as settled organic matter
    allowed.zones[:] = 1e-2 * times
    evaluations = steps = 0
    seconds = 0.0
    for step in range(model.forcing.time.size - 1):
        begun = time.process_time()
        update_step(model, step, state)
        allowed.amounts[:] = season.allowed.absolute * state.amounts[:, :1] + 1e-12

        def rate(moment: float, vector: np.ndarray, step: int = step) -> np.ndarray:
            trial.vector[:size] = vector
            compute_rates(model, step, moment, trial, rates)
            return rates.vector[:size]

        ends = model.forcing.time[step : step + 2]
        errors = {"rtol": relative.vector[:size], "atol": allowed.vector[:size]}
        path, told = odeint(
            rate,
            state.vector[:size],
            ends,
            tfirst=True,
            full_output=True,
            tcrit=ends[1:],
            mxstep=100000,
            **errors,
        )
        state.vector[:size] = path[-1]
        seconds += time.process_time() - begun
        evaluations += int(told["nfe"][-1])
        steps += int(told["nst"][-1])
        if model.forcing.output[step] == 1:
            kept.append(state.vector.copy())
    days = float(model.forcing.time[-1]) / DAY
    return Outcome(seconds, evaluations, steps, 0, days, *read_off(model, np.array(kept)))
