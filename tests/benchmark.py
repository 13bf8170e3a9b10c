"""Time and error of the time loop: `python tests/benchmark.py [--quick]` prints tables, and judges nothing.

Errors are those of dissolved oxygen in every box at every output time, against the same run with
`numerics.tolerance` 0.01. Times leave out compiling and reading.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import timedelta
from pathlib import Path
from typing import Any

import numpy as np
from scipy.integrate import odeint

from pondsim.forcing import build_forcing
from pondsim.model import Model, add_all, build_model, renew_step
from pondsim.processes import state as s
from pondsim.processes.state import State, new_state, state_of
from pondsim.scenario.defaults import default_parameters
from pondsim.scenario.read import read_scenario
from pondsim.scenario.settings import Connection, Drainage, Scenario, Zone
from pondsim.season import DONE, STAGES, Season, march, start_season
from pondsim.site.runoff_quality import concentrations_of
from pondsim.start import open_passages, start_state

CAMPUS = Path(__file__).parents[1] / "scenarios" / "campus"
DESIGNS = ("existing", "waterfall", "waterfall_night_air", "air_all_day")
REFERENCE = 0.01  # tolerance of the run that errors are measured against
DAY = 86400.0
MEMBERS, SEED = 40, 2025
REPEATS = 3  # the quickest counts: others may use the machine
GRIDS = ((2, 1, 5), (3, 2, 5), (5, 4, 5), (6, 5, 8))  # zones along, zones across, layers
DRY_START = 0.15  # m of water over the bed of the deepest zone


@dataclass(frozen=True)
class Outcome:
    """What a run cost and gave."""

    seconds: float
    evaluations: int
    steps: int
    rejected: int
    days: float
    oxygen: np.ndarray  # (outputs, boxes) [mg/L]


def oxygen_of(model: Model, kept: np.ndarray) -> np.ndarray:
    states = (state_of(model.layout, row) for row in kept)
    return np.array([1e3 * a.amounts[:, s.OXYGEN] / a.amounts[:, s.WATER] for a in states])


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


def steps_until(model: Model, end: float) -> int:
    return int(np.searchsorted(model.forcing.time[1:], end + 1e-6, side="right"))


def marched(
    scenario: Scenario, model: Model, start: State, tolerance: float, first: int, last: int
) -> Outcome:
    """March from hydraulic step `first` to `last`; levels and passages are those of the moment."""
    season: Season = start_season(model, copied(model, start), tolerance)
    season.kept[0] = start.vector
    begun = time.perf_counter()
    rows = march(model, STAGES, season, first, last, 1)
    seconds = time.perf_counter() - begun
    if season.count[3] != DONE:
        print(
            f"    stuck at {season.clock[3] / DAY:.2f} d in box {season.count[4]}, constituent {season.count[5]}"
        )
    duration = float(model.forcing.time[last] - model.forcing.time[first]) / DAY
    counts = [int(n) for n in season.count[:3]]
    return Outcome(seconds, *counts, duration, oxygen_of(model, season.kept[:rows]))


def ours(scenario: Scenario, days: float | None = None, tolerance: float = 1.0) -> Outcome:
    scenario, model, start = prepared(scenario, days)
    open_passages(scenario, model)
    return marched(scenario, model, start, tolerance, 0, model.forcing.time.size - 1)


def error_words(outcome: Outcome, reference: Outcome) -> str:
    rows = min(len(outcome.oxygen), len(reference.oxygen))
    off = np.abs(outcome.oxygen[:rows] - reference.oxygen[:rows])
    row, box = np.unravel_index(int(off.argmax()), off.shape)
    at = f"output {row}, box {box}"
    return f"{off.max():9.4f} {np.quantile(off, 0.999):9.4f}   {at}"


HEAD = f"{'':34}{'days':>6}{'s':>8}{'evals':>9}{'steps':>8}{'reject':>8}{'max':>10}{'99.9 %':>10}   max at"


def print_row(name: str, outcome: Outcome, reference: Outcome | None = None) -> None:
    words = f" {error_words(outcome, reference)}" if reference else ""
    print(
        f"{name:34}{outcome.days:6.0f}{outcome.seconds:8.2f}{outcome.evaluations:9d}"
        f"{outcome.steps:8d}{outcome.rejected:8d}{words}"
    )


def print_case(name: str, scenario: Scenario, days: float | None) -> None:
    """Time and error of one case at the default tolerance."""
    outcome = min((ours(scenario, days) for _ in range(REPEATS)), key=lambda o: o.seconds)
    reference = ours(scenario, days, REFERENCE)
    print_row(name, outcome, reference)
    print_row("    reference", reference)


def cases(design: str) -> Iterator[tuple[str, Scenario]]:
    """A demo design as it is, with thirty times the mixing, and from a nearly dry start."""
    scenario = read_scenario(CAMPUS / f"{design}.toml")
    yield design, scenario
    yield f"{design}, mixing x 30", mixed_more(scenario, 30.0)
    bottom = min(zone.stage[0] for zone in scenario.zone)
    dry = replace(scenario, start=replace(scenario.start, water_surface=bottom + DRY_START))
    yield f"{design}, nearly dry", dry


def mixed_more(scenario: Scenario, times: float) -> Scenario:
    mixing = scenario.mixing
    more = replace(
        mixing,
        background_multiplier=times * mixing.background_multiplier,
        convective_diffusivity=times * mixing.convective_diffusivity,
        diffusivity_floor=times * mixing.diffusivity_floor,
    )
    return replace(scenario, mixing=more)


def _scaled(area: Drainage, times: dict[str, float]) -> Drainage:
    """A drainage area whose water carries so many times its concentrations."""
    named = ("suspended_solids", "bod5", "ammonium")
    carried = {key: getattr(concentrations_of(area), key) * times[f"stormwater.{key}"] for key in named}
    shares = ("oxygen_saturation", "chloride")
    return replace(area, **carried, **{k: getattr(area, k) * times[f"stormwater.{k}"] for k in shares})


def perturbed(scenario: Scenario, generator: np.random.Generator) -> Scenario:
    """Every default drawn log-uniformly from low to high; values of the site's own are scaled alike."""
    drawn: dict[str, float] = {}
    times: dict[str, float] = {}
    for name, row in default_parameters().items():
        if row.low > 0.0:
            drawn[name] = float(np.exp(generator.uniform(np.log(row.low), np.log(row.high))))
        else:
            drawn[name] = float(generator.uniform(row.low, row.high))
        times[name] = drawn[name] / row.value

    def keys(section: str) -> dict[str, float]:
        return {name.split(".")[1]: value for name, value in drawn.items() if name.startswith(section + ".")}

    changes: dict[str, Any] = {}
    for section in (
        "bed",
        "bottom_oxygen_debt",
        "gas_transfer",
        "mixing",
        "organic_matter",
        "nitrogen",
        "light",
    ):
        changes[section] = replace(getattr(scenario, section), **keys(section))
    algae = keys("algae")
    given = np.atleast_1d(np.array(scenario.algae.chlorophyll, dtype=float)) * times["algae.chlorophyll"]
    algae.pop("chlorophyll")
    months = tuple(float(c) for c in np.broadcast_to(given, 12))
    changes["algae"] = replace(scenario.algae, chlorophyll=months, **algae)
    changes["solids"] = replace(scenario.solids, **keys("solids"))
    demand = times["bed.oxygen_demand"]
    changes["zone"] = tuple(
        replace(z, bed_oxygen_demand=z.bed_oxygen_demand and z.bed_oxygen_demand * demand)
        for z in scenario.zone
    )
    changes["inflow"] = tuple(
        replace(
            event, **{key: getattr(event, key) * times[f"stormwater.{key}"] for key in keys("stormwater")}
        )
        for event in scenario.inflow
    )
    changes["drainage"] = tuple(_scaled(area, times) for area in scenario.drainage)
    if scenario.waterfall:
        changes["waterfall"] = replace(scenario.waterfall, **keys("waterfall"))
    changes["aeration"] = tuple(
        replace(
            unit,
            alpha=drawn["aeration.alpha"],
            transfer_efficiency=drawn[f"aeration.transfer_efficiency_{unit.kind}"],
        )
        for unit in scenario.aeration
    )
    return replace(scenario, **changes)


