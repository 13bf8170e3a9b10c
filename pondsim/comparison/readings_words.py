"""Readings in plain words: where an instrument hangs, what looks wrong in it, by how much a run misses it."""

from __future__ import annotations

import math

import numpy as np

from pondsim.measures import Miss, ReadingFlag, ReadSeries, Score
from pondsim.measures.readings import LEFT_OUT
from pondsim.units import convert, convert_difference, display, display_unit

# What was read: in words, the unit it is kept in, and the kind of unit people read it in.
QUANTITIES = {
    "dissolved_oxygen": ("oxygen", "mg/L", "concentration"),
    "water_temperature": ("temperature", "degC", "temperature"),
    "water_surface_elevation": ("water surface elevation", "m", "length"),
    "chlorophyll": ("chlorophyll", "ug/L", "chlorophyll"),
    "suspended_solids": ("suspended solids", "mg/L", "concentration"),
    "ammonium": ("ammonium", "mg/L", "concentration"),
    "circulation_flow": ("pumped flow", "m3/s", "flow"),
    "outflow": ("outflow", "m3/s", "flow"),
    "power": ("electric power", "W", "power"),
    "total_phosphorus": ("total phosphorus", "ug/L", "chlorophyll"),
    "secchi_depth": ("Secchi depth", "m", "length"),
    "nitrate": ("nitrate", "mg/L", "concentration"),
}
WHOLE_POND = {"water_surface_elevation", "circulation_flow", "outflow", "power"}
LEVEL = {
    "dissolved_oxygen": 0.5,
    "water_temperature": 0.5,
}  # mg/L, degC within which a level is right (judgement)
LEVEL_SHARE = 0.1  # of the mean of the readings, for all else (judgement)
ON_TIME = 1.5  # h (judgement)
SWING_RIGHT = (0.75, 1.33)  # ratio of daily ranges (judgement)
KINDS = {
    "impossible": "cannot be",
    "out_of_water": "out of the water",
    "spike": "spike",
    "flat": "no change to the last digit",
    "step": "step",
    "drift": "drift before the service",
    "gap": "gap",
    "clock": "clock",
}
CAVEAT = "These readings are one place in one stretch of time: agreement here proves nothing elsewhere."


def quantity(variable: str) -> str:
    """What was read, in words."""
    return QUANTITIES[variable][0] if variable in QUANTITIES else variable.replace("_", " ")


def unit_shown(variable: str, system: str) -> str:
    """Unit in which people read it."""
    return display_unit(QUANTITIES[variable][2], system)


def shown(values: float | np.ndarray, variable: str, system: str) -> float | np.ndarray:
    """Values as kept, in the unit people read."""
    return convert(values, QUANTITIES[variable][1], unit_shown(variable, system))


def difference(value: float, variable: str, system: str) -> float:
    """A difference as kept, in the unit people read."""
    return float(convert_difference(value, QUANTITIES[variable][1], unit_shown(variable, system)))


def place_words(series: ReadSeries, system: str) -> str:
    """Where an instrument hangs: "far_arm, 1.5 ft below the surface"."""
    if series.variable in WHOLE_POND:
        return "whole pond"
    zone = series.zone
    if series.depth is not None:
        return f"{zone}, {display(series.depth, 'length', system)} below the surface"
    if series.elevation is not None:
        return f"{zone}, elevation {display(series.elevation, 'length', system, 5)}"
    return f"{zone}, top"


def flag_words(flag: ReadingFlag, variable: str, system: str) -> str:
    """One flag in a line; a star where its readings are not scored."""
    span = _span(flag.first, flag.last)
    what = KINDS.get(flag.kind, flag.kind.replace("_", " "))
    star = " *" if flag.kind in LEFT_OUT else ""
    many = f"{flag.count:,} reading{'s' if flag.count != 1 else ''}"
    if flag.kind == "gap":
        return f"gap: {span}, {_hours(flag.size)}, {many} missing"
    if flag.kind == "clock":
        late = "later" if flag.size > 0.0 else "earlier"
        return (
            f"clock: the daily swing comes about {abs(flag.size) / 3600.0:.0f} h {late} than the sun allows "
            f"(good to {flag.error / 3600.0:.1f} h); {_cure(flag)}"
        )
    if flag.kind in ("step", "drift"):
        size = f"{difference(flag.size, variable, system):+.2g} {unit_shown(variable, system)}"
        return f"{what}: {span}, {size}"
    return f"{what}: {span}, {many}{star}"


