"""Time of commands, time and error of the loop: `python tests/benchmark.py [--quick]` prints tables.

Errors are those of dissolved oxygen in every box at every output time, in mg/L, against the same run with
`numerics.tolerance` 0.01. Times are of the processor and leave out compiling and reading;
the quickest of a few counts.
"""

from __future__ import annotations

import argparse
import time
from dataclasses import replace

import numpy as np
from benchmark_cases import CAMPUS, cases, gridded, mixed_more, perturbed
from benchmark_commands import print_commands
from engine.scipy_integrate import Outcome, copied, lsoda, marched, prepared

from pondsim.engine.initial import open_passages
from pondsim.engine.model import compute_rates
from pondsim.engine.step import update_step
from pondsim.ensemble.member import run_members
from pondsim.ensemble.runner import processors
from pondsim.processes.state import new_state
from pondsim.scenario.read import read_scenario
from pondsim.scenario.settings import Scenario

DESIGNS = ("existing", "waterfall", "waterfall_night_air", "air_all_day")
FULL = "waterfall_night_air"
REFERENCE = 0.01  # tolerance of the run that errors are measured against
MEMBERS, SEED = 40, 2025
REPEATS = 3
GRIDS = ((2, 1, 5), (3, 2, 5), (5, 4, 5), (6, 5, 8))  # zones along, zones across, layers
HYDRAULIC_STEPS = (3600.0, 1800.0, 900.0, 300.0, 60.0)  # s
FINEST = 20.0  # s
SEEN = 0.05  # mg/L, error of an hour that counts

HEAD = (
    f"{'':34}{'days':>6}{'s':>8}{'evals':>9}{'steps':>8}{'reject':>8}{'max':>10}{'99.9 %':>10}"
    f"{'hours':>6}   max at"
)


def design(name: str) -> Scenario:
    return read_scenario(CAMPUS / f"{name}.toml")


def ours(scenario: Scenario, days: float | None = None, tolerance: float = 1.0) -> Outcome:
    return marched(*prepared(scenario, days), tolerance)


def errors(outcome: Outcome, reference: Outcome) -> np.ndarray:
    rows = min(len(outcome.oxygen), len(reference.oxygen))
    return np.abs(outcome.oxygen[:rows] - reference.oxygen[:rows])


def print_row(name: str, outcome: Outcome, reference: Outcome | None = None) -> None:
    words = ""
    if reference:
        off = errors(outcome, reference)
        row, box = np.unravel_index(int(off.argmax()), off.shape)
        hours = int((off > SEEN).any(axis=1).sum())
        words = f"{off.max():10.4f}{np.quantile(off, 0.999):10.4f}{hours:6d}   output {row}, box {box}"
    print(
        f"{name:34}{outcome.days:6.0f}{outcome.seconds:8.2f}{outcome.evaluations:9d}"
        f"{outcome.steps:8d}{outcome.rejected:8d}{words}"
    )
    if outcome.stuck:
        print(f"    STUCK at {outcome.stuck}")


def print_case(name: str, scenario: Scenario, days: float | None) -> None:
    """Time and error of one case at the default tolerance."""
    outcome = min((ours(scenario, days) for _ in range(REPEATS)), key=lambda o: o.seconds)
    reference = ours(scenario, days, REFERENCE)
    print_row(name, outcome, reference)
    print_row("    reference", reference)


def print_members(members: int, days: float | None) -> None:
    """Errors and times over members of drawn defaults."""
    generator = np.random.default_rng(SEED)
    found = []
    for _ in range(members):
        member = perturbed(design(FULL), generator)
        outcome = ours(member, days)
        off = errors(outcome, ours(member, days, REFERENCE))
        found.append((off.max(), np.quantile(off, 0.999), outcome.seconds, outcome.evaluations))
        if outcome.stuck:
            print(f"    member {len(found) - 1} STUCK at {outcome.stuck}")
    names = ("max error", "99.9 % of errors", "s", "evaluations")
    print(f"{'':34}{'least':>12}{'median':>12}{'90 %':>12}{'most':>12}")
    for name, values in zip(names, np.array(found).T, strict=True):
        print(f"{name:34}" + "".join(f"{q:12.4g}" for q in np.quantile(values, [0.0, 0.5, 0.9, 1.0])))
    print(f"    greatest error in member {int(np.argmax([row[0] for row in found]))}")


def print_ensemble(members: int) -> None:
    """Members as an ensemble runs them, measures and daily series kept, and what a thousand would take."""
    generator = np.random.default_rng(SEED)
    drawn = [perturbed(design(FULL), generator) for _ in range(members)]
    print(f"{'':34}{'members':>8}{'at once':>8}{'s':>8}{'s for 1000':>12}")
    for how in ("threads", "processes"):
        began = time.perf_counter()
        run_members(drawn, how)
        spent = time.perf_counter() - began
        print(f"{how:34}{members:8d}{processors():8d}{spent:8.1f}{1000.0 * spent / members:12.0f}")


