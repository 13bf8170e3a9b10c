"""What looks wrong in readings: said beside them, never taken away.

A flag is a stretch of one quantity of one instrument. Some kinds (`LEFT_OUT`) keep their readings out of
scores, which say how many; the others are only told. All thresholds but those of drift are judgement, made so
that what a shallow pond does in a day raises none.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from pondsim.constants import DAY, HOUR
from pondsim.scenario.settings import Place
from pondsim.site.clock_check import swing_clock
from pondsim.site.readings import Instrument

FloatArray = NDArray[np.float64]
Mask = NDArray[np.bool_]

LEFT_OUT = ("impossible", "out_of_water", "spike", "flat")
LOGGER_STEP = 2.0 * HOUR  # s, above which a file is a notebook: nothing is said of its course
GAP = 3.0 * HOUR  # s without a reading that are told, or three steps where those are more
OUT_OF_WATER = 5.0  # degC from the median of two days: no depth of a pond swings by 10 in a day
MEDIAN_OVER = 49.0 * HOUR  # s
CLOSED_OVER = 6.0 * HOUR  # s: readings between two that are out of the water were so too
JUMPS = {"dissolved_oxygen": 1.5, "water_temperature": 2.0}  # mg/L, degC from one reading to the next
OF_USUAL = 8.0  # times the usual change between readings, which a jump must exceed as well
SPIKE = 3  # readings, at most, after which a spike is back
SETTLED = 12.0 * HOUR  # s on either side over which a step must stay
FLAT = {"dissolved_oxygen": 12.0 * HOUR, "water_temperature": 48.0 * HOUR}  # s at one value to the last digit
FLAT_READINGS = 6
NO_OXYGEN = 0.3  # mg/L, at or below which oxygen may well stay the same
# Drift of a fouled or worn sensor that wants correction. Source: wagner2006 (from memory, not verified).
DRIFT = {"dissolved_oxygen": 0.3, "water_temperature": 0.2}  # mg/L, degC
NEAR_SERVICE = 6.0 * HOUR  # s, within which readings tell the jump at a service
OTHER_DAYS = 10  # days on either side that tell what those hours change by usually


@dataclass(frozen=True)
class Flag:
    """A stretch of readings that looks wrong.

    Attributes
    ----------
    kind : impossible, out_of_water, spike, flat, step, drift, gap or clock
    instrument, variable : of which; "" where the whole instrument is meant
    first, last : moments of the first and last reading, or of the stretch
    count : readings in it
    size : of a step or drift, in the unit of the readings; of a gap or clock in seconds; else NaN
    error : by how much a clock's offset may be wrong [s]; else NaN
    suggested : clock minus UTC that would fit [s]; else NaN
    """

    kind: str
    instrument: str
    variable: str
    first: np.datetime64
    last: np.datetime64
    count: int
    size: float = math.nan
    error: float = math.nan
    suggested: float = math.nan


def flags_of(instrument: Instrument, place: Place, pool: float = math.nan) -> list[Flag]:
    """Everything that looks wrong in the readings of one instrument.

    Parameters
    ----------
    instrument : Instrument
        As read.
    place : Place
        For solar noon.
    pool : float
        Normal pool, for the depth of an instrument at a fixed elevation. [m]

    Returns
    -------
    list of Flag
        By quantity and time; gaps of all quantities together come first. Raises nothing.
    """
    found = list(_gaps(instrument))
    is_logger = 0.0 < instrument.step <= LOGGER_STEP and instrument.time.size > 2
    away = _out_of_water(instrument) if is_logger else np.zeros(instrument.time.size, dtype=bool)
    for name, values in instrument.values.items():
        impossible = instrument.impossible[name]
        found += _stretches("impossible", instrument, name, impossible)
        found += _stretches("out_of_water", instrument, name, away & np.isfinite(values))
        if not is_logger:
            continue
        clean = np.where(impossible | away, np.nan, values)
        spikes, steps = _jumps(instrument, name, clean)
        found += _stretches("spike", instrument, name, spikes)
        found += steps
        clean = np.where(spikes, np.nan, clean)
        found += _stretches("flat", instrument, name, _flat(instrument, name, clean))
        found += _drift(instrument, name, clean)
        found += _clock(instrument, name, clean, place, pool)
    return found


def _seconds(instrument: Instrument) -> FloatArray:
    """Since the midnight before the first reading. [s]"""
    start = instrument.time[0].astype("datetime64[D]")
    return np.asarray((instrument.time - start) / np.timedelta64(1, "s"), dtype=float)


def _stretches(kind: str, instrument: Instrument, name: str, mask: Mask) -> Iterator[Flag]:
    """A flag for each unbroken run of readings."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], mask, [False]]).astype(np.int8)))
    for first, after in edges.reshape(-1, 2):
        time = instrument.time
        yield Flag(kind, instrument.name, name, time[first], time[after - 1], int(after - first))


