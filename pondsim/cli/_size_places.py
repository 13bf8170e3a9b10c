"""`pondsim size places` ranks pairs of intake and return; `pondsim size measures` lists measures."""

from __future__ import annotations

import textwrap
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from pondsim.cli import _size_text as words
from pondsim.cli._common import CAUTIONS, json_text, progress, reading_of, wrapped, write_text
from pondsim.cli._tables import LIMITS
from pondsim.errors import Problem, ScenarioError
from pondsim.units import display, display_unit, number_text

if TYPE_CHECKING:
    from pondsim.cli._size_request import Request
    from pondsim.scenario.settings import Scenario
    from pondsim.scenario.vary import Change
    from pondsim.sizing.places import Pair, Ranking

DEFAULT_MEASURE = "replaced_share"
INSIDE = 0.3  # mg/L: what the grid and the numbers one does not know can do, see docs/designer.md
SHARE_INSIDE = 0.05  # of the value: below this the places count as alike; judgement
STEMS = ("days_since_waterfall", "dawn_lowest_top")
HEADS = {"replaced_share": "replaced", "renewed_share": "renewed"}
HEAD = (
    "Head and power stay those of the design for every pair, unless the list gives pump.total_head: a longer "
    "pipe takes more."
)


def show_measures(asked: Request) -> None:
    """List the measures of one run of the design, with what it reaches now."""
    from pondsim.errors import RunError  # noqa: PLC0415
    from pondsim.sizing.trial import try_out  # noqa: PLC0415

    trial = try_out(reading_of(asked.design).scenario)
    if trial.failure:
        raise RunError(trial.failure)
    rows = [["key", "now", "unit", "what"]]
    for key, entry in trial.measures.items():
        value = number_text(words.number_shown(entry.value, entry, asked.system))
        what = words.measure_words(key, entry, trial.zones)
        rows.append([key, value, words.unit_shown(entry, asked.system), what])
    click.echo(words.aligned(_folded(rows), left=1))
    click.echo(
        "\n" + wrapped("A key without its zone, or with .worst in its place, stands for the worst zone.")
    )
    if asked.csv_file:
        write_text(asked.csv_file, words.rows_csv(rows))
    if asked.json_file:
        data = [dict(zip(("key", "value", "unit", "words"), row, strict=True)) for row in rows[1:]]
        write_text(asked.json_file, json_text(data))


def _folded(rows: list[list[str]]) -> list[list[str]]:
    """Rows whose last cell goes on in further rows, so that a line stays within the page."""
    used = sum(2 + max(len(row[column]) for row in rows) for column in range(3))
    folded = []
    for *cells, what in rows:
        first, *more = textwrap.wrap(what, max(words.PAGE - used - 2, 20)) or [""]
        folded += [[*cells, first], *(["", "", "", part] for part in more)]
    return folded


def places(asked: Request) -> None:
    """Run the pairs, rank them and say what the choice is worth."""
    from pondsim.sizing.places import rank  # noqa: PLC0415

    if asked.until and asked.by:
        raise ScenarioError("--by: the ranking is by the measure of --until; give one of the two")
    pairs = _pairs(asked)
    with progress("Ranking ") as report:
        ranking = rank(pairs, asked.by or DEFAULT_MEASURE, asked.wish() if asked.until else None, report)
    _tell(asked, ranking)


def _pairs(asked: Request) -> list[Pair]:
    from pondsim.scenario.overlay_list import read_items  # noqa: PLC0415
    from pondsim.scenario.vary import read_changed  # noqa: PLC0415
    from pondsim.sizing.places import Pair  # noqa: PLC0415

    if bool(asked.pairs) == bool(asked.list_file):
        raise ScenarioError('--pairs: give either --pairs "terrace>cove, deep_pool>far_arm" or --list FILE')
    scenario = reading_of(asked.design).scenario
    if scenario.intake is None or scenario.waterfall is None:
        raise ScenarioError(f"{asked.design}: has no circulation loop, so there are no places to rank")
    if asked.list_file:
        wanted = [(item.name, item.changes) for item in read_items(asked.list_file)]
    else:
        wanted = [_typed(text, scenario) for text in str(asked.pairs).split(",")]
    names = [name for name, _ in wanted]
    found: list[Pair] = []
    problems: list[Problem] = []
    for name, changes in wanted:
        if names.count(name) > 1:
            problems.append(Problem(Path("--pairs"), None, "", f"{name} stands {names.count(name)} times."))
        try:
            made = read_changed(asked.design, changes).scenario
        except ScenarioError as error:
            problems += [replace(one, message=f'{one.message} (pair "{name}")') for one in error.problems]
            continue
        assert made.intake is not None and made.waterfall is not None
        found.append(Pair(name, made.intake.zone, made.waterfall.zone, made.intake.elevation, made))
    if problems:
        raise ScenarioError(list(dict.fromkeys(problems)))
    return found


