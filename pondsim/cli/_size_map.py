"""`pondsim size A,B`: a map of two sizes."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from pondsim.cli import _size_text as words
from pondsim.cli._common import CAUTIONS, json_text, progress, reading_of, wrapped, write_text
from pondsim.cli._tables import LIMITS
from pondsim.errors import ScenarioError
from pondsim.sizing.size import refused_past
from pondsim.units import from_si, number_text

if TYPE_CHECKING:
    from collections.abc import Callable

    from pondsim.cli._size_request import Request
    from pondsim.design.held import Breach
    from pondsim.scenario.settings import Scenario
    from pondsim.sizing.grid import SizeMap
    from pondsim.sizing.size import Size

SIDE = 6  # sizes along each side of the map


def two_sizes(asked: Request) -> None:
    """Run the map and say the least cost that meets the target."""
    from pondsim.cli._idle import refuse_idle_size  # noqa: PLC0415
    from pondsim.cli._size_one import check_end  # noqa: PLC0415
    from pondsim.scenario.vary import read_changed  # noqa: PLC0415
    from pondsim.sizing.grid import size_map  # noqa: PLC0415
    from pondsim.sizing.search import spaced  # noqa: PLC0415
    from pondsim.sizing.size import limits  # noqa: PLC0415

    sizes, wish = _sizes(asked), asked.wish()
    starts, ends = (_two(text, name) for text, name in ((asked.start, "--from"), (asked.end, "--to")))
    sides = []
    for size, start, end in zip(sizes, starts, ends, strict=True):
        steps = spaced(*limits(size, start, end), asked.steps or SIDE)
        sides.append(tuple(dict.fromkeys(float(round(s)) if size.whole else s for s in steps)))

    def scenario_at(a: float, b: float, source: str = "size") -> Scenario:
        changes = [*sizes[0].changes(a, Path(source)), *sizes[1].changes(b, Path(source))]
        return read_changed(asked.design, changes).scenario

    for place, option in ((0, "--from"), (-1, "--to")):
        corner = (sides[0][place], sides[1][place])
        check_end(lambda both, name: scenario_at(both[0], both[1], name), corner, option)
    for size in sizes:
        refuse_idle_size(scenario_at(sides[0][0], sides[1][0]), size.key)
    with progress("Mapping ") as report:
        found = size_map(scenario_at, sides[0], sides[1], wish, report)
    _tell(asked, sizes, found, scenario_at)


def _sizes(asked: Request) -> tuple[Size, Size]:
    names = [name.strip() for name in asked.what.split(",")]
    if len(names) != 2 or not all(names) or names[0] == names[1]:
        raise ScenarioError(f'"{asked.what}" is not two sizes; write such as flow,air')
    with_unit = {"air", "hours"} & set(names)
    if asked.unit and not with_unit:
        raise ScenarioError("--unit: goes with air and hours")
    made = [
        asked.size(
            name,
            asked.unit if name in with_unit else None,
            asked.middle if name == "hours" else None,
        )
        for name in names
    ]
    return made[0], made[1]


def _two(text: str | None, option: str) -> tuple[str | None, str | None]:
    if text is None:
        return None, None
    parts = [part.strip() for part in text.split(",")]
    if len(parts) != 2 or not all(parts):
        raise ScenarioError(f'{option}: "{text}" is not two sizes; write such as "200 gpm, 2 scfm"')
    return parts[0], parts[1]


def _tell(
    asked: Request,
    sizes: tuple[Size, Size],
    found: SizeMap,
    scenario_at: Callable[[float, float], Scenario],
) -> None:
    from pondsim.cli import _size_held as held  # noqa: PLC0415
    from pondsim.design.held import breaches  # noqa: PLC0415

    system, entry = asked.system, found.target.entry
    zones = next(point.trial.zones for row in found.points for point in row if point.trial.measures)
    goal = words.target_words(found.target, system, zones)
    said = sentences(found, sizes, system, scenario_at)
    click.echo(wrapped(f"Target for {asked.design}: {goal}."))
    click.echo("\n" + wrapped(" ".join(said)))
    found_breaches: tuple[Breach, ...] = ()
    if found.least is not None:
        answer = scenario_at(found.first[found.least[0]], found.second[found.least[1]])
        found_breaches = breaches(reading_of(asked.design).scenario, answer)
        click.echo("\n" + held.breach_text("the answer", found_breaches, system))
    down, across = (f"{words.short(size)} [{size.unit(system)}]" for size in sizes)
    count = sum(len(row) for row in found.points)
    click.echo(f"\n{count} runs: {down} down, {across} across; + meets it")
    click.echo(f"Reached [{words.unit_shown(entry, system)}]")
    click.echo(words.aligned(_grid(found, sizes, system, values=True)))
    click.echo(f"\nCost [{found.cost_unit}], + meets it, * the least of these")
    click.echo(words.aligned(_grid(found, sizes, system, values=False)))
    notes = [note for size in sizes for note in size.notes]
    for note in [*notes, LIMITS, CAUTIONS]:
        click.echo("\n" + wrapped(note))
    if asked.csv_file:
        write_text(asked.csv_file, words.rows_csv(_rows(found, sizes, system)))
    if asked.json_file:
        data = _data(found, sizes, system, goal, said, notes)
        write_text(
            asked.json_file,
            json_text(data | {"sheets": {"the answer": held.breach_data(found_breaches, system)}}),
        )
    if asked.figure:
        from pondsim.figures.sizing import map_figure  # noqa: PLC0415
        from pondsim.figures.style import write_figure  # noqa: PLC0415

        write_figure(map_figure(_drawn(found, sizes, system, said[0], zones)), asked.figure)


def sentences(
    found: SizeMap, sizes: tuple[Size, Size], system: str, scenario_at: Callable[[float, float], Scenario]
) -> list[str]:
    """The finding of a map."""
    entry = found.target.entry

    def at(place: tuple[int, int]) -> str:
        both = (found.first[place[0]], found.second[place[1]])
        one, two = (size.text(value, system) for size, value in zip(sizes, both, strict=True))
        return f"{words.short(sizes[0])} {one} with {words.short(sizes[1])} {two}"

    def reached(place: tuple[int, int]) -> str:
        return words.value_text(found.points[place[0]][place[1]].value, entry, system)

    said = []
    if found.least is None:
        said.append("No pair of sizes on the map meets it.")
        if found.best is not None:
            said.append(f"The nearest is {at(found.best)}: {reached(found.best)}.")
    else:
        place = found.least
        cost = words.cost_text(found.points[place[0]][place[1]].trial)
        kind = "money" if found.by_money else "electricity"
        meeting = sum(point.meets for row in found.points for point in row)
        said.append(f"The least {kind} that meets it: {at(place)}, {reached(place)} for {cost}.")
        said.append(f"{meeting} of {sum(len(row) for row in found.points)} pairs meet it.")
        said += _at_an_edge(found, sizes, system, scenario_at)
    failed = [point for row in found.points for point in row if point.trial.failure]
    if failed:
        said.append(
            f"{len(failed)} runs failed and count as not meeting it; the first: {failed[0].trial.failure}."
        )
    return said


def _at_an_edge(
    found: SizeMap, sizes: tuple[Size, Size], system: str, scenario_at: Callable[[float, float], Scenario]
) -> list[str]:
    """A word where the least cost lies at an end of a side, so that beyond it may be less."""
    assert found.least is not None
    at = (found.first[found.least[0]], found.second[found.least[1]])
    readers: tuple[Callable[[float], object], ...] = (
        lambda value: scenario_at(value, at[1]),
        lambda value: scenario_at(at[0], value),
    )
    ends, last = [], []  # what lies at an end, and of which of them a key allows no more
    for size, side, place, reader in zip(
        sizes, (found.first, found.second), found.least, readers, strict=True
    ):
        if place in (0, len(side) - 1):
            ends.append(f"{words.short(size)} {size.text(side[place], system)}")
            key = refused_past(reader, size, side[place], 1 if place else -1)
            last += [f"{key} allows no {'more' if place else 'less'}"] if key else []
    if not ends:
        return []
    extend = ["extend the search with --from and --to"] if len(last) < len(ends) else []
    return [f"It lies at the edge of the map, {' and '.join(ends)}: {'; '.join([*last, *extend])}."]


def _grid(found: SizeMap, sizes: tuple[Size, Size], system: str, *, values: bool) -> list[list[str]]:
    heads = [sizes[1].text(value, system).split(" ")[0] for value in found.second]
    rows = [["", *(f"{head} " for head in heads), ""]]
    for i, (value, row) in enumerate(zip(found.first, found.points, strict=True)):
        cells = []
        for j, point in enumerate(row):
            shown = (
                words.number_shown(point.value, found.target.entry, system) if values else found.cost(point)
            )
            mark = "*" if not values and found.least == (i, j) else "+" if point.meets else " "
            cells.append(number_text(shown, 3 if values else 4) + mark)
        rows.append([sizes[0].text(value, system).split(" ")[0], *cells, ""])
    return rows


def _rows(found: SizeMap, sizes: tuple[Size, Size], system: str) -> list[list[str]]:
    """One row per run."""
    entry = found.target.entry
    heads = [f"{words.short(size)} [{size.unit(system)}]" for size in sizes]
    rows = [
        [
            *heads,
            f"{found.target.measure} [{words.unit_shown(entry, system)}]",
            "kWh",
            found.currency,
            "meets",
        ]
    ]
    for a, row in zip(found.first, found.points, strict=True):
        for b, point in zip(found.second, row, strict=True):
            both = [
                number_text(float(from_si(v, s.unit(system))), 6) for v, s in zip((a, b), sizes, strict=True)
            ]
            value = number_text(words.number_shown(point.value, entry, system), 6)
            money = "-" if point.trial.money is None else number_text(point.trial.money, 6)
            fate = "failed" if point.trial.failure else "meets" if point.meets else "misses"
            rows.append([*both, value, number_text(point.trial.energy, 6), money, fate])
    return rows


def _data(
    found: SizeMap, sizes: tuple[Size, Size], system: str, goal: str, said: list[str], notes: list[str]
) -> dict[str, Any]:
    def shown(size: Size, value: float) -> float | None:
        return words.plain(float(from_si(value, size.unit(system))))

    return {
        "sized": [size.key for size in sizes],
        "size_units": [size.unit(system) for size in sizes],
        "wanted": goal,
        "measure": found.target.measure,
        "measure_unit": words.unit_shown(found.target.entry, system),
        "cost": "money" if found.by_money else "kWh",
        "currency": found.currency if found.by_money else None,
        "least": None
        if found.least is None
        else [shown(sizes[0], found.first[found.least[0]]), shown(sizes[1], found.second[found.least[1]])],
        "sentences": said,
        "runs": [
            {
                "sizes": [shown(sizes[0], a), shown(sizes[1], b)],
                **words.point_data(p, found.target.entry, system),
            }
            for a, row in zip(found.first, found.points, strict=True)
            for b, p in zip(found.second, row, strict=True)
        ],
        "notes": notes,
    }


def _drawn(
    found: SizeMap, sizes: tuple[Size, Size], system: str, finding: str, zones: tuple[str, ...]
) -> Any:
    import numpy as np  # noqa: PLC0415

    from pondsim.figures.sizing import Map  # noqa: PLC0415

    entry = found.target.entry
    measure = words.measure_words(found.target.measure, entry, zones)
    shown = words.unit_shown(entry, system)
    return Map(
        finding=f"{finding}\nIn the cells: {measure} [{shown}], and {found.cost_unit}; framed: meets it",
        first=f"{sizes[0].words} [{sizes[0].unit(system)}]",
        second=f"{sizes[1].words} [{sizes[1].unit(system)}]",
        first_sizes=tuple(sizes[0].text(v, system).split(" ")[0] for v in found.first),
        second_sizes=tuple(sizes[1].text(v, system).split(" ")[0] for v in found.second),
        values=np.array([[words.number_shown(p.value, entry, system) for p in row] for row in found.points]),
        costs=tuple(
            tuple(f"{number_text(found.cost(p), 4)} {found.cost_unit}" for p in row) for row in found.points
        ),
        meets=np.array([[p.meets for p in row] for row in found.points]),
        least=found.least,
        good=found.target.sign,
    )
