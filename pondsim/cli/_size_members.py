"""`pondsim size WHAT --weights FILE` or `--members N`: a size that a stated share of members agrees on."""

from __future__ import annotations

from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

import click

from pondsim.cli._common import CAUTIONS, json_text, progress, reading_of, wrapped, write_text
from pondsim.cli._promise_run import way_of
from pondsim.cli._size_one import checked_range, precision_of

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from pondsim.cli._size_request import Request
    from pondsim.ensemble.study import Draws
    from pondsim.scenario.settings import Scenario
    from pondsim.sizing.size import Size


def size_over_members(asked: Request) -> None:
    """Search over members, and say what was found."""
    from pondsim.cli import _size_members_text as words  # noqa: PLC0415
    from pondsim.ensemble.promise import check_confidence  # noqa: PLC0415
    from pondsim.sizing.members import (  # noqa: PLC0415
        CONFIDENCE,
        PRECISION,
        check_not_drawn,
        size_in_members,
    )
    from pondsim.sizing.search import SCAN  # noqa: PLC0415

    how = way_of(asked.workers, asked.cluster)
    confidence = CONFIDENCE if asked.confidence is None else asked.confidence
    check_confidence(confidence)
    size, wish = asked.size(asked.what, asked.unit, asked.middle), asked.wish()
    precision = precision_of(asked.precision, PRECISION)
    low, high, scenario_at = checked_range(asked, size)
    own = reading_of(asked.design).scenario
    draws, drawn_from = _draws(asked, own)
    check_not_drawn(draws, own, [change.key for change in size.changes(low, asked.design)])
    found = size_in_members(
        scenario_at,
        draws,
        low,
        high,
        wish,
        confidence,
        how,
        precision=precision,
        scan=asked.steps or SCAN,
        whole=size.whole,
        also=() if size.present is None else (size.present,),
        keep=asked.keep,
        shown=_bar(size, asked.system),
    )
    told = words.Told(found, size, draws, confidence, asked.system, drawn_from, scenario_at)
    _tell(asked, told, own, scenario_at, precision)


def _draws(asked: Request, own: Scenario) -> tuple[Draws, str]:
    """Few draws by their weights, or of the ranges; and in words what they come from."""
    from pondsim.cli._promise_run import read_designs  # noqa: PLC0415
    from pondsim.ensemble.few import few_of  # noqa: PLC0415
    from pondsim.ensemble.statistics import effective_number  # noqa: PLC0415
    from pondsim.ensemble.study import draws_of  # noqa: PLC0415
    from pondsim.ensemble.weights_file import weighted_draws  # noqa: PLC0415
    from pondsim.sizing.members import FEW  # noqa: PLC0415

    read_designs([asked.design])  # a fault of [unknowns] is told at its line
    if asked.weights is None:
        return draws_of([own], asked.members or FEW), "no readings stand behind them"
    whole = weighted_draws([own], asked.weights)
    assert whole.weights is not None
    worth = effective_number(whole.weights)
    words = f"taken by the weights of {asked.weights.name}, worth {worth:.0f} of {whole.members} members"
    return few_of(whole, asked.members or FEW), words


def _bar(size: Size, system: str) -> Any:
    @contextmanager
    def shown(sizes: Sequence[float]) -> Iterator[Callable[[float], None] | None]:
        what = f"{len(sizes)} sizes" if len(sizes) > 1 else size.text(sizes[0], system)
        with progress(f"Running members of {what} ") as report:
            yield report

    return shown


def _tell(
    asked: Request, told: Any, own: Scenario, scenario_at: Callable[[float], Scenario], precision: float
) -> None:
    from pondsim.cli import _size_held as held  # noqa: PLC0415
    from pondsim.cli import _size_text as text  # noqa: PLC0415
    from pondsim.design.held import breaches  # noqa: PLC0415

    found, size = told.found, told.size
    zones = tuple(zone.name for zone in own.zone)
    goal = text.target_words(found.target, asked.system, zones)
    said, table, basis = told.sentences(), told.table(), told.basis()
    sheet = () if found.answer.size is None else breaches(own, scenario_at(found.answer.size))
    notes = [*size.notes, *([text.RENEWED] if found.target.measure.startswith("renewed_share") else [])]
    click.echo(wrapped(f"Target for {asked.design}: {goal}, in {told.confidence:.0%} of {told.members}."))
    click.echo("\n" + wrapped(" ".join(said)))
    click.echo("\n" + wrapped(basis))
    if found.answer.size is not None:
        click.echo("\n" + held.breach_text("the answer", sheet, asked.system))
    runs = len(found.tried) * found.members
    click.echo(
        f"\n{runs} runs, {found.members} at each size; relative tolerance {100.0 * precision:g} %\n"
        + text.aligned(table)
    )
    for note in [*notes, told.about(), CAUTIONS]:
        click.echo("\n" + wrapped(note))
    if asked.csv_file:
        write_text(asked.csv_file, text.rows_csv(table))
    if asked.json_file:
        write_text(
            asked.json_file,
            json_text(
                told.data(goal, [*said, basis], notes)
                | {"sheets": {"the answer": held.breach_data(sheet, asked.system)}}
            ),
        )
    if asked.figure:
        _draw(asked, told, zones, said[0])


def _draw(asked: Request, told: Any, zones: tuple[str, ...], finding: str) -> None:
    from pondsim.cli import _size_text as text  # noqa: PLC0415
    from pondsim.figures.sizing import Curve, benefit_figure  # noqa: PLC0415
    from pondsim.figures.style import write_figure  # noqa: PLC0415
    from pondsim.units import from_si  # noqa: PLC0415

    found, size, system = told.found, told.size, asked.system
    entry, unit = found.target.entry, size.unit(system)
    named = {found.answer.size: "smallest", size.present: "as designed"}
    marks = {
        place: f"{named[one.size]}, {size.text(one.size, system)}"
        for place, one in enumerate(found.tried)
        if one.size in named
    }
    curve = Curve(
        finding=finding.removesuffix(" Both were run."),
        size_label=size.words,
        unit=unit,
        measure=f"{text.measure_words(found.target.measure, entry, zones)}, "
        f"reached by {told.confidence:.0%} of members",
        measure_unit=text.unit_shown(entry, system),
        sizes=tuple(float(from_si(one.size, unit)) for one in found.tried),
        values=tuple(text.number_shown(one.reached, entry, system) for one in found.tried),
        energies=tuple(one.energy for one in found.tried),
        limit=text.number_shown(found.target.value, entry, system),
        marks=marks,
    )
    assert asked.figure is not None
    write_figure(benefit_figure(curve), asked.figure)
