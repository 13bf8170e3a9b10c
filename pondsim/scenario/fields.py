"""Dataclass fields that know their unit, range and default: the vocabulary of settings.py.

Each function returns a field whose default, if it has one, is converted by the same reader as a text in a
file, when it is first needed: importing the settings imports no unit library.
"""

from __future__ import annotations

import dataclasses
from functools import partial
from typing import Any

from pondsim.scenario.convert import default_value
from pondsim.scenario.defaults import default_texts
from pondsim.scenario.keys import REQUIRED, Key


def _field(key: Key) -> Any:
    if key.required:
        return dataclasses.field(metadata={"key": key})
    return dataclasses.field(default_factory=partial(default_value, key), kw_only=True, metadata={"key": key})


def quantity(
    unit: str,
    *,
    doc: str,
    default: Any = REQUIRED,
    least: str | None = None,
    most: str | None = None,
    was: str = "",
    note: str = "",
) -> Any:
    """A number with a unit; `unit` is the SI unit it is kept in, `was` its old name, `note` as in `Key`."""
    return _field(Key("quantity", doc, unit, least, most, default, was=was, note=note))


def number(
    *, doc: str, default: Any = REQUIRED, least: float | None = None, most: float | None = None
) -> Any:
    """A plain number."""
    return _field(Key("quantity", doc, "1", least, most, default))


def integer(*, doc: str, default: Any = REQUIRED, least: int | None = None, most: int | None = None) -> Any:
    """A whole number."""
    return _field(Key("integer", doc, "1", least, most, default))


def numbers(
    unit: str, *, doc: str, default: Any = REQUIRED, least: str | None = None, most: str | None = None
) -> Any:
    """A list of numbers with units."""
    return _field(Key("numbers", doc, unit, least, most, default))


def months(
    unit: str,
    *,
    doc: str,
    default: Any = REQUIRED,
    least: str | None = None,
    most: str | None = None,
    single: bool = False,
) -> Any:
    """Twelve values, January first; with `single` one value may stand for all twelve."""
    if isinstance(default, str) and default.startswith("parameter:"):
        name = default.removeprefix("parameter:")
        default = default_texts(name)["value"]
        return _field(Key("months", doc, unit, least, most, default, single=single, parameter=name))
    return _field(Key("months", doc, unit, least, most, default, single=single))


def parameter(name: str, *, was: str = "", was_shown: bool = True) -> Any:
    """A quantity whose unit, default, range and meaning stand in defaults.toml under `name`."""
    row = default_texts(name)
    least, most = row["allowed"]
    key = Key("quantity", row["about"], "", least, most, row["value"], parameter=name)
    return _field(dataclasses.replace(key, was=was, was_shown=was_shown))


def point(unit: str, *, doc: str) -> Any:
    """Two numbers with units: a place on a plan."""
    return _field(Key("point", doc, unit))


def text(*, doc: str, default: Any = REQUIRED) -> Any:
    """One line of text."""
    return _field(Key("text", doc, default=default))


def texts(*, doc: str, default: Any = ()) -> Any:
    """A list of texts, each in quotes; a number may stand without."""
    return _field(Key("texts", doc, default=default))


def short_name(*, doc: str, default: Any = REQUIRED, count: int | None = 1, digit_first: bool = False) -> Any:
    """A short name, or a list of `count` names (None: any number)."""
    return _field(Key("name", doc, default=default, count=count, digit_first=digit_first))


def choice(*words: str, doc: str, default: Any = REQUIRED) -> Any:
    """One of a few words."""
    return _field(Key("choice", doc, default=default, choices=words))


def flag(*, doc: str, default: Any = REQUIRED) -> Any:
    """True or false."""
    return _field(Key("flag", doc, default=default))


def instant(*, doc: str, default: Any = REQUIRED) -> Any:
    """A day, or a day and time, in local standard time."""
    return _field(Key("instant", doc, default=default))


def instants(*, doc: str) -> Any:
    """A list of days, or of days and times, in local standard time; none when left out."""
    return _field(Key("instants", doc, default=()))


def daily_hours(*, doc: str) -> Any:
    """Spans of the day, such as ``["20:00-08:00"]``; the whole day when left out."""
    return _field(Key("hours", doc, default=("00:00-24:00",)))


def yearly_season(*, doc: str) -> Any:
    """Spans of the year, such as ``["05-15 to 09-30"]``, both days included; the whole year when left out."""
    return _field(Key("season", doc, default=("01-01 to 12-31",)))


def file_name(*, doc: str, default: Any = REQUIRED) -> Any:
    """A file, relative to the one that names it."""
    return _field(Key("file", doc, default=default))


def fittings(*, doc: str) -> Any:
    """Fittings by name with how many, such as ``["2 standard elbow", "gate valve"]``; none when left out."""
    return _field(Key("fittings", doc, default=()))


def key_sources(*, doc: str) -> Any:
    """Texts by dotted key of the files, such as ``bed.oxygen_demand = "two cores of June 2024"``."""
    return _field(Key("sources", doc, default=()))


def section(cls: type, *, default: Any = REQUIRED) -> Any:
    """A section of its own; default ``{}`` is a section of defaults, None is none."""
    return _field(Key("section", cls.__doc__ or "", default=default, section=cls))


def sections(cls: type, *, least: int = 0, lone: bool = False) -> Any:
    """A list of sections, at least `least` of them; with `lone` a single one may stand as a plain section."""
    default = REQUIRED if least else ()
    return _field(Key("sections", cls.__doc__ or "", least=least, default=default, section=cls, lone=lone))
