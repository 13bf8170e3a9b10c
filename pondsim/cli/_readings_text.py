"""What `pondsim readings` prints: what was read, what looks wrong, by how much runs miss it; CSV and JSON."""

from __future__ import annotations

import io
import math
from typing import TYPE_CHECKING, Any

import numpy as np

from pondsim.cli._common import wrapped
from pondsim.comparison import readings_words as words
from pondsim.measures import Miss, ReadSeries, computed_at
from pondsim.measures.readings import LEFT_OUT
from pondsim.measures.scores import complete_days
from pondsim.spreadsheet import SheetWriter
from pondsim.units import number_text

if TYPE_CHECKING:
    import xarray as xr

MOST_FLAGS = 8  # of one kind and series that are listed one by one
LABEL = 18  # letters of the first column


def readings_text(title: str, found: list[ReadSeries], system: str) -> str:
    """What was read, by instrument, and what looks wrong."""
    blocks = [f"Readings of {title}; times are local standard time"]
    for instrument in dict.fromkeys(one.instrument for one in found):
        own = [one for one in found if one.instrument == instrument]
        blocks.append("\n".join([*_head(own, system), *_table(own, system)]))
        flagged = [line for one in own for line in _flags(one, own, system)]
        if flagged:
            head = "What looks wrong in it (* not scored or averaged; every value is kept):"
            blocks.append("\n".join([head, *flagged]))
        else:
            blocks.append("Nothing in it looks wrong.")
    return "\n\n".join(blocks)


def _head(own: list[ReadSeries], system: str) -> list[str]:
    first = own[0]
    place = words.place_words(first, system)
    step = f"every {number_text(60.0 * first.step)} min" if 0.0 < first.step < 2.0 else "at single times"
    many = len(first.services)
    services = f"; serviced {'once' if many == 1 else f'{many} times'}" if many else ""
    lines = [wrapped(f"{first.instrument}: {place}; {step}{services}")]
    if first.outside:
        lines.append(f"  {first.outside:,} of its readings lie outside the period of the results")
    return lines


def _table(own: list[ReadSeries], system: str) -> list[str]:
    heads = ("first", "last", "readings", "days", "lowest", "mean", "highest")
    widths = (11, 11, 9, 8, 8, 7, 8)  # days: complete ones of all
    lines = [" " * LABEL + "".join(h.rjust(w) for h, w in zip(heads, widths, strict=True))]
    for one in own:
        there, used = np.isfinite(one.values), np.isfinite(one.used)
        values = np.asarray(words.shown(one.values[used], one.variable, system))
        days = [str(moment)[:10] for moment in one.times[there][[0, -1]]]
        ends = (np.min, np.mean, np.max)
        numbers = [number_text(float(reduce(values))) if values.size else "-" for reduce in ends]
        cells = [*days, f"{there.sum():,}", _days(one), *numbers]
        label = f"  {words.quantity(one.variable)} [{words.unit_shown(one.variable, system)}]"
        row = "".join(c.rjust(w) for c, w in zip(cells, widths, strict=True))
        lines += [label.ljust(LABEL) + row] if len(label) <= LABEL else [label, " " * LABEL + row]
        if flagged := int(there.sum() - used.sum()):
            lines.append(f"{' ' * LABEL}  {flagged:,} of these flagged, so not in lowest, mean and highest")
    return lines


def _days(one: ReadSeries) -> str:
    """Complete days of all; "-" of a notebook."""
    if not 0.0 < one.step <= 2.0:
        return "-"
    days, complete = complete_days(one.times, one.used, one.step)
    return f"{complete.sum()}/{days.size}"


def _flags(one: ReadSeries, own: list[ReadSeries], system: str) -> list[str]:
    """Lines of one series; what concerns the whole instrument stands with its first."""
    lines = []
    flags = [flag for flag in one.flags if flag.variable or one is own[0]]
    for kind in dict.fromkeys(flag.kind for flag in flags):
        of_kind = [flag for flag in flags if flag.kind == kind]
        for flag in of_kind[:MOST_FLAGS]:
            said = words.flag_words(flag, one.variable, system)
            name = "" if not flag.variable else f"{words.quantity(one.variable)}, "
            lines.append(wrapped(f"{name}{said}", indent="  "))
        if len(of_kind) > MOST_FLAGS:
            lines.append(f"  and {len(of_kind) - MOST_FLAGS} more of this kind; --json lists all")
    if one.coded:
        lines.append(f"  {words.quantity(one.variable)}, gap codes: {one.coded:,} readings")
    return lines


def against_readings(misses: list[Miss], system: str) -> str:
    """The same as a section of a comparison: the existing pond against its readings; "" where it has none."""
    if not misses:
        return ""
    head = "\nDesign A, the existing pond, against readings"
    return "\n\n".join([head, miss_text(misses, system), wrapped(words.CAVEAT)]) + "\n"


def against_data(misses: list[Miss]) -> dict[str, Any]:
    """The same as plain data."""
    return {"readings": [_miss_data(one) for one in misses]} if misses else {}


def miss_text(misses: list[Miss], system: str) -> str:
    """By how much one run misses readings, one block for each series."""
    return "\n\n".join(_miss(one, system) for one in misses)