def _gaps(instrument: Instrument) -> Iterator[Flag]:
    """Stretches without any reading; a notebook has none."""
    if not 0.0 < instrument.step <= LOGGER_STEP:
        return
    held = np.zeros(instrument.time.size, dtype=bool)
    for values in instrument.values.values():
        held |= np.isfinite(values)
    times = instrument.time[held]
    apart = np.diff(times) / np.timedelta64(1, "s")
    for place in np.flatnonzero(apart > max(GAP, 3.0 * instrument.step)):
        missing = round(apart[place] / instrument.step) - 1
        yield Flag("gap", instrument.name, "", times[place], times[place + 1], missing, float(apart[place]))


def _out_of_water(instrument: Instrument) -> Mask:
    """Readings that swing as air does: far from the median of two days around them."""
    away = np.zeros(instrument.time.size, dtype=bool)
    warmth = instrument.values.get("water_temperature")
    if warmth is None:
        return away
    good = np.flatnonzero(np.isfinite(warmth) & ~instrument.impossible["water_temperature"])
    at, value = _seconds(instrument)[good], warmth[good]
    first = np.searchsorted(at, at - 0.5 * MEDIAN_OVER)
    after = np.searchsorted(at, at + 0.5 * MEDIAN_OVER, side="right")
    middle = np.array([np.median(value[a:b]) for a, b in zip(first, after, strict=True)])
    far = good[np.abs(value - middle) > OUT_OF_WATER]
    away[far] = True
    seconds = _seconds(instrument)
    for one, other in pairwise(far):
        if seconds[other] - seconds[one] <= CLOSED_OVER:
            away[one:other] = True
    return away


def _jumps(instrument: Instrument, name: str, values: FloatArray) -> tuple[Mask, list[Flag]]:
    """Readings that leave and come back, and moments after which all readings are others."""
    spikes = np.zeros(values.size, dtype=bool)
    steps: list[Flag] = []
    good = np.flatnonzero(np.isfinite(values))
    if name not in JUMPS or good.size < 2 * SPIKE + 2:
        return spikes, steps
    seconds, value = _seconds(instrument)[good], values[good]
    change, apart = np.diff(value), np.diff(seconds)
    usual = float(np.median(np.abs(change)))
    limit = max(JUMPS[name], OF_USUAL * usual)
    place = 0
    while place < change.size:
        if abs(change[place]) <= limit or apart[place] > HOUR + instrument.step:
            place += 1
            continue
        back = next(
            (n for n in range(1, SPIKE + 1) if place + 1 + n < value.size
             and abs(value[place + 1 + n] - value[place]) < 0.5 * abs(change[place])),
            None,
        )  # fmt: skip
        if back is not None:
            spikes[good[place + 1 : place + 1 + back]] = True
            place += back + 1
            continue
        settled = _settled(seconds, value, place)
        if math.isfinite(settled) and abs(settled) > 0.5 * abs(change[place]):
            moments = instrument.time[good[place]], instrument.time[good[place + 1]]
            steps.append(Flag("step", instrument.name, name, *moments, 1, float(change[place])))
        place += 1
    return spikes, steps