def print_members(scenario: Scenario, members: int, days: float | None) -> None:
    """Errors and times over perturbed members."""
    generator = np.random.default_rng(SEED)
    worst, most, seconds, evaluations = [], [], [], []
    for _ in range(members):
        member = perturbed(scenario, generator)
        outcome, reference = ours(member, days), ours(member, days, REFERENCE)
        rows = min(len(outcome.oxygen), len(reference.oxygen))
        off = np.abs(outcome.oxygen[:rows] - reference.oxygen[:rows])
        worst.append(off.max())
        most.append(np.quantile(off, 0.999))
        seconds.append(outcome.seconds)
        evaluations.append(outcome.evaluations)
    print(f"{'':34}{'least':>12}{'median':>12}{'90 %':>12}{'most':>12}")
    rows_of = {
        "max error [mg/L]": worst,
        "99.9 % of errors [mg/L]": most,
        "s": seconds,
        "evaluations": evaluations,
    }
    for name, values in rows_of.items():
        low, middle, high, top = np.quantile(values, [0.0, 0.5, 0.9, 1.0])
        print(f"{name:34}{low:12.4g}{middle:12.4g}{high:12.4g}{top:12.4g}")
    print(f"    member at fault for the greatest error: {int(np.argmax(worst))}")


def fed_back(model: Model) -> int:
    """Length of the part of the state that its rates depend on; the rest only counts."""
    state = new_state(model.layout)
    return state.amounts.size + state.bed_heat.size + state.bed_organics.size + state.bed_mass.size