def _typed(text: str, scenario: Scenario) -> tuple[str, tuple[Change, ...]]:
    """A pair as typed: "terrace>cove", or with the intake's elevation, "terrace@636.5 ft>cove"."""
    from pondsim.scenario.vary import TAKEN_OUT, Change  # noqa: PLC0415

    source = Path("--pairs")
    left, arrow, right = (part.strip() for part in text.partition(">"))
    zone, at, elevation = (part.strip() for part in left.partition("@"))
    if not (arrow and zone and right) or ">" in right or (at and not elevation):
        message = f'"{text.strip()}" is not a pair; write intake > return, as in "terrace>cove".'
        raise ScenarioError(Problem(source, None, "", message))
    laid = [Change("intake.zone", zone, source), Change("waterfall.zone", right, source)]
    assert scenario.intake is not None
    if zone != scenario.intake.zone:
        laid.append(Change("intake.bed", TAKEN_OUT, source))  # it is that of another place
        laid.append(Change("intake.elevation", elevation or height(zone, scenario), source))
    elif elevation:
        laid.append(Change("intake.elevation", elevation, source))
    return f"{zone} to {right}", tuple(laid)


def height(zone: str, scenario: Scenario) -> str:
    """The design's elevation where the zone is so deep, else as far above its bed; not in its upper half."""
    from pondsim.scenario.dredging import bed_at  # noqa: PLC0415

    intake, pond = scenario.intake, scenario.pond
    assert intake is not None
    beds = {one.name: bed_at(scenario, one.name, 0.0) for one in scenario.zone}
    own = intake.elevation
    if zone not in beds:
        return f"{own:.9g} m"  # the reader tells that the zone is not there
    above = own - (beds[intake.zone] if intake.bed is None else intake.bed)
    water = (pond.normal_pool if pond.low_pool is None else pond.low_pool) - beds[zone]
    return f"{max(own, beds[zone] + min(above, 0.5 * water)):.9g} m"


def _tell(asked: Request, ranking: Ranking) -> None:
    from pondsim.cli._size_held import breach_data, breach_text  # noqa: PLC0415
    from pondsim.design.held import all_limits, breaches, counts  # noqa: PLC0415

    system, zones = asked.system, next(r.trial.zones for r in ranking.ranked if r.trial.measures)
    goal = words.measure_words(ranking.measure, ranking.entry, zones)
    if ranking.target:
        goal = words.target_words(ranking.target, system, zones)
    said = sentences(ranking, system)
    rows = _rows(ranking, system)
    click.echo(wrapped(f"Places for intake and return of {asked.design}, by {goal}."))
    click.echo("\n" + wrapped(" ".join(said)) + "\n")
    best = next((one.pair for one in ranking.ranked if one.value is not None), None)
    found = () if best is None else breaches(reading_of(asked.design).scenario, best.scenario)
    if best is not None:
        click.echo(breach_text(best.name, found, system) + "\n")
    if failing := [one.pair.name for one in ranking.ranked if counts(all_limits(one.pair.scenario))["fail"]]:
        click.echo(wrapped(f"FAIL on the design sheet with: {', '.join(failing)}.") + "\n")
    click.echo(words.aligned(rows, left=1))
    if ranking.target:
        click.echo("  + meets it")
    for note in [HEAD, LIMITS, CAUTIONS]:
        click.echo("\n" + wrapped(note))
    if asked.csv_file:
        heads = [" ".join(pair).strip() for pair in zip(*rows[:2], strict=True)]
        write_text(asked.csv_file, words.rows_csv([heads, *rows[2:]]))
    if asked.json_file:
        data = _data(ranking, system, goal, said)
        if best is not None:
            data |= {"sheets": {best.name: breach_data(found, system)}}
        write_text(asked.json_file, json_text(data))


