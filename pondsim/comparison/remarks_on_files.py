"""What a run says of weather, rain and readings as they came from files, in words."""

from __future__ import annotations

from collections.abc import Callable

from pondsim.records import Record
from pondsim.units import convert

HOUR = 3600.0  # s


def _weather_bridged(record: Record) -> str:
    return f"{record.number('values'):.0f} missing values of the weather file were filled by straight lines."


def _typical_year(record: Record) -> str:
    return (
        f"Weather: a typical year of {record.where}, made of months of different years, in standard time; "
        "its rain is not used."
    )


def _station_far(record: Record) -> str:
    metres = record.number("distance")
    return (
        f"The weather station is {metres / 1e3:.0f} km ({convert(metres, 'm', 'mi'):.0f} mi) from the pond."
    )


def _rain_gaps(record: Record) -> str:
    steps = record.number("steps")
    many = "1 step" if steps == 1 else f"{steps:.0f} steps"
    return f"Where the rain file has no line ({many}) it was taken as dry, as rain.dry_gaps allows."


def _rain_empty(record: Record) -> str:
    count, line = record.number("values"), record.number("line")
    values, were = ("value", "was") if count == 1 else ("values", "were")
    return (
        f"{count:.0f} empty {values} of the rain file (the first in line {line:.0f}) {were} taken as dry, as "
        "rain.dry_gaps allows: a gauge that failed looks like one that stayed dry."
    )


def _weather_stuck(record: Record) -> str:
    *others, last = record.names.values() or [record.where]
    change = "change" if others else "changes"
    said = " and ".join(filter(None, (", ".join(others), last)))
    return f"In the weather file {said} never {change}: is a sensor stuck?"


def _weather_filled(record: Record) -> str:
    column, file = record.names.get("column", record.where), record.names.get("file", "another file")
    count, hours = record.number("values"), record.number("overlap") / HOUR
    what = f"{count:.0f} missing values of {column.replace('_', ' ')} were taken from {file}"
    if "factor" in record.numbers:
        apart = f"reads {record.number('factor'):.2f} times as much"
    elif "difference" in record.numbers:
        value, unit = record.numbers["difference"]
        shown = {"delta_K": "delta_degF", "1": "%", "Pa": "kPa"}.get(unit, unit)
        apart = f"reads {convert(value, unit, shown):+.2g} {shown.replace('delta_', '')} more"
    else:
        return f"{what} as they are; the files share {hours:.0f} h of it, too little to compare stations."
    moved = "its values were adjusted by that" if record.number("moved") else "its values were used as read"
    return f"{what}, which {apart} over the {hours:.0f} h that both files have; {moved}."


def _clock_against_sun(record: Record) -> str:
    """The offset that the sun suggests, and the key that states it."""
    off = record.number("offset") / HOUR
    late = "later" if off > 0.0 else "earlier"
    instrument, variable = record.where, record.names.get("variable", "")
    key = f"readings.{instrument}" if variable else "weather"
    seen = f"sunlight in the weather file comes {abs(off):g} h {late} than the sun"
    if variable:
        swing = f"the daily swing of {variable.replace('_', ' ')} of {instrument}"
        seen = f"{swing} comes about {abs(off):g} h {late} than the sun allows"
    if "stated" not in record.numbers:
        return f"Check the clock: {seen}. Is {key}.time_zone right?"
    stated = record.number("stated") / HOUR
    better = (stated + off + 12.0) % 24.0 - 12.0
    daylight = f' If it has daylight saving time, write {key}.time_zone = "...".' if off == 1.0 else ""
    return (
        f"Check the clock: {seen}. It was taken as UTC{stated:+g} h; UTC{better:+g} h would fit: write "
        f'{key}.utc_offset = "{better:g} h" (good to {record.number("error") / HOUR:g} h).{daylight}'
    )


def _stamps_off_center(record: Record) -> str:
    off = record.number("offset")
    late, side = ("later", "end") if off > 0.0 else ("earlier", "start")
    return (
        f"Sunlight in the weather file comes {abs(off) / 60.0:.0f} min {late} than the sun, half a step: if "
        f'its values are means over the step, write weather.time_is = "{side}".'
    )


def _readings_outside(record: Record) -> str:
    first, last, start, end = (str(record.time(name).date()) for name in ("first", "last", "start", "end"))
    return (
        f"None of the readings of {record.where} ({first} to {last}) falls within the period of the run "
        f"({start} to {end})."
    )


FILE_WORDS: dict[str, str | Callable[[Record], str]] = {
    "weather_bridged": _weather_bridged,
    "sunlight_from_cloud": "Sunlight was computed from cloud cover.",
    "cloud_from_sunlight": "Cloud cover was estimated from sunlight, and carried through the night.",
    "typical_year": _typical_year,
    "station_far": _station_far,
    "rain_gaps": _rain_gaps,
    "rain_empty": _rain_empty,
    "land_stays_dry": (
        "No [rain] is given, so drainage areas shed nothing in this run; a [[storm]] falls on them when "
        "pondsim storm --storms or compare --storms names it."
    ),
    "weather_stuck": _weather_stuck,
    "weather_filled": _weather_filled,
    "clock_against_sun": _clock_against_sun,
    "readings_outside": _readings_outside,
    "stamps_off_center": _stamps_off_center,
}
