"""Checks of readings and of how files of dated values are written: zone, depth, clock, columns.

Each takes the scenario and yields dotted keys with a message that continues a sentence begun with the key.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from pondsim.scenario.check_pond import Fault, length, no_zone
from pondsim.scenario.settings import DatedFile, Scenario


def readings(scenario: Scenario) -> Iterator[Fault]:
    """An instrument hangs in a zone, at a depth or an elevation, and its file has one clock."""
    top = scenario.pond.bank_top
    for given in scenario.readings:
        key = f"readings.{given.name}"
        yield from no_zone(f"{key}.zone", given.zone, scenario)
        if given.depth is not None and given.elevation is not None:
            yield f"{key}.depth", "and elevation are both given; keep the one that is fixed."
        bed = next((zone.stage[0] for zone in scenario.zone if zone.name == given.zone), None)
        if given.elevation is not None and bed is not None and not bed <= given.elevation <= top:
            yield (
                f"{key}.elevation",
                f"= {length(given.elevation)} is not between the bed of {given.zone}, {length(bed)}, "
                f"and the bank top, {length(top)}.",
            )
        if given.depth is not None and bed is not None and given.depth > top - bed:
            yield (
                f"{key}.depth",
                f"= {length(given.depth)} is more than {given.zone} is deep at the bank top, "
                f"{length(top - bed)}.",
            )
        yield from _written(key, given)


def weather_files(scenario: Scenario) -> Iterator[Fault]:
    """How the weather file, and those that fill it, are written."""
    weather = scenario.weather
    yield from _written("weather", weather)
    for place, other in enumerate(weather.fill_from, 1):
        lone = len(weather.fill_from) == 1
        yield from _written("weather.fill_from" if lone else f"weather.fill_from.{place}", other)
    if weather.fill_from and (weather.file is None or weather.layout != "project"):
        yield "weather.fill_from", "fills a weather file of your own; write weather.file, or take it out."


def rain_file(scenario: Scenario) -> Iterator[Fault]:
    """How the rain file is written."""
    if scenario.rain is not None:
        yield from _written("rain", scenario.rain)


def _written(key: str, given: DatedFile) -> Iterator[Fault]:
    """One clock; a form of dates with its parts; columns that are not told twice."""
    if given.utc_offset is not None and given.time_zone is not None:
        yield f"{key}.utc_offset", "and time_zone are both given; keep one of them."
    form = given.time_format
    if form is not None and not _is_form(form):
        yield (
            f"{key}.time_format",
            f'= "{form}" gives no day and time; write strptime codes, such as "%m/%d/%Y %H:%M".',
        )
    if not given.time_columns:
        yield f"{key}.time_columns", "names no column; write the header of the time column."
    headers = [column.header for column in given.column]
    for twice in sorted({one for one in headers if headers.count(one) > 1}):
        yield f"{key}.column", f'names "{twice}" twice; keep one of them.'
    for both in sorted(set(headers) & set(given.ignore)):
        yield f"{key}.ignore", f'names "{both}", which a column holds; keep one of them.'


def _is_form(form: str) -> bool:
    """Whether codes carry a day there and back, and its hour if any: 1 o'clock alone may be 13 o'clock."""
    moment = datetime(2031, 11, 23, 13, 47)
    try:
        back = datetime.strptime(moment.strftime(form), form)
        return back.date() == moment.date() and back.hour in (0, moment.hour)
    except ValueError:
        return False