def _cure(flag: ReadingFlag) -> str:
    if not math.isfinite(flag.suggested):
        return "check time_zone"
    return f'check the clock: utc_offset = "{flag.suggested / 3600.0:.0f} h" would fit'


def _span(first: np.datetime64, last: np.datetime64) -> str:
    begin, end = (str(np.datetime_as_string(one, unit="m")).replace("T", " ") for one in (first, last))
    if begin == end:
        return begin
    return f"{begin} to {end[11:] if begin[:10] == end[:10] else end}"


def _hours(seconds: float) -> str:
    hours = seconds / 3600.0
    return f"{hours / 24.0:.1f} d" if hours >= 48.0 else f"{hours:.3g} h"


def miss_words(miss: Miss, system: str) -> str:
    """By how much a run misses readings: level, timing, swing, and whether a simple guess is as good."""
    said = [f"{_level(miss, system)}{_timing(miss)}."]
    if math.isfinite(miss.swing_read) and miss.swing_read > 0.0:
        ratio = miss.swing_computed / miss.swing_read
        if not SWING_RIGHT[0] <= ratio <= SWING_RIGHT[1]:
            computed, read = (_number(one, miss, system) for one in (miss.swing_computed, miss.swing_read))
            said.append(f"The computed daily range is {computed} {_unit(miss, system)}; {read} was read.")
    return " ".join([*said, *_rival(miss, system)])


def _level(miss: Miss, system: str) -> str:
    bias = miss.run.bias
    near = LEVEL.get(miss.series.variable)
    if near is None:
        near = LEVEL_SHARE * abs(float(np.nanmean(miss.series.used)))
    if abs(bias) <= near:
        within = _number(max(abs(bias), 0.1), miss, system) if miss.series.variable in LEVEL else ""
        return "The computed level is right" + (f", within {within} {_unit(miss, system)}" if within else "")
    side = "low" if bias < 0.0 else "high"
    return f"The computed level is {_number(abs(bias), miss, system)} {_unit(miss, system)} too {side}"


def _timing(miss: Miss) -> str:
    late = miss.hours_late
    if not math.isfinite(late):
        return ""
    if abs(late) <= ON_TIME:
        return "; the timing is right"
    return f"; the daily cycle comes {abs(late):.1f} h too {'late' if late > 0.0 else 'early'}"


def _rival(miss: Miss, system: str) -> list[str]:
    if not miss.rivals:
        return []
    name, best = min(miss.rivals.items(), key=lambda pair: round(pair[1].rmse, 3))  # of equals the first
    ours, theirs = (_number(one.rmse, miss, system) for one in (miss.run, best))
    unit = _unit(miss, system)
    if miss.run.rmse < best.rmse:
        return [f"Its RMSE is {ours} {unit}; the best simple guess, {name}, has {theirs}: the run is better."]
    return [f"Its RMSE is {ours} {unit}; a simple guess, {name}, has {theirs}: the run is no better."]


def _unit(miss: Miss, system: str) -> str:
    return unit_shown(miss.series.variable, system)


def _number(value: float, miss: Miss, system: str) -> str:
    return score_text(value, miss.series.variable, system, places=1)


def score_text(value: float, variable: str, system: str, *, signed: bool = False, places: int = 2) -> str:
    """A bias or an error in the unit people read, with so many decimals; "-" where there is none."""
    if not math.isfinite(value):
        return "-"
    found = difference(value, variable, system)
    decimals = 0 if abs(found) >= 99.5 else places if abs(found) >= 0.95 or variable in LEVEL else 2
    rounded = round(found, decimals) + 0.0  # no minus before a zero
    return f"{rounded:{'+' if signed and rounded else ''}.{decimals}f}"


def score_rows(miss: Miss) -> list[tuple[str, Score]]:
    """The run and its rivals, in the order in which they are shown."""
    return [("this run", miss.run), *miss.rivals.items()]