def lsoda(scenario: Scenario, model: Model, start: State, times: float, last: int) -> Outcome:
    """SciPy's LSODA on the same compiled rates, restarted at each hydraulic step, errors allowed as ours x times.

    It is spared the sums that only count.
    """
    open_passages(scenario, model)
    season = start_season(model, copied(model, start), times)
    state, trial, rates = season.state, copied(model, start), new_state(model.layout)
    size = fed_back(model)
    kept = [state.vector.copy()]
    allowed, relative = new_state(model.layout), new_state(model.layout)
    relative.amounts[:] = season.relative
    allowed.bed_heat[:] = 2.5 * season.absolute[s.HEAT]
    allowed.bed_organics[:] = 1e-3 * times
    allowed.bed_mass[:] = 1e-2 * times
    evaluations = steps = 0
    seconds = 0.0
    for step in range(last):
        begun = time.perf_counter()
        renew_step(model, step, state)
        allowed.amounts[:] = season.absolute * state.amounts[:, :1] + 1e-12

        def rate(moment: float, vector: np.ndarray, step: int = step) -> np.ndarray:
            trial.vector[:size] = vector
            add_all(model, step, moment, trial, rates)
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
        seconds += time.perf_counter() - begun
        evaluations += int(told["nfe"][-1])
        steps += int(told["nst"][-1])
        if model.forcing.output[step] == 1:
            kept.append(state.vector.copy())
    days = float(model.forcing.time[last]) / DAY
    return Outcome(seconds, evaluations, steps, 0, days, oxygen_of(model, np.array(kept)))


def print_lsoda(design: str, scenario: Scenario, days: float) -> None:
    """Our loop and LSODA on the first days of a design, LSODA made finer until it is as accurate."""
    scenario, model, start = prepared(scenario, days)
    last = model.forcing.time.size - 1

    def run_ours(tolerance: float) -> Outcome:
        open_passages(scenario, model)
        return marched(scenario, model, start, tolerance, 0, last)

    reference, outcome = run_ours(REFERENCE / 3), run_ours(1.0)
    print_row(design, outcome, reference)
    wanted = np.quantile(np.abs(outcome.oxygen - reference.oxygen), 0.999)
    for times in (3.0, 1.0, 0.3, 0.1, 0.03, 0.01):
        other = lsoda(scenario, model, start, times, last)
        print_row(f"    LSODA, errors allowed x {times:g}", other, reference)
        if np.quantile(np.abs(other.oxygen - reference.oxygen), 0.999) <= wanted:
            break
    words = (
        f"{other.seconds / outcome.seconds:.0f} times our time, {other.evaluations / outcome.evaluations:.1f}"
    )
    print(f"    LSODA at equal accuracy takes {words} times our evaluations")