def _miss(miss: Miss, system: str) -> str:
    series = miss.series
    variable, unit = series.variable, words.unit_shown(series.variable, system)
    left = f"; {miss.left_out:,} flagged ones left out" if miss.left_out else ""
    lines = [
        wrapped(
            f"{words.quantity(variable)} of {series.instrument} ({words.place_words(series, system)}): "
            f"{miss.count:,} readings{left}"
        ),
        f"  {f'[{unit}]':24}{'bias':>10}{'RMSE':>10}",
    ]
    for name, score in words.score_rows(miss):
        bias = words.score_text(score.bias, variable, system, signed=True)
        lines.append(f"  {name:24}{bias:>10}{words.score_text(score.rmse, variable, system):>10}")
    lines += _by_day(miss, system)
    return "\n".join([*lines, wrapped(words.miss_words(miss, system), indent="  ")])


def _by_day(miss: Miss, system: str) -> list[str]:
    variable = miss.series.variable
    rows = []
    if math.isfinite(miss.swing_read):
        rows.append(("daily range", miss.swing_read, miss.swing_computed))
    if math.isfinite(miss.dawn_read):
        dawn = [float(words.shown(one, variable, system)) for one in (miss.dawn_read, miss.dawn_computed)]
        texts = tuple(f"{one:.1f}" for one in dawn)
        low = [("lowest at dawn, mean", *texts)]
    else:
        low = []
    cells = [(name, *(words.score_text(one, variable, system) for one in pair)) for name, *pair in rows] + low
    if math.isfinite(miss.limit):
        below = (f"{one:,.0f}" for one in (miss.hours_below_read, miss.hours_below_computed))
        cells.append((f"hours below {miss.limit:g} mg/L", *below))
    if not cells:
        return []
    head = f"  {f'{miss.complete_days} complete days':24}{'read':>10}{'computed':>10}"
    return [head, *(f"  {name:24}{read:>10}{computed:>10}" for name, read, computed in cells)]


def readings_csv(found: list[ReadSeries], runs: list[xr.Dataset], titles: list[str], system: str) -> str:
    """A row for each reading: what was read, whether it is flagged, and what each run computed there."""
    text = io.StringIO()
    writer = SheetWriter(text)
    heads = ["time", "instrument", "zone", "depth [m]", "elevation [m]", "quantity", "unit", "read", "flag"]
    writer.writerow([*heads, *titles])
    for one in found:
        unit = words.unit_shown(one.variable, system)
        computed = [computed_at(run, one) for run in runs]
        for row in np.flatnonzero(np.isfinite(one.values)):
            values = [one.values[row], *(math.nan if c is None else c[row] for c in computed)]
            cells = [_cell(value, one.variable, system) for value in values]
            moment = str(one.times[row].astype("datetime64[m]")).replace("T", " ")
            place = ["" if p is None else f"{p:.3f}" for p in (one.depth, one.elevation)]
            flag = " ".join(_kinds_at(one, one.times[row]))
            writer.writerow(
                [moment, one.instrument, one.zone, *place, one.variable, unit, cells[0], flag, *cells[1:]]
            )
    return text.getvalue()


def _kinds_at(one: ReadSeries, moment: np.datetime64) -> list[str]:
    return [flag.kind for flag in one.flags if flag.first <= moment <= flag.last and flag.kind in LEFT_OUT]


def _cell(value: float, variable: str, system: str) -> str:
    return f"{float(words.shown(value, variable, system)):.6g}" if math.isfinite(value) else ""


def readings_data(found: list[ReadSeries], misses: dict[str, list[Miss]]) -> dict[str, Any]:
    """All of it as plain data; units as results keep them."""
    return {
        "readings": [_series_data(one) for one in found],
        "runs": [{"title": title, "misses": [_miss_data(m) for m in own]} for title, own in misses.items()],
    }


def _series_data(one: ReadSeries) -> dict[str, Any]:
    there = np.isfinite(one.values)
    logger = 0.0 < one.step <= 2.0
    days, complete = complete_days(one.times, one.used, one.step) if logger else (np.empty(0), np.empty(0))
    return {
        "instrument": one.instrument,
        "zone": one.zone,
        "depth_m": one.depth,
        "elevation_m": one.elevation,
        "quantity": one.variable,
        "unit": words.QUANTITIES[one.variable][1],
        "first": str(one.times[there][0].astype("datetime64[s]")),
        "last": str(one.times[there][-1].astype("datetime64[s]")),
        "count": int(there.sum()),
        "gap_codes": one.coded,
        "outside_period": one.outside,
        "not_scored": int((one.left_out & there).sum()),
        "days": int(days.size),
        "complete_days": int(complete.sum()),
        "flags": [
            {
                "kind": flag.kind,
                "first": str(flag.first),
                "last": str(flag.last),
                "count": flag.count,
                "size": _plain(flag.size),
                "scored": flag.kind not in LEFT_OUT,
            }
            for flag in one.flags
        ],
    }


def _miss_data(miss: Miss) -> dict[str, Any]:
    numbers = (
        *("nash_sutcliffe", "kling_gupta", "hours_late", "swing_read", "swing_computed", "dawn_read"),
        *("dawn_computed", "limit", "hours_below_read", "hours_below_computed"),
    )
    return {
        "instrument": miss.series.instrument,
        "quantity": miss.series.variable,
        "unit": words.QUANTITIES[miss.series.variable][1],
        "count": miss.count,
        "left_out": miss.left_out,
        "days": miss.days,
        "complete_days": miss.complete_days,
        "scores": {
            name: {"bias": _plain(score.bias), "rmse": _plain(score.rmse)}
            for name, score in words.score_rows(miss)
        },
        **{name: _plain(getattr(miss, name)) for name in numbers},
        "words": words.miss_words(miss, "si"),
    }


def _plain(value: float) -> float | None:
    return float(f"{value:.6g}") if math.isfinite(value) else None
