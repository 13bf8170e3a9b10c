"""Equipment of each design with its limits, and the hydraulics of its circulation line."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from pondsim.comparison.names import quoted
from pondsim.figures.style import unit_text
from pondsim.reporting.blocks import (
    Block,
    Both,
    Cell,
    Fold,
    Group,
    Part,
    Row,
    Table,
    alike,
    note,
    said,
    words,
)
from pondsim.reporting.equipment import Point, items_to_build, line_of
from pondsim.reporting.study import Study, fact
from pondsim.reporting.tables import with_unit
from pondsim.units import display, display_unit

if TYPE_CHECKING:
    import xarray as xr

Limit = dict[str, Any]
GRAVEST = ("fail", "warn", "pass")
SYSTEMS = ("us", "si")


def sheets_part(study: Study) -> Part:
    """What each design builds, which limits it meets, and how its line runs."""
    title = "Equipment, limits and hydraulics"
    blocks: list[Block] = []
    built = _built(study)
    if built is None:
        return Part("sheets", title, (note("No design of this page has equipment."),))
    blocks.append(built)
    limits = _limits(study)
    if limits is not None:
        counts = "; ".join(
            f"{name}: {sheet.count}"
            for name, sheet in zip(study.titles, study.comparison.sheets, strict=True)
            if sheet is not None and sheet.count
        )
        blocks += [
            said(f"FAIL: it will not work as drawn. WARN: outside good practice. {counts}."),
            *limits,
        ]
    else:
        blocks.append(note("The results do not hold the limits: run the designs again with this version."))
    blocks += _hydraulics(study)
    return Part("sheets", title, tuple(blocks))


def _built(study: Study) -> Table | None:
    by_design = [
        tuple(Row(alike(item.name), (words(item.words),)) for item in items_to_build(dataset))
        for dataset in study.datasets
    ]
    groups = _shared(study.titles, by_design)
    return Table("equipment", alike("Equipment"), ("part", "as designed"), groups) if groups else None


def _shared(titles: tuple[str, ...], by_design: list[tuple[Row, ...]]) -> tuple[Group, ...]:
    """Rows of several designs, each once, in groups by the designs that have it."""
    owners: dict[Row, list[str]] = {}
    for title, rows in zip(titles, by_design, strict=True):
        for row in rows:
            owners.setdefault(row, []).append(title)
    groups: dict[str, list[Row]] = {}
    for row, of in owners.items():
        groups.setdefault(quoted(of), []).append(row)
    return tuple(Group(alike(of), tuple(rows)) for of, rows in groups.items())


def limits_of(dataset: xr.Dataset) -> list[Limit]:
    """Every limit of the design sheet with its verdict, the failing first; only those that fail or warn
    where the results hold no others."""
    sheet = fact(dataset, "design_sheet") or {}
    rows = sheet.get("limits") or [
        {**row, "verdict": verdict} for verdict in GRAVEST[:2] for row in sheet.get(verdict, [])
    ]
    return sorted(rows, key=lambda row: GRAVEST.index(row["verdict"]))


def bounds_text(limit: Limit, system: str) -> str:
    """The bounds of a limit: "at least 2 ft", "0 to 700 gpm"."""
    kind, unit = limit["kind"], unit_text(display_unit(limit["kind"], system))

    def text(value: float) -> str:
        if abs(value) < 1e-12 and kind != "temperature":
            return f"0 {unit}"
        return _clean(display(value, kind, system))

    least, most = limit.get("least"), limit.get("most")
    if least is not None and most is not None:
        return f"{text(least).removesuffix(f' {unit}')} to {text(most)}"
    if least is not None:
        return f"at least {text(least)}"
    return f"at most {text(most)}" if most is not None else ""


def value_text(limit: Limit, system: str) -> str:
    """The value of a limit as people read it."""
    value = limit.get("value")
    return "-" if value is None else _clean(display(value, limit["kind"], system))


def _clean(text: str) -> str:
    number, _, unit = text.partition(" ")
    return f"{number} {unit_text(unit)}".strip()


def _limits(study: Study) -> list[Block] | None:
    """Limits that fail or warn in the open, those that pass folded; None where no results hold any."""
    by_design = [limits_of(dataset) for dataset in study.datasets]
    if not any(by_design):
        return None
    blocks: list[Block] = []
    head = ("limit", "result", "value", "limit value", "source")
    graver = _groups(study.titles, by_design, ("fail", "warn"))
    if graver:
        blocks.append(Table("limits_not_met", alike("Limits that fail or warn"), head, graver))
    else:
        blocks.append(said("No limit fails or warns."))
    passing = _groups(study.titles, by_design, ("pass",))
    if passing:
        table = Table("limits_met", alike("Limits that pass"), head, passing)
        blocks.append(Fold("Limits that pass", (table,)))
    return blocks


def _groups(
    titles: tuple[str, ...], by_design: list[list[Limit]], verdicts: tuple[str, ...]
) -> tuple[Group, ...]:
    return _shared(
        titles,
        [
            tuple(_limit_row(limit) for limit in limits if limit["verdict"] in verdicts)
            for limits in by_design
        ],
    )


def _limit_row(limit: Limit) -> Row:
    verdict = str(limit["verdict"])
    value, bounds = (Both(*(text(limit, s) for s in SYSTEMS)) for text in (value_text, bounds_text))
    return Row(
        alike(f"{limit['part']}: {limit['what']}"),
        (
            Cell(
                alike(verdict.upper()),
                "" if verdict == "pass" else "!",
                order=GRAVEST.index(verdict),
                number=False,
            ),
            Cell(value, order=limit.get("value")),
            words(bounds),
            words(str(limit.get("source", "-"))),
        ),
    )


def _hydraulics(study: Study) -> list[Block]:
    """The circulation line of each design, pump running, at each level of the pond."""
    owners: dict[tuple[Point, ...], list[str]] = {}
    for title, dataset in zip(study.titles, study.datasets, strict=True):
        owners.setdefault(tuple(line_of(dataset)), []).append(title)
    tables: list[Block] = []
    for points, of in owners.items():
        if not points:
            continue
        pools = tuple(dict.fromkeys(point.pool for point in points))
        rows = []
        for what in dict.fromkeys(point.what for point in points):
            chosen = {point.pool: point for point in points if point.what == what}
            units = [display_unit(next(iter(chosen.values())).kind, system) for system in SYSTEMS]
            cells = tuple(
                Cell(Both(*(chosen[pool].text(s) for s in SYSTEMS)), order=chosen[pool].value)
                if pool in chosen
                else Cell(alike("-"))
                for pool in pools
            )
            rows.append(Row(with_unit(what.strip(), *units), cells))
        caption = alike(f"Hydraulics of {quoted(of)} with the pump running")
        tables.append(
            Table(
                f"hydraulics_{len(tables) + 1}",
                caption,
                ("the line", *pools),
                (Group(alike(""), tuple(rows)),),
            )
        )
    if not tables:
        return []
    return tables
