"""A grid check as text for a terminal of 80 columns, as data for JSON and as CSV."""

from __future__ import annotations

import io
from typing import Any

from pondsim import __version__
from pondsim.cli._common import wrapped
from pondsim.comparison.cells import letter, signed
from pondsim.ensemble.moves import GridCheck, Moves
from pondsim.measures.bands import KIND
from pondsim.spreadsheet import SheetWriter
from pondsim.units import convert, number_text
from pondsim.words import counted

LABEL, COLUMN = 28, 10  # columns of a label and of a difference
LEAST = 8  # columns of a move
SEEN = 0.05  # of the last printed digit: a smaller move is none
SEEN_SHARE = 5e-4  # of the largest value, where digits go by size
IN_BLOCK = 5  # designs shown side by side
LEGEND = (
    "Each number: the most that the value of any design moves. band: the most that the difference between "
    "two designs moves, so a smaller difference is a tie. assumed: the band where no grid check is given; "
    "! marks a band beyond it. -: no move, so that the assumed band stays."
)
SURVIVES = (
    "Differences to A. ? marks one that does not survive: within its band, or of another sign when finer."
)
WHAT_IT_IS_NOT = (
    "This shows what the computation adds to the answer, one change at a time. It says nothing of what the "
    "inputs leave open: sediment oxygen demand and mixing move the answer by more."
)


def check_text(check: GridCheck, system: str = "us", *, full: bool = False) -> str:
    """What moves, beside the assumed bands, and which differences survive."""
    rows = [row for row in check.moves if (full or row.is_main) and _known(row)]
    parts = [
        f"Grid check, {check.start} to {check.end}",
        "\n".join(f"  {letter(design)}  {title}" for design, title in enumerate(check.titles)),
        "Each as it is, and more finely in one way at a time:\n"
        + "\n".join(f"  {name:10} {words}" for name, words in check.ways.items()),
        wrapped(summary(check)),
        _moves_table(check, rows, system),
        wrapped(LEGEND),
        _dawns_table(check),
    ]
    if len(check.titles) > 1:
        parts += [
            _differences_table(check, rows, range(first, min(first + IN_BLOCK, len(check.titles))), system)
            for first in range(1, len(check.titles), IN_BLOCK)
        ]
        parts.append(wrapped(SURVIVES))
    return "\n\n".join([*parts, wrapped(WHAT_IT_IS_NOT)]) + "\n"


def summary(check: GridCheck) -> str:
    """The headline in a few sentences."""
    said = []
    by_key = {row.key: row for row in check.moves}
    for key, words, unit in (
        ("days_failing_top", f"Days below the {check.minimum} in the worst zone {{}}.", "d"),
        ("dawn_lowest_top", "The minimum dawn oxygen {}.", "mg/L"),
    ):
        if key in by_key:
            move = by_key[key].largest_move
            said.append(words.format(f"moved by {number_text(move, 2)} {unit}" if move else "did not move"))
    told = [
        text
        for row in check.moves
        if row.is_main
        for design in range(1, len(check.titles))
        if (text := _difference(row, design, "us").strip()) not in ("", "=")
    ]
    if told:
        kept = sum(not text.endswith("?") for text in told)
        many = counted(len(told), "difference")
        verb = "survives" if kept == 1 else "survive"
        said.append(f"Of {many} to the existing pond in the main measures {kept} {verb}.")
    beyond = [row for row in check.moves if row.is_main and _beyond(row)]
    assumed = [row for row in check.moves if row.is_main and row.tie]
    if assumed:
        said.append(f"{len(beyond)} of {len(assumed)} main measures with an assumed band move beyond it.")
    return " ".join(said)


def _known(row: Moves) -> bool:
    return any(value is not None for value in row.values)


def _beyond(row: Moves) -> bool:
    return row.tie > 0.0 and row.paired_move > row.assumed * (1.0 + 1e-9)


def _shown(row: Moves, value: float, system: str) -> float:
    unit = row.us if system == "us" else row.si
    return value if unit == row.unit else float(convert(value, row.unit, unit))


def _text(row: Moves, value: float, system: str) -> str:
    """A move or a band, "-" where nothing of it would be seen."""
    shown = row.difference_shown(value, system)
    return number_text(shown, 2) if shown > _least_seen(row, system) else "-"


def _least_seen(row: Moves, system: str) -> float:
    """The largest move that is not seen in the values as they are printed."""
    if row.decimals >= 0:
        return SEEN * 10.0**-row.decimals
    return SEEN_SHARE * max(abs(_shown(row, one, system)) for one in row.values if one is not None)


def _by_section(rows: list[Moves], system: str) -> list[tuple[str, list[Moves]]]:
    """Heading with the unit, and its rows, in the order in which they are shown."""
    heads: dict[tuple[str, str], list[Moves]] = {}
    for row in rows:
        heads.setdefault((row.section, row.shown_in(system)), []).append(row)
    return [
        (section if unit == "1" else f"{section} [{unit}]", found) for (section, unit), found in heads.items()
    ]