def print_lsoda(name: str, scenario: Scenario, days: float) -> None:
    """Our loop and LSODA on the first days of a design, LSODA made finer until it is as accurate."""
    case = prepared(scenario, days)
    reference = marched(*case, REFERENCE / 3)
    outcome = min((marched(*case, 1.0) for _ in range(REPEATS)), key=lambda o: o.seconds)
    print_row(name, outcome, reference)
    wanted = np.quantile(errors(outcome, reference), 0.999)
    for times in (3.0, 1.0, 0.3, 0.1, 0.03, 0.01):
        other = lsoda(*case, times)
        print_row(f"    LSODA, errors allowed x {times:g}", other, reference)
        if np.quantile(errors(other, reference), 0.999) <= wanted:
            break
    slower, more = other.seconds / outcome.seconds, other.evaluations / outcome.evaluations
    print(f"    LSODA at equal accuracy: {slower:.0f} times our time, {more:.1f} times our evaluations")


def print_hydraulic_steps(name: str, days: float) -> None:
    """What renewing levels and flows more often would change; the reference renews every 20 s."""

    def at(step: float) -> Outcome:
        scenario = design(name)
        return ours(replace(scenario, numerics=replace(scenario.numerics, hydraulic_step=step)), days)

    reference = at(FINEST)
    for step in HYDRAULIC_STEPS:
        print_row(f"{name}, {step / 60:.0f} min", at(step), reference)


def rates_alone(scenario: Scenario, calls: int = 2000) -> float:
    """Microseconds of one evaluation of the rates, called from Python."""
    scenario, model, start = prepared(scenario, 1.0)
    open_passages(scenario, model)
    state, rates = copied(model, start), new_state(model.layout)
    update_step(model, 0, state)
    begun = time.perf_counter()
    for _ in range(calls):
        compute_rates(model, 0, 0.0, state, rates)
    return 1e6 * (time.perf_counter() - begun) / calls


def print_grids(days: float) -> None:
    """Cost against the number of boxes."""
    print(f"{'':34}{'boxes':>6}{'days':>6}{'s':>8}{'evals':>9}{'us/eval':>9}{'ns/eval/box':>13}{'called':>9}")
    for along, across, layers in GRIDS:
        pond = gridded(design(FULL), along, across, layers)
        outcome = min((ours(pond, days) for _ in range(REPEATS)), key=lambda o: o.seconds)
        boxes = outcome.oxygen.shape[1]
        each = 1e6 * outcome.seconds / outcome.evaluations
        print(
            f"{f'{along} x {across} zones, {layers} layers':34}{boxes:6d}{outcome.days:6.0f}"
            f"{outcome.seconds:8.2f}{outcome.evaluations:9d}{each:9.2f}{1e3 * each / boxes:13.0f}"
            f"{rates_alone(pond):9.2f}"
        )


def main() -> None:
    """Print every table asked for."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--quick", action="store_true", help="short periods, few members, two designs")
    tables = ["commands", "demo", "lsoda", "members", "boxes", "hydraulic"]
    parser.add_argument("--only", choices=tables, help="print one table only")
    asked = parser.parse_args()
    quick, wanted = asked.quick, [asked.only] if asked.only else tables
    ours(design(FULL), 1.0)  # compiles
    if "commands" in wanted:
        print("Commands, compiling and members against a kernel that never changes, beside version 0.2.0")
        print_commands(quick)
    if "demo" in wanted:
        print("Season of the demo designs\n" + HEAD)
        for name in ("existing", FULL) if quick else DESIGNS:
            for case, scenario in cases(name):
                print_case(case, scenario, 30.0 if quick else None)
    if "lsoda" in wanted:
        print("\nAgainst SciPy's LSODA on the same compiled rates, first days of the season\n" + HEAD)
        for name in ("existing", FULL):
            print_lsoda(name, design(name), 5.0 if quick else 12.0)
        if not quick:
            print_lsoda(f"{FULL}, mixing x 30", mixed_more(design(FULL), 30.0), 12.0)
    if "members" in wanted:
        members = 6 if quick else MEMBERS
        print(f"\n{members} members of {FULL}, every default drawn from low to high")
        print_members(members, 30.0 if quick else None)
        print("\nThe same season in an ensemble, with its measures")
        print_ensemble(8 if quick else 64)
    if "boxes" in wanted:
        print(f"\nCost against the number of boxes, {FULL} on invented grids")
        print("(called: us of one evaluation called from Python)")
        print_grids(10.0 if quick else 30.0)
    if "hydraulic" in wanted:
        print("\nLevels and flows renewed more often\n" + HEAD)
        for name in ("existing", FULL):
            print_hydraulic_steps(name, 15.0 if quick else 45.0)


if __name__ == "__main__":
    main()