def gridded(scenario: Scenario, along: int, across: int, layers: int) -> Scenario:
    """A pond of `along` x `across` equal zones, the design's equipment at its corners."""
    depth, spacing = 3.3, 25.0
    bottom = scenario.pond.normal_pool - depth
    names = [f"zone_{i}_{j}" for j in range(across) for i in range(along)]
    stage = (bottom, bottom + 0.5 * depth, bottom + depth, scenario.pond.bank_top)
    zones = tuple(
        Zone(
            name=name,
            centre=(spacing * (k % along), spacing * (k // along)),
            stage=stage,
            area=(250, 450, 625, 680),
        )
        for k, name in enumerate(names)
    )
    links = [(k, k + 1) for k in range(len(names)) if (k + 1) % along] + [
        (k, k + along) for k in range(len(names) - along)
    ]
    passages = tuple(
        Connection(between=(names[a], names[b]), width=20.0, sill=bottom + 0.5) for a, b in links
    )
    return replace(
        scenario,
        pond=replace(scenario.pond, layers=layers),
        zone=zones,
        connection=passages,
        inflow=tuple(replace(event, zone=names[0]) for event in scenario.inflow),
        drainage=tuple(replace(area, zone=names[0]) for area in scenario.drainage),
        base_flow=tuple(replace(flow, zone=names[0]) for flow in scenario.base_flow),
        outlet=scenario.outlet and replace(scenario.outlet, zone=names[-1]),
        intake=scenario.intake and replace(scenario.intake, zone=names[-1]),
        waterfall=scenario.waterfall and replace(scenario.waterfall, zone=names[0]),
        aeration=tuple(
            replace(unit, zone=names[along - 1], elevation=bottom + 0.3) for unit in scenario.aeration
        ),
        start=replace(scenario.start, profile=(replace(scenario.start.profile[0], zone=names[0]),)),
    )


def print_grids(scenario: Scenario, days: float) -> None:
    """Cost against the number of boxes."""
    print(
        f"{'':34}{'boxes':>6}{'days':>6}{'s':>8}{'evals':>9}{'us/eval':>9}{'ns/eval/box':>13}{'us/eval, rates alone':>22}"
    )
    for along, across, layers in GRIDS:
        pond = gridded(scenario, along, across, layers)
        outcome = ours(pond, days)
        boxes = outcome.oxygen.shape[1]
        each = 1e6 * outcome.seconds / outcome.evaluations
        name = f"{along} x {across} zones, {layers} layers"
        print(
            f"{name:34}{boxes:6d}{outcome.days:6.0f}{outcome.seconds:8.2f}{outcome.evaluations:9d}"
            f"{each:9.2f}{1e3 * each / boxes:13.0f}{rates_alone(pond):22.2f}"
        )


def rates_alone(scenario: Scenario, calls: int = 2000) -> float:
    """Microseconds of one evaluation of the rates, called from Python."""
    scenario, model, start = prepared(scenario, 1.0)
    open_passages(scenario, model)
    state, rates = copied(model, start), new_state(model.layout)
    renew_step(model, 0, state)
    begun = time.perf_counter()
    for _ in range(calls):
        add_all(model, 0, 0.0, state, rates)
    return 1e6 * (time.perf_counter() - begun) / calls


def main() -> None:
    """Print every table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--quick", action="store_true", help="short periods, few members, two designs")
    parser.add_argument("--only", choices=["demo", "lsoda", "members", "boxes"], help="print one table only")
    asked = parser.parse_args()
    quick = asked.quick
    full = read_scenario(CAMPUS / "waterfall_night_air.toml")
    ours(full, 1.0)  # compiles
    if asked.only in (None, "demo"):
        print("Season of the demo designs; errors of oxygen in mg/L\n" + HEAD)
        for design in ("existing", "waterfall_night_air") if quick else DESIGNS:
            for name, scenario in cases(design):
                print_case(name, scenario, 30.0 if quick else None)
    if asked.only in (None, "lsoda"):
        print("\nAgainst SciPy's LSODA on the same compiled rates, first days of the season\n" + HEAD)
        for design in ("existing", "waterfall_night_air"):
            scenario = read_scenario(CAMPUS / f"{design}.toml")
            print_lsoda(design, scenario, 5.0 if quick else 12.0)
        if not quick:
            print_lsoda("waterfall_night_air, mixing x 30", mixed_more(full, 30.0), 12.0)
    if asked.only in (None, "members"):
        members = 6 if quick else MEMBERS
        print(f"\n{members} members of waterfall_night_air, every default drawn from low to high")
        print_members(full, members, 30.0 if quick else None)
    if asked.only in (None, "boxes"):
        print("\nCost against the number of boxes, waterfall_night_air on invented grids")
        print_grids(full, 10.0 if quick else 30.0)


if __name__ == "__main__":
    main()
