"""Checks of a weather table: times that are even and cover the period, gaps, what cannot be together."""

from __future__ import annotations

import math
from datetime import datetime, timedelta
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from pondsim.constants import HOUR
from pondsim.physics.oxygen import standard_pressure
from pondsim.scenario.settings import Period, Place
from pondsim.site.dated_clock import span_text
from pondsim.site.dated_head import Faults
from pondsim.site.dated_table import Dated

FloatArray = NDArray[np.float64]

SUNDAY = 6
CLOCK_MONTHS = (3, 4, 9, 10)  # clocks go forward, north and south
EVEN = 1.0  # s by which a time may be off its place
DEW_ABOVE_AIR = 1.0  # K that rounding may put the dew point over the air's temperature
PRESSURE_SPREAD = 0.08  # share by which station pressure may differ from the standard atmosphere


def check_times(table: Dated, length: float, period: Period, longest: float, faults: Faults) -> float:
    """Step between the times; notes order, gaps, uneven steps and what is not covered."""
    ends = float(np.min(table.time)), float(np.max(table.time))
    first, last = (period.start + timedelta(seconds=end) for end in ends)
    if ends[0] > 0.0 or ends[1] < length:
        faults.add(
            None,
            "time",
            f"goes from {first:%Y-%m-%d %H:%M} to {last:%Y-%m-%d %H:%M}; "
            f"the period needs {period.start:%Y-%m-%d %H:%M} to {period.end:%Y-%m-%d %H:%M}",
        )
        faults.stop_if_any()
    steps = np.diff(table.time)
    rising = steps[steps > 0.0]
    step = float(np.median(rising)) if rising.size else 0.0
    if step > HOUR + EVEN:
        faults.add(None, "time", f"goes in steps of {span_text(step)}; hourly weather or finer is needed")
        faults.stop_if_any()
    for place, found in enumerate(steps):
        line, text = (
            int(table.line[place + 1]),
            period.start + timedelta(seconds=float(table.time[place + 1])),
        )
        if found <= 0.0:
            again = "stands twice" if found == 0.0 else "is not later than the line before"
            faults.add(
                line, "time", f"{text:%Y-%m-%d %H:%M} {again}; standard time has no hour of summer time"
            )
        elif abs(found / step - round(found / step)) * step > EVEN:
            faults.add(
                line,
                "time",
                f"is {span_text(found)} after the line before; even steps of {span_text(step)} needed",
            )
        elif found > step + EVEN and found > longest + EVEN:
            faults.add(line, "time", f"comes {span_text(found)} after the line before; {_cure(found, text)}")
    faults.stop_if_any()
    return step


def _is_spring_clock_change(gap: float, after: datetime) -> bool:
    """Whether one hour of an hourly file is lacking where clocks go forward, 02:00 on a Sunday in spring."""
    missing = after - timedelta(hours=1)
    return (
        abs(gap - 2.0 * HOUR) < EVEN
        and missing.hour == 2
        and missing.weekday() == SUNDAY
        and missing.month in CLOCK_MONTHS
    )


def _cure(gap: float, after: datetime | None = None) -> str:
    if after is not None and _is_spring_clock_change(gap, after):
        return (
            "the hour lacking is that of the change to summer time; write local standard time, "
            "without summer time, all through"
        )
    if gap > 12.0 * HOUR:
        return "too long a gap to bridge; fill it from another station by [weather.fill_from]"
    return f'weather.fill_gaps = "{math.ceil(gap / HOUR)} h" would bridge it'


def bridge(
    table: Dated, time: FloatArray, step: float, longest: float, faults: Faults
) -> tuple[dict[str, FloatArray], int]:
    """Columns at even times, and how many values were set by straight lines; notes gaps too long."""
    filled: dict[str, FloatArray] = {}
    bridged = 0
    for name, values in table.columns.items():
        good = np.flatnonzero(~np.isnan(values))
        if good.size == 0 or good[0] > 0 or good[-1] < values.size - 1:
            edge = 0 if good.size == 0 or good[0] > 0 else int(good[-1]) + 1
            faults.add(int(table.line[edge]), table.header(name), "is empty at the edge of the period")
            continue
        for before, after in pairwise(good):
            gap = table.time[after] - table.time[before]
            if after > before + 1 and gap > longest + EVEN:
                line = int(table.line[before + 1])
                faults.add(line, table.header(name), f"is empty for {span_text(gap)}; {_cure(gap)}")
        bridged += time.size - good.size
        if not faults.problems:
            filled[name] = np.interp(time, table.time[good], values[good])
    return filled, bridged


def check_dew_and_pressure(table: Dated, place: Place, faults: Faults) -> None:
    """Note dew points above the air's temperature, and pressure that is not that of the station."""
    columns = table.columns
    if "dew_point" in columns:
        for row in np.flatnonzero(columns["dew_point"] > columns["air_temperature"] + DEW_ABOVE_AIR):
            faults.add(int(table.line[row]), table.header("dew_point"), "is above the air's temperature")
    if "pressure" in columns:
        standard = standard_pressure(place.elevation)
        for row in np.flatnonzero(np.abs(columns["pressure"] / standard - 1.0) > PRESSURE_SPREAD):
            message = f"is far from the {standard / 1e3:.1f} kPa of this elevation; "
            message += "the station's own pressure is wanted, not that of sea level"
            faults.add(int(table.line[row]), table.header("pressure"), message)
