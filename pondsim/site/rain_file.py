"""Rain files: CSV with a time and a depth or an intensity -> rain in even steps."""

from __future__ import annotations

import math
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from pondsim.constants import DAY, HOUR
from pondsim.records import Record
from pondsim.scenario.settings import Period, Rain
from pondsim.site.rain_series import RainSeries
from pondsim.site.weather_file import EMPTY, HEADER, Faults, rows_of
from pondsim.units import UnitError, convert, from_si, same_kind

FloatArray = NDArray[np.float64]

HEAVIEST = 0.5 / HOUR  # m/s, more is a slip of the unit
EVEN = 1.0  # s by which a time may be off its place
CURE = 'write such as "rain [in]" for what fell in each step, or "rain [mm/h]" for its intensity'


def read_rain(path: Path, period: Period, rain: Rain) -> RainSeries:
    """Read a rain file over the period.

    The header names two columns, ``time`` and ``rain`` with its unit: a depth such as ``[in]`` or ``[mm]``
    is what fell in each step, an intensity such as ``[mm/h]`` its mean. Times are local standard time,
    an hour apart or less, at the end (or the start) of their step. Lines missing, or empty, are taken as dry
    where `rain.dry_gaps` says so.

    Parameters
    ----------
    path : Path
        CSV file; lines before the header that begin with # are skipped.
    period : Period
        Limits of the run; the file must cover them.
    rain : Rain
        Whether times stand at the end of their step, and up to which length gaps are dry.

    Returns
    -------
    RainSeries
        Steps that touch the period; records say how many were taken as dry, missing lines and empty values.

    Raises
    ------
    ScenarioError
        With every fault of the file, up to twenty, by line.
    """
    faults = Faults(path)
    rows = rows_of(path, faults)
    if len(rows) < 3:
        faults.add(None, "", "needs a header and two lines of rain at least")
    faults.stop_if_any()
    (header_line, header), rows = rows[0], rows[1:]
    clock, place, unit, is_depth = _header(header, header_line, faults)
    faults.stop_if_any()
    lines, times, values, empty = _values(rows, header, clock, place, period.start, faults)
    step = _step(lines, times, period.start, rain.dry_gaps, faults)
    intensity = convert(values, unit, "m" if is_depth else "m/s") / (step if is_depth else 1.0)
    for row in np.flatnonzero((intensity < 0.0) | (intensity > HEAVIEST)):
        high = float(from_si(HEAVIEST * step if is_depth else HEAVIEST, unit))
        text = f"{values[row]:g} is outside what can be, 0 to {high:.4g} {unit}"
        faults.add(int(lines[row]), header[place].strip(), text)
    faults.stop_if_any()
    begins = times - (step if rain.time_is == "end" else 0.0)
    length = (period.end - period.start).total_seconds()
    _check_cover(begins, step, length, period, rain.dry_gaps, faults)
    ahead = step if rain.time_is == "end" else 0.0
    empty = {line: time for line, time in empty.items() if ahead - step < time < ahead + length}
    return _series(begins, intensity * step, step, length, empty)


def _header(header: list[str], line: int, faults: Faults) -> tuple[int, int, str, bool]:
    """Places of time and rain, the unit of rain, and whether it is a depth."""
    found: dict[str, tuple[int, str]] = {}
    for place, text in enumerate(header):
        match = HEADER.fullmatch(text)
        name, unit = (match[1].lower(), match[2] or "") if match else (text.strip(), "")
        if name in found:
            faults.add(line, name, "stands twice in the header")
        found[name] = (place, unit)
    for name in found.keys() - {"time", "rain"}:
        faults.add(line, name, "is not a column of a rain file; time and rain are needed")
    if "time" not in found:
        faults.add(line, "time", "is missing in the header")
    if "rain" not in found:
        faults.add(line, "rain", f"is missing in the header; {CURE}")
    faults.stop_if_any()
    place, unit = found["rain"]
    is_depth = False
    try:
        if not unit:
            faults.add(line, "rain", f"has no unit; {CURE}")
        elif not (is_depth := same_kind(unit, "m")) and not same_kind(unit, "m/s"):
            faults.add(line, header[place].strip(), f'"{unit}" is of another kind; {CURE}')
    except UnitError as error:
        faults.add(line, header[place].strip(), f"{str(error).rstrip('.')}; {CURE}")
    return found["time"][0], place, unit, is_depth


