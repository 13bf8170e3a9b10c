"""`pondsim size`: the smallest equipment that meets a target, by real runs."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from pondsim.cli._common import (
    CAUTIONS,
    existing_file,
    json_text,
    new_file,
    say_when_compiling,
    units_option,
    wrapped,
    write_text,
)
from pondsim.errors import ScenarioError

if TYPE_CHECKING:
    from collections.abc import Callable

    from pondsim.scenario.settings import Scenario
    from pondsim.scenario.sized import Size
    from pondsim.sizing.catalogue import Offer
    from pondsim.sizing.one import Point, Sizing
    from pondsim.sizing.target import Wish

DEFAULT_PRECISION = "2 %"


@dataclass(frozen=True)
class Request:
    """What was asked for at the command line."""

    what: str
    design: Path
    until: str | None
    start: str | None
    end: str | None
    unit: str | None
    middle: str | None
    precision: str
    steps: int | None
    catalogue: Path | None
    every: bool
    pairs: str | None
    list_file: Path | None
    by: str | None
    csv_file: Path | None
    json_file: Path | None
    figure: Path | None
    system: str

    def wish(self) -> Wish:
        """The target that was typed; ScenarioError when there is none."""
        from pondsim.sizing.target import read_wish  # noqa: PLC0415

        if self.until is None:
            raise ScenarioError('--until: is needed; write such as --until "replaced_share >= 80 %"')
        return read_wish(self.until)

    def size(self, what: str, unit: str | None, middle: str | None) -> Size:
        """What a word or key stands for in the design, with what its hardware delivers."""
        from pondsim.scenario.sized import Gives, size_of  # noqa: PLC0415
        from pondsim.site.circulation_line import flow_at_normal_pool  # noqa: PLC0415
        from pondsim.site.equipment import unit_air  # noqa: PLC0415
        from pondsim.sizing.own import pump_efficiency, source_efficiency  # noqa: PLC0415

        gives = Gives(flow_at_normal_pool, unit_air, pump_efficiency, source_efficiency)
        return size_of(self.design, what, unit, middle, gives)


@click.command("size")
@click.argument("what")
@click.argument("design", type=existing_file)
@click.option("--until", help='Target: "MEASURE >= VALUE" or "<=", as in "replaced_share >= 80 %".')
@click.option("--from", "start", help="Smallest size looked at; of two sizes, two, with a comma.")
@click.option("--to", "end", help="Largest size looked at.")
@click.option("--unit", help="For air and hours: one aeration unit; for hours also pump or air.")
@click.option("--middle", help='For hours: the clock time around which they lie, such as "02:30".')
@click.option(
    "--precision", default=DEFAULT_PRECISION, show_default=True, help="Width of the answer, of the size."
)
@click.option("--steps", type=click.IntRange(2, 20), help="Sizes looked at first (5); side of a map (6).")
@click.option("--catalogue", type=existing_file, help="List of what one can buy, TOML; see docs/sizing.md.")
@click.option("--every", is_flag=True, help="Run every entry of the catalogue.")
@click.option("--pairs", help='For places: "terrace>cove, deep_pool>far_arm" (intake > return).')
@click.option("--list", "list_file", type=existing_file, help="For places: the pairs from a TOML list.")
@click.option("--by", help="For places: the measure to rank by.  [default: replaced_share]")
@click.option("--csv", "csv_file", type=new_file, help="Write the table as CSV.")
@click.option("--json", "json_file", type=new_file, help="Write the answer as JSON.")
@click.option("--figure", type=new_file, help="Picture to write: PNG, SVG or PDF by its ending.")
@units_option
def command(**typed: Any) -> None:
    """Find the smallest equipment with which DESIGN meets a target.

    WHAT is flow, air, drop or hours; any number of a design, such as
    waterfall.width; two of these with a comma, for a map; places, to rank
    pairs of intake and return; or measures, to list what a target may name.

    \b
    pondsim size flow waterfall.toml --until "replaced_share >= 80 %"
    pondsim size air air_all_day.toml --until "dawn_lowest_top >= 3 mg/L"
    """
    asked = Request(**typed)
    _check_options(asked)
    say_when_compiling()
    if asked.what == "measures":
        from pondsim.cli._size_places import show_measures  # noqa: PLC0415

        show_measures(asked)
        return
    if asked.what == "places":
        from pondsim.cli._size_places import places  # noqa: PLC0415

        places(asked)
    elif "," in asked.what:
        from pondsim.cli._size_map import two_sizes  # noqa: PLC0415

        two_sizes(asked)
    else:
        _one_size(asked)
    for path in (asked.figure, asked.json_file, asked.csv_file):
        if path:
            click.echo(f"Written to {path}.", err=True)


def _check_options(asked: Request) -> None:
    """Refuse what does not fit together, or cannot be written, before anything is run."""
    from pondsim.cli._places import check_places  # noqa: PLC0415

    if asked.design.suffix == ".nc":
        raise ScenarioError(f"{asked.design}: is a results file; give the design file it came from")
    if asked.figure and asked.figure.suffix.lower() not in (".png", ".svg", ".pdf"):
        raise ScenarioError(f"{asked.figure}: a picture ends in .png, .svg or .pdf")
    one = asked.what not in ("places", "measures") and "," not in asked.what
    for given, name, fits in (
        (asked.catalogue, "--catalogue", one),
        (asked.every, "--every", asked.catalogue is not None),
        (asked.pairs, "--pairs", asked.what == "places"),
        (asked.list_file, "--list", asked.what == "places"),
        (asked.by, "--by", asked.what == "places"),
        (asked.start, "--from", asked.what not in ("places", "measures")),
        (asked.end, "--to", asked.what not in ("places", "measures")),
        (asked.figure, "--figure", asked.what not in ("places", "measures")),
        (asked.until, "--until", asked.what != "measures"),
    ):
        if given and not fits:
            raise ScenarioError(f"{name}: does not go with {asked.what}; see pondsim size --help")
    outputs = [path for path in (asked.figure, asked.json_file, asked.csv_file) if path]
    for path in outputs:
        if any(given and path.resolve() == given.resolve() for given in (asked.catalogue, asked.list_file)):
            raise ScenarioError(f"{path}: is an input of this command; choose another file to write")
    check_places(outputs, [asked.design])


def _precision(text: str) -> float:
    from pondsim.units import UnitError, to_si  # noqa: PLC0415

    try:
        value = to_si(text, "1")
    except UnitError as error:
        raise ScenarioError(f"--precision: {error}") from None
    if not 0.0005 <= value <= 0.5:
        raise ScenarioError(f'--precision: "{text}" is out of range; write from 0.05 % to 50 %')
    return value


def _one_size(asked: Request) -> None:
    from pondsim.scenario.sized import limits  # noqa: PLC0415
    from pondsim.scenario.vary import read_changed  # noqa: PLC0415
    from pondsim.sizing.one import size_one  # noqa: PLC0415
    from pondsim.sizing.search import SCAN  # noqa: PLC0415

    size, wish = asked.size(asked.what, asked.unit, asked.middle), asked.wish()
    precision = _precision(asked.precision)
    low, high = limits(size, asked.start, asked.end)

    def scenario_at(value: float, source: str = "size") -> Scenario:
        changes = () if value == size.present else size.changes(value, Path(source))  # untouched as it stands
        return read_changed(asked.design, changes).scenario

    check_end(scenario_at, low, "--from")
    check_end(scenario_at, high, "--to")
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
    from pondsim.scenario.sized import WORDS  # noqa: PLC0415
    from pondsim.scenario.vary import read_changed  # noqa: PLC0415
    from pondsim.sizing.catalogue import Candidate  # noqa: PLC0415

    found: list[Candidate] = []
    problems: list[Problem] = []
    for item in read_items(asked.catalogue, WORDS):
        changes = list(item.changes)
        try:
            for word in item.words:
                if word.key != size.key:
                    raise word.fault(f"is a size by its word; this list is read for {size.key}.")
                changes += size.changes(size.read(str(word.value), f"{word.source}:{word.line}"), word.source)
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
    from pondsim.scenario.read import read_scenario  # noqa: PLC0415

    zones = next(point.trial.zones for point in sizing.points if point.trial.measures)
    goal = words.target_words(sizing.target, asked.system, zones)
    table = words.points_table(sizing, size, asked.system)
    said, broken = words.answer_sentences(sizing, size, asked.system), ()
    own = read_scenario(asked.design)
    said += filter(None, [words.without_sentence(held.without(size, own, sizing), sizing, asked.system)])
    said += filter(None, [held.still_sentence(size, sizing.points, scenario_at, asked.system)])
    if sizing.answer.size is not None:
        broken = held.broken(own, scenario_at(sizing.answer.size))
    warned = held.broken_sentence(broken, asked.system)
    bought = words.offer_sentences(offers, sizing, size, asked.system) if asked.catalogue else []
    notes = [*size.notes, *([words.RENEWED] if sizing.target.measure.startswith("renewed_share") else [])]
    click.echo(wrapped(f"Wanted of {asked.design}: {goal}."))
    click.echo("\n" + wrapped(" ".join(said)))
    if warned:
        click.echo("\n" + wrapped(warned))
    click.echo(
        f"\n{len(sizing.points)} runs, the answer to {100.0 * precision:g} % of the size\n"
        + words.aligned(table)
    )
    offered = words.offers_table(offers, sizing.target.entry, size, asked.system) if offers else []
    if asked.catalogue:
        click.echo("\n" + wrapped(" ".join(bought)))
        click.echo(words.aligned(offered, left=1) if offered else "", nl=bool(offered))
    for note in [*notes, LIMITS, CAUTIONS]:
        click.echo("\n" + wrapped(note))
    if asked.csv_file:
        write_text(asked.csv_file, words.rows_csv(table))
    if asked.json_file:
        write_text(
            asked.json_file,
            json_text(
                words.sizing_data(sizing, size, offers, asked.system, goal, [*said, *bought], notes)
                | {"breaks": held.broken_data(broken, asked.system)}
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