def _rows(ranking: Ranking, system: str) -> list[list[str]]:
    """One row per pair under two rows of heads; the measure ranked by stands first among the shares."""
    from pondsim.sizing.places import SHARES, worst_place  # noqa: PLC0415

    keys = list(SHARES)
    if ranking.measure not in (*SHARES, *(f"{stem}.worst" for stem in STEMS), *STEMS):
        keys[0] = ranking.measure
    heads = [HEADS.get(key, "by") for key in keys]
    rows = [
        ["", "intake", *heads, "longest since", "lowest dawn,", ""],
        ["", f"[{display_unit('length', system)}]"],
    ]
    for key in keys:
        rows[1].append("[%]" if key in SHARES else f"[{words.unit_shown(ranking.entry, system)}]")
    rows[1] += ["waterfall [d]", "top [mg/L]", ""]
    for one in ranking.ranked:
        elevation = display(one.pair.elevation, "length", system, 5).split(" ")[0]
        if not one.trial.measures:
            rows.append([one.pair.name, elevation, "-", "-", "-", "-", "failed"])
            continue
        cells = []
        for key in keys:
            entry = one.trial.measures[key] if key in SHARES else ranking.entry
            value = entry.value if key in SHARES else one.value
            cells.append(number_text(words.number_shown(value, entry, system)))
        for stem in STEMS:
            zone, value = worst_place(one.trial, stem)
            cells.append("-" if not zone else "never" if value is None else f"{zone} {number_text(value)}")
        rows.append([one.pair.name, elevation, *cells, "+" if one.meets else ""])
    return rows


def sentences(ranking: Ranking, system: str) -> list[str]:
    """The best pair and how much the choice is worth."""
    known = [one for one in ranking.ranked if one.value is not None]
    if not known:
        return ["No pair has a value for it."]

    def shown(one: Any) -> str:
        return words.value_text(one.value, ranking.entry, system)

    best, said = known[0], []
    if ranking.target:
        meeting = sum(bool(one.meets) for one in ranking.ranked)
        said.append(f"{meeting} of {len(ranking.ranked)} pairs meet it.")
    said.append(f"Best is {best.pair.name} with {shown(best)}.")
    if len(known) > 1:
        last = f", last {known[-1].pair.name} with {shown(known[-1])}" if len(known) > 2 else ""
        said.append(f"Next is {known[1].pair.name} with {shown(known[1])}{last}.")
        said.append(_worth(ranking, known))
    short = [one.pair.name for one in ranking.ranked if one.pair.intake == one.pair.waterfall]
    if short:
        said.append(
            f"Intake and return lie in one zone ({', '.join(short)}): water can short-circuit between them. "
            f"The model mixes each zone fully and does not show it, so such a pair does less than shown."
        )
    failed = [one.pair.name for one in ranking.ranked if one.trial.failure]
    return said + ([f"Failed: {', '.join(failed)}."] if failed else [])


def _worth(ranking: Ranking, known: list[Any]) -> str:
    """Whether the choice of places matters."""
    gap = abs(known[0].value - known[-1].value)
    if ranking.entry.unit == "mg/L":
        if gap < INSIDE:
            return (
                f"The choice makes little difference: {number_text(gap, 2)} mg/L is within the numerical "
                f"error and the uncertainty of the inputs."
            )
        return f"The choice is worth {number_text(gap, 2)} mg/L."
    largest = max(abs(known[0].value), abs(known[-1].value))
    share = gap / largest if largest else 0.0
    if share < SHARE_INSIDE:
        return f"The choice makes little difference: {100.0 * share:.1f} % between best and last."
    return f"The choice is worth {100.0 * share:.0f} % of it between best and last."


def _data(ranking: Ranking, system: str, goal: str, said: list[str]) -> dict[str, Any]:
    return {
        "wanted" if ranking.target else "ranked_by": goal,
        "measure": ranking.measure,
        "measure_unit": words.unit_shown(ranking.entry, system),
        "sentences": said,
        "pairs": [
            {
                "name": one.pair.name,
                "intake": one.pair.intake,
                "elevation": words.plain(
                    float(display(one.pair.elevation, "length", system, 7).split(" ")[0])
                ),
                "waterfall": one.pair.waterfall,
                "value": words.plain(words.number_shown(one.value, ranking.entry, system)),
                "meets": one.meets,
                "kwh": words.plain(one.trial.energy),
                "failure": one.trial.failure,
            }
            for one in ranking.ranked
        ],
        "notes": [HEAD],
    }
