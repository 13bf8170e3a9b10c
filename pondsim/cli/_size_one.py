"""`pondsim size WHAT`: the search for one size, and what it prints."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from pondsim.cli._common import CAUTIONS, json_text, reading_of, wrapped, write_text
from pondsim.cli._size_answer import answer_sentences, without_sentence
from pondsim.cli._size_offers import ABOUT_OFFERS, offer_sentences, offers_table, recommended, sizing_data
from pondsim.errors import ScenarioError

if TYPE_CHECKING:
    from collections.abc import Callable

    from pondsim.cli._size_request import Request
    from pondsim.design.held import Breach
    from pondsim.scenario.settings import Scenario
    from pondsim.sizing.catalogue import Offer
    from pondsim.sizing.one import Point, Sizing
    from pondsim.sizing.size import Size


def precision_of(text: str | None, default: float) -> float:
    """Relative tolerance of the answer; ScenarioError for one that makes no sense."""
    if text is None:
        return default
    from pondsim.units import UnitError, to_si  # noqa: PLC0415

    try:
        value = to_si(text, "1")
    except UnitError as error:
        raise ScenarioError(f"--precision: {error}") from None
    if not 0.0005 <= value <= 0.5:
        raise ScenarioError(f'--precision: "{text}" is out of range; write from 0.05 % to 50 %')
    return value


def one_size(asked: Request) -> None:
    """Search, and say what was found."""
    from pondsim.sizing.one import size_one  # noqa: PLC0415
    from pondsim.sizing.search import PRECISION, SCAN  # noqa: PLC0415

    size, wish = asked.size(asked.what, asked.unit, asked.middle), asked.wish()
    precision = precision_of(asked.precision, PRECISION)
    low, high, scenario_at = checked_range(asked, size)
    items = _candidates(asked, size)
    sizing = size_one(
        scenario_at,
        low,
        high,
        wish,
        precision=precision,
        scan=asked.steps or SCAN,
        whole=size.whole,
        also=() if size.present is None else (size.present,),
        told=_teller(size, asked.system),
    )
    offers: tuple[Offer, ...] = ()
    if items:
        from pondsim.sizing.catalogue import choose  # noqa: PLC0415

        offers = (
            choose(items, sizing.answer.size, wish, every=asked.every)
            if sizing.answer.size or asked.every
            else ()
        )
    _tell(asked, size, sizing, offers, precision, scenario_at)


def checked_range(asked: Request, size: Size) -> tuple[float, float, Callable[..., Scenario]]:
    """Lowest and highest size looked at, with which the design can be read, and the design at a size."""
    from pondsim.cli._idle import refuse_idle_size  # noqa: PLC0415
    from pondsim.sizing.size import limits  # noqa: PLC0415

    low, high = limits(size, asked.start, asked.end)
    scenario_at = asked.scenario_of(size)
    check_end(scenario_at, low, "--from")
    check_end(scenario_at, high, "--to")
    refuse_idle_size(scenario_at(low), size.key)
    return low, high, scenario_at


def check_end(scenario_at: Callable[[Any, str], Scenario], value: Any, option: str) -> None:
    """Read the design with an end of the range; its own faults are told, not what they bring about."""
    try:
        scenario_at(value, option)
    except ScenarioError as error:
        own = [problem for problem in error.problems if problem.file == Path(option)]
        raise ScenarioError(own or error.problems) from None


def _teller(size: Size, system: str) -> Any:
    """On a terminal, a word after every run."""
    import sys  # noqa: PLC0415

    def tell(point: Point) -> None:
        if sys.stderr.isatty():
            fate = "failed" if point.trial.failure else "meets it" if point.meets else "misses it"
            click.echo(f"  ran {size.text(point.size, system)}: {fate}", err=True)

    return tell


def _candidates(asked: Request, size: Size) -> list[Any]:
    """Entries of the catalogue laid over the design, each read and checked."""
    if asked.catalogue is None:
        return []
    from pondsim.errors import Problem  # noqa: PLC0415
    from pondsim.scenario.overlay_list import read_items  # noqa: PLC0415
    from pondsim.scenario.vary import TAKEN_OUT, read_changed  # noqa: PLC0415
    from pondsim.sizing.by_word import WORDS  # noqa: PLC0415
    from pondsim.sizing.catalogue import Candidate  # noqa: PLC0415

    found: list[Candidate] = []
    problems: list[Problem] = []
    for item in read_items(asked.catalogue, WORDS):
        changes = list(item.changes)
        try:
            for word in item.words:
                if word.key != size.key:
                    raise word.fault(f"is a size by its word; this list is read for {size.key}.")
                value = size.read(str(word.value), f"{word.source}:{word.line}")
                stated = {change.key for change in item.changes}
                laid = size.changes(value, word.source)
                changes += [one for one in laid if one.value is not TAKEN_OUT or one.key not in stated]
            scenario = read_changed(asked.design, changes).scenario
        except ScenarioError as error:
            problems += error.problems
            continue
        found.append(Candidate(item.name, item.price, size.value_of(scenario), scenario))
    if problems:
        raise ScenarioError(list(dict.fromkeys(problems)))
    return list(found)


def _tell(
    asked: Request,
    size: Size,
    sizing: Sizing,
    offers: tuple[Offer, ...],
    precision: float,
    scenario_at: Callable[[float], Scenario],
) -> None:
    from pondsim.cli import _size_held as held  # noqa: PLC0415
    from pondsim.cli import _size_text as words  # noqa: PLC0415
    from pondsim.cli._tables import LIMITS  # noqa: PLC0415
    from pondsim.design.held import breaches  # noqa: PLC0415
    from pondsim.design.running import timer_bill  # noqa: PLC0415

    zones = next(point.trial.zones for point in sizing.points if point.trial.measures)
    goal = words.target_words(sizing.target, asked.system, zones)
    table = words.points_table(sizing, size, asked.system)
    said = answer_sentences(sizing, size, asked.system, scenario_at)
    own = reading_of(asked.design).scenario
    said += filter(None, [without_sentence(held.without(size, own, sizing), sizing, asked.system)])
    said += filter(None, [held.still_sentence(size, sizing.points, scenario_at, asked.system)])
    sheets: list[tuple[str, tuple[Breach, ...]]] = []
    if sizing.answer.size is not None:
        sheets.append(("the answer", breaches(own, scenario_at(sizing.answer.size))))
    bills = [timer_bill(offer.candidate.scenario) for offer in offers]
    chosen = recommended(offers)
    sheets += [(offer.candidate.name, breaches(own, offer.candidate.scenario)) for offer in chosen]
    bought = offer_sentences(offers, sizing, size, asked.system) if asked.catalogue else []
    notes = [*size.notes, *([words.RENEWED] if sizing.target.measure.startswith("renewed_share") else [])]
    click.echo(wrapped(f"Target for {asked.design}: {goal}."))
    click.echo("\n" + wrapped(" ".join(said)))
    for title, found in sheets[: len(sheets) - len(chosen)]:
        click.echo("\n" + held.breach_text(title, found, asked.system))
    click.echo(
        f"\n{len(sizing.points)} runs; relative tolerance {100.0 * precision:g} %\n" + words.aligned(table)
    )
    if asked.catalogue:
        click.echo("\n" + wrapped(" ".join(bought)))
    if offers:
        click.echo(
            words.aligned(offers_table(offers, bills, sizing.target.entry, size, asked.system), left=1)
        )
        click.echo(wrapped(ABOUT_OFFERS, indent="  "))
    for title, found in sheets[len(sheets) - len(chosen) :]:
        click.echo("\n" + held.breach_text(title, found, asked.system))
    for note in [*notes, LIMITS, CAUTIONS]:
        click.echo("\n" + wrapped(note))
    if asked.csv_file:
        write_text(asked.csv_file, words.rows_csv(table))
    if asked.json_file:
        write_text(
            asked.json_file,
            json_text(
                sizing_data(sizing, size, offers, bills, asked.system, goal, [*said, *bought], notes)
                | {"sheets": {title: held.breach_data(found, asked.system) for title, found in sheets}}
            ),
        )
    if asked.figure:
        _draw(asked, size, sizing, zones, f"{goal}: {said[0]}")


def _draw(asked: Request, size: Size, sizing: Sizing, zones: tuple[str, ...], finding: str) -> None:
    from pondsim.cli import _size_text as words  # noqa: PLC0415
    from pondsim.figures.sizing import Curve, benefit_figure  # noqa: PLC0415
    from pondsim.figures.style import write_figure  # noqa: PLC0415
    from pondsim.units import from_si  # noqa: PLC0415

    entry, system = sizing.target.entry, asked.system
    named = {sizing.answer.size: "smallest", size.present: "as designed"}
    marks = {}
    for place, point in enumerate(sizing.points):
        if point.size in named:
            marks[place] = f"{named[point.size]}, {size.text(point.size, system)}"
    curve = Curve(
        finding=finding[0].upper() + finding[1:].removesuffix(" Both were run."),
        size_label=size.words,
        unit=size.unit(system),
        measure=words.measure_words(sizing.target.measure, entry, zones),
        measure_unit=words.unit_shown(entry, system),
        sizes=tuple(float(from_si(point.size, size.unit(system))) for point in sizing.points),
        values=tuple(words.number_shown(point.value, entry, system) for point in sizing.points),
        energies=tuple(point.trial.energy for point in sizing.points),
        limit=words.number_shown(sizing.target.value, entry, system),
        marks=marks,
    )
    assert asked.figure is not None
    write_figure(benefit_figure(curve), asked.figure)