def _moves_table(check: GridCheck, rows: list[Moves], system: str) -> str:
    columns = [*check.ways, "band", "assumed"]
    widths = [max(LEAST, len(name) + 1) for name in columns]
    lines = [" " * LABEL + "".join(name.rjust(width) for name, width in zip(columns, widths, strict=True))]
    for head, part in _by_section(rows, system):
        lines.append(head)
        for row in part:
            numbers = [*(row.move(way) for way in check.ways), row.paired_move]
            texts = [_text(row, number, system) for number in numbers]
            texts.append(_text(row, row.assumed, system) if row.tie else "")
            cells = "".join(text.rjust(width) for text, width in zip(texts, widths, strict=True))
            lines.append(f"  {row.label}"[: LABEL - 1].ljust(LABEL) + cells + (" !" if _beyond(row) else ""))
    return "\n".join(line.rstrip() for line in lines)


def _dawns_table(check: GridCheck) -> str:
    lines = ["Dawn oxygen at the top, every day and zone of every design [mg/L]"]
    lines.append(" " * 14 + "mean of a zone   95 % of single dawns within   largest")
    for way, (mean, most, largest) in check.dawns.items():
        lines.append(f"  {way:12}{mean:>14.3f}{most:>31.2f}{largest:>10.2f}")
    return "\n".join(lines)


def _differences_table(check: GridCheck, rows: list[Moves], designs: range, system: str) -> str:
    lines = [" " * LABEL + "".join(f"{letter(design):>{COLUMN}} " for design in designs)]
    for head, part in _by_section(rows, system):
        texts = {row.key: [_difference(row, design, system) for design in designs] for row in part}
        if not any(text.strip() for found in texts.values() for text in found):
            continue
        lines.append(head)
        for row in part:
            cells = "".join(f"{text:>{COLUMN + 1}}" for text in texts[row.key])
            lines.append(f"  {row.label}"[: LABEL - 1].ljust(LABEL) + cells)
    return "\n".join(line.rstrip() for line in lines)


def _difference(row: Moves, design: int, system: str) -> str:
    """The difference with "?" where it does not survive, "" where there is none."""
    value, survives = row.differences(row.values)[design], row.survives[design]
    if value is None or survives is None:
        return "= " if value == 0.0 else ""
    shown = row.difference_shown(value, system)
    if abs(shown) <= _least_seen(row, system):
        return "= "
    text = signed(shown, max(row.decimals, 0)) if row.decimals >= 0 else f"{shown:+.3g}"
    return f"{text}{' ' if survives or text == '=' else '?'}"


def check_data(check: GridCheck) -> dict[str, Any]:
    """Every measure as plain data in its own unit; a number that does not exist is null."""
    return {
        "kind": KIND,
        "version": __version__,
        "zones": list(check.zones),
        "start": check.start,
        "end": check.end,
        "shape": {
            zone: {"area_m2": _rounded(area), "volume_m3": _rounded(volume)}
            for zone, (area, volume) in check.shape.items()
        },
        "designs": list(check.titles),
        "ways": [{"name": name, "words": words} for name, words in check.ways.items()],
        "dawn_oxygen_top": {
            way: {"zone_mean": mean, "within_95_percent": most, "largest": largest, "unit": "mg/L"}
            for way, (mean, most, largest) in check.dawns.items()
        },
        "measures": [
            {
                "key": row.key,
                "measure": row.section,
                "place": row.label,
                "unit": row.unit,
                "values": [_rounded(value) for value in row.values],
                "finer": {way: [_rounded(v) for v in values] for way, values in row.finer.items()},
                "largest_move": _rounded(row.largest_move),
                "band": _rounded(row.paired_move),
                "assumed_band": _rounded(row.assumed) if row.tie else None,
                "differences": [_rounded(value) for value in row.differences(row.values)],
                "survives": list(row.survives),
            }
            for row in check.moves
            if _known(row)
        ],
    }


def _rounded(value: float | None) -> float | None:
    return None if value is None else float(f"{value:.7g}")


def check_csv(check: GridCheck) -> str:
    """One line for each measure and design."""
    out = io.StringIO()
    writer = SheetWriter(out)
    writer.writerow(
        ["key", "measure", "place", "unit", "design", "as it is", *check.ways, "largest move", "band",
         "assumed band", "difference to the first", "survives"]
    )  # fmt: skip
    for row in check.moves:
        if not _known(row):
            continue
        differences = row.differences(row.values)
        for design, title in enumerate(check.titles):
            numbers = [
                row.values[design],
                *(values[design] for values in row.finer.values()),
                row.largest_move,
                row.paired_move,
                row.assumed if row.tie else None,
                differences[design] if design else None,
            ]
            texts = ["" if n is None else f"{n:.7g}" for n in numbers]
            kept = row.survives[design]
            word = "" if kept is None else "yes" if kept else "no"
            writer.writerow([row.key, row.section, row.label, row.unit, title, *texts, word])
    return out.getvalue()