def _values(
    rows: list[tuple[int, list[str]]],
    header: list[str],
    clock: int,
    place: int,
    start: datetime,
    faults: Faults,
) -> tuple[NDArray[np.int64], FloatArray, FloatArray, dict[int, float]]:
    """Line, time and value of every row that has a value; line and time of those that have none."""
    kept: list[tuple[int, float, float]] = []
    empty: dict[int, float] = {}
    for line, fields in rows:
        text, field = fields[clock].strip(), fields[place].strip()
        try:
            moment = datetime.fromisoformat(text)
        except ValueError:
            faults.add(line, "time", f'"{text}" is not a time; write it as 2025-06-03 14:00')
            continue
        if moment.tzinfo is not None:
            faults.add(line, "time", f'"{text}" has a time zone; write local standard time without one')
            continue
        time = (moment - start).total_seconds()
        if field.lower() in EMPTY:
            empty[line] = time
        else:
            try:
                value = float(field)
            except ValueError:
                value = math.nan
            if not math.isfinite(value):
                faults.add(line, header[place].strip(), f'"{field}" is not a number')
            kept.append((line, time, value))
    faults.stop_if_any()
    if len(kept) < 2:
        faults.add(None, "rain", "has fewer than two values")
        faults.stop_if_any()
    line_of, times, value_of = zip(*kept, strict=True)
    return np.array(line_of, dtype=np.int64), np.array(times), np.array(value_of), empty


def _step(
    lines: NDArray[np.int64], times: FloatArray, start: datetime, dry_gaps: float, faults: Faults
) -> float:
    """Step between the times; notes order, gaps and uneven steps."""
    apart = np.diff(times)
    for place in np.flatnonzero(apart <= 0.0):
        moment = start + timedelta(seconds=float(times[place + 1]))
        again = "stands twice" if apart[place] == 0.0 else "is not later than the line before"
        text = f"{moment:%Y-%m-%d %H:%M} {again}; standard time has no hour of summer time"
        faults.add(int(lines[place + 1]), "time", text)
    faults.stop_if_any()
    # a gauge that writes wet steps only has few neighbours
    step = float(np.min(apart) if dry_gaps > 0.0 else np.median(apart))
    if step > HOUR + EVEN:
        faults.add(None, "time", f"goes in steps of {_span(step)}; hourly rain or finer is needed")
    for place in np.flatnonzero(np.abs(apart - step) > EVEN):
        line, gap = int(lines[place + 1]), float(apart[place])
        if abs(gap / step - round(gap / step)) * step > EVEN:
            text = f"is {_span(gap)} after the line before; even steps of {_span(step)} wanted"
            faults.add(line, "time", text)
        elif gap > dry_gaps + EVEN:
            faults.add(line, "time", f"comes {_span(gap)} after the last value; {_cure(gap)}")
    faults.stop_if_any()
    return step


def _check_cover(
    begins: FloatArray, step: float, length: float, period: Period, dry_gaps: float, faults: Faults
) -> None:
    late, early = float(begins[0]), length - float(begins[-1]) - step
    if max(late, early) > dry_gaps + EVEN:
        first, last = (
            period.start + timedelta(seconds=float(moment)) for moment in (begins[0], begins[-1] + step)
        )
        text = f"goes from {first:%Y-%m-%d %H:%M} to {last:%Y-%m-%d %H:%M}; the period needs "
        text += f"{period.start:%Y-%m-%d %H:%M} to {period.end:%Y-%m-%d %H:%M}"
        faults.add(None, "time", text)
    faults.stop_if_any()


def _series(
    begins: FloatArray, depth: FloatArray, step: float, length: float, empty: dict[int, float]
) -> RainSeries:
    """Even steps that touch the period, dry where no line stands or it is empty."""
    shift = float(begins[0]) - step * math.floor(begins[0] / step)  # of the steps against the start
    first = shift - step if shift > EVEN else shift
    count = math.ceil((length - first) / step - 1e-6)
    filled = np.full(count, np.nan)
    place = np.rint((begins - first) / step).astype(np.int64)
    inside = (place >= 0) & (place < count)
    filled[place[inside]] = depth[inside]
    dry = int(np.sum(np.isnan(filled))) - len(empty)
    records = [Record("rain_gaps", numbers={"steps": (dry, "1")})] if dry > 0 else []
    if empty:
        numbers = {"values": (float(len(empty)), "1"), "line": (float(min(empty)), "1")}
        records.append(Record("rain_empty", "caution", numbers=numbers))
    return RainSeries(first, step, np.nan_to_num(filled), tuple(records))


def _span(seconds: float) -> str:
    return f"{seconds / HOUR:.3g} h" if seconds >= HOUR else f"{seconds / 60.0:.3g} min"


def _cure(gap: float) -> str:
    unit, size = ("d", DAY) if gap > 2.0 * DAY else ("h", HOUR)
    return f'rain.dry_gaps = "{math.ceil(gap / size)} {unit}" would take it as dry'