def _settled(seconds: FloatArray, value: FloatArray, place: int) -> float:
    """Median of a whole day after a change less that of the day before; NaN at the ends of the series."""
    before = (seconds <= seconds[place]) & (seconds > seconds[place] - DAY)
    after = (seconds > seconds[place]) & (seconds <= seconds[place] + DAY)
    if min(seconds[place] - seconds[0], seconds[-1] - seconds[place]) < SETTLED:
        return math.nan
    return float(np.median(value[after]) - np.median(value[before]))


def _flat(instrument: Instrument, name: str, values: FloatArray) -> Mask:
    """Readings that stay the same to the last digit for long."""
    flat = np.zeros(values.size, dtype=bool)
    good = np.flatnonzero(np.isfinite(values))
    if name not in FLAT or good.size < FLAT_READINGS:
        return flat
    seconds, value = _seconds(instrument)[good], values[good]
    edges = np.flatnonzero(np.diff(value)) + 1
    for first, after in zip([0, *edges], [*edges, good.size], strict=True):
        low = name == "dissolved_oxygen" and value[first] <= NO_OXYGEN
        long = seconds[after - 1] - seconds[first] >= FLAT[name]
        if long and after - first >= FLAT_READINGS and not low:
            flat[good[first:after]] = True
    return flat


def _drift(instrument: Instrument, name: str, values: FloatArray) -> Iterator[Flag]:
    """Jumps at services beyond what the same hours change by on other days: drift before the service."""
    good = np.isfinite(values)
    if name not in DRIFT or good.sum() < FLAT_READINGS:
        return
    start = instrument.time[0].astype("datetime64[D]")
    seconds, value = _seconds(instrument)[good], values[good]
    since = instrument.time[0]
    for service in instrument.services:
        moment = float((service - start) / np.timedelta64(1, "s"))
        before = np.flatnonzero((seconds < moment) & (seconds >= moment - NEAR_SERVICE))[-SPIKE:]
        after = np.flatnonzero((seconds > moment) & (seconds <= moment + NEAR_SERVICE))[:SPIKE]
        if before.size == after.size == SPIKE:
            jump = float(np.median(value[after]) - np.median(value[before]))
            ends = float(np.median(seconds[before])), float(np.median(seconds[after]))
            usual, scatter = _usual_change(seconds, value, *ends)
            size = jump - usual
            if math.isfinite(size) and abs(size) > max(DRIFT[name], 3.0 * scatter):
                count = int(np.sum((instrument.time[good] > since) & (instrument.time[good] <= service)))
                # what the sensor read too much before it was cleaned
                yield Flag("drift", instrument.name, name, since, service, count, -size)
        since = service


def _usual_change(seconds: FloatArray, value: FloatArray, first: float, last: float) -> tuple[float, float]:
    """Median and scatter of the change between two hours of the day, on the days around."""
    changes = []
    for days in (*range(-OTHER_DAYS, 0), *range(1, OTHER_DAYS + 1)):
        ends = np.array([first, last]) + days * DAY
        near = np.searchsorted(seconds, ends)
        if near[0] > 0 and near[1] < seconds.size and np.all(seconds[near] - seconds[near - 1] <= GAP):
            changes.append(float(np.diff(np.interp(ends, seconds, value))[0]))
    if len(changes) < 3:
        return math.nan, math.nan
    middle = float(np.median(changes))
    return middle, 1.4826 * float(np.median(np.abs(np.array(changes) - middle)))


def _clock(
    instrument: Instrument, name: str, values: FloatArray, place: Place, pool: float
) -> Iterator[Flag]:
    depth = instrument.depth
    if depth is None and instrument.elevation is not None and math.isfinite(pool):
        depth = pool - instrument.elevation
    found = swing_clock(name, _seconds(instrument), values, depth, place)
    if found is not None:
        ends = instrument.time[0], instrument.time[-1]
        count = int(np.sum(np.isfinite(values)))
        better = (instrument.clock + found.seconds + 0.5 * DAY) % DAY - 0.5 * DAY
        yield Flag("clock", instrument.name, name, *ends, count, found.seconds, found.error, better)
