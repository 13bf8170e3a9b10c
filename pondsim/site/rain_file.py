"""Rain files: CSV with a time and a depth or an intensity -> rain in even steps."""

from __future__ import annotations

import math
from collections.abc import Collection
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from pondsim.constants import DAY, HOUR
from pondsim.records import Record
from pondsim.scenario.settings import Period, Rain
from pondsim.site.dated_clock import span_text
from pondsim.site.dated_head import Faults, Form, Kind, si_unit_of_head
from pondsim.site.dated_table import Dated, read_dated
from pondsim.site.rain_series import RainSeries
from pondsim.units import from_si

FloatArray = NDArray[np.float64]

HEAVIEST = 0.5 / HOUR  # m/s, more is a slip of the unit
EVEN = 1.0  # s by which a time may be off its place
CURE = 'write such as "rain [in]" for what fell in each step, or "rain [mm/h]" for its intensity'


def _check_rain(names: Collection[str], line: int, faults: Faults) -> None:
    if "rain" not in names:
        faults.add(line, "rain", f"is missing in the header; {CURE}")


FORM = Form("rain file", {"rain": Kind("m/s", "0 mm/h", "500 mm/h", "in", or_unit="m")}, {}, _check_rain)


def read_rain(path: Path, period: Period, rain: Rain, utc_offset: float) -> RainSeries:
    """Read a rain file over the period.

    The header names two columns, ``time`` and ``rain`` with its unit: a depth such as ``[in]`` or ``[mm]``
    is what fell in each step, an intensity such as ``[mm/h]`` its mean. Times are local standard time,
    an hour apart or less, at the end (or the start) of their step. Lines missing, or empty, are taken as dry
    where `rain.dry_gaps` says so. Other clocks, dates and headers are told in the scenario.

    Parameters
    ----------
    path : Path
        CSV file; lines before the header that begin with # are skipped.
    period : Period
        Limits of the run; the file must cover them.
    rain : Rain
        How it is written, whether times stand at the end of their step, and up to which length gaps are dry.
    utc_offset : float
        Local standard time of the pond minus UTC. [s]

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
    at_stamp = replace(rain, time_is="center")  # steps are told by their ends here, however long they are
    table = _table(path, at_stamp, period, utc_offset, faults)
    there = np.isfinite(table.columns["rain"])
    if np.sum(there) < 2:
        faults.add(None, "rain", "has fewer than two values")
        faults.stop_if_any()
    lines, times, values = table.line[there], table.time[there], table.columns["rain"][there]
    step = _step(lines, times, period.start, rain.dry_gaps, faults)
    head = table.heads["rain"]
    is_depth = si_unit_of_head(head, FORM.kinds["rain"]) == "m"
    intensity = values / (step if is_depth else 1.0)
    for row in np.flatnonzero((intensity < 0.0) | (intensity > HEAVIEST)):
        high = float(from_si(HEAVIEST * step if is_depth else HEAVIEST, head.unit))
        text = f"{from_si(values[row], head.unit):g} is outside what can be, 0 to {high:.4g} {head.unit}"
        faults.add(int(lines[row]), head.text, text)
    faults.stop_if_any()
    ahead = step if rain.time_is == "end" else 0.0
    begins = times - ahead
    length = (period.end - period.start).total_seconds()
    _check_cover(begins, step, length, period, rain.dry_gaps, faults)
    empty = {
        int(line): float(time) for line, time in zip(table.line[~there], table.time[~there], strict=True)
    }
    empty = {line: time for line, time in empty.items() if ahead - step < time < ahead + length}
    return _series(begins, intensity * step, step, length, empty)


def _table(path: Path, rain: Rain, period: Period, utc_offset: float, faults: Faults) -> Dated:
    """The file's rows, two at least, of which one column is rain."""
    table = read_dated(path, rain, FORM, period.start, utc_offset, faults)
    faults.stop_if_any()
    if table.time.size < 2:
        faults.add(None, "", "needs a header and two lines of rain at least")
    faults.stop_if_any()
    return table


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
        faults.add(None, "time", f"goes in steps of {span_text(step)}; hourly rain or finer is needed")
    for place in np.flatnonzero(np.abs(apart - step) > EVEN):
        line, gap = int(lines[place + 1]), float(apart[place])
        if abs(gap / step - round(gap / step)) * step > EVEN:
            text = f"is {span_text(gap)} after the line before; even steps of {span_text(step)} needed"
            faults.add(line, "time", text)
        elif gap > dry_gaps + EVEN:
            faults.add(line, "time", f"comes {span_text(gap)} after the last value; {_cure(gap)}")
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


def _cure(gap: float) -> str:
    unit, size = ("d", DAY) if gap > 2.0 * DAY else ("h", HOUR)
    return f'rain.dry_gaps = "{math.ceil(gap / size)} {unit}" would take it as dry'
