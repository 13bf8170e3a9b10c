"""One value of a file to SI: text to number, range, choice, timer. No files, no other keys."""

from __future__ import annotations

import dataclasses
import math
import re
import unicodedata
from collections.abc import Callable
from datetime import date, datetime, time
from pathlib import Path
from typing import Any

from pondsim.scenario.fittings_table import Fittings
from pondsim.scenario.fittings_text import read_fitting
from pondsim.scenario.keys import Key
from pondsim.scenario.timers_text import read_hours, read_season
from pondsim.scenario.unreadable import UnreadableError, cut, likely, shown
from pondsim.unit_words import WORDS
from pondsim.units import UnitError, number_text, si_unit_of, split, to_si
from pondsim.words import counted, no_such_day

DIGITS, HAIR = 4, 1e-6  # of a limit in the unit of the file; so much of its last one is rounding
PLAIN = (1e-3, 1e6)  # between which such a number reads well
LONGEST_SHARE = 2  # words of a plain number or a share: "30 %"
YEARS = (1900, 2100)  # in which the sun's place is known well enough, and a date is no slip
NAME = re.compile(r"[^\W\d_](?:[\w -]{0,38}[\w-])?")
NAME_OR_NUMBERED = re.compile(r"[^\W_](?:[\w -]{0,38}[\w-])?")


def si_unit(key: Key) -> str:
    """SI unit of a key; that of a parameter follows from its default in defaults.toml."""
    return key.unit or si_unit_of(split(str(key.default))[1])


def default_value(key: Key) -> Any:
    """What stands for an absent key, in SI."""
    if key.default is None or key.kind == "file":
        return None
    if key.kind == "section":
        return key.section() if key.section else None
    if key.kind == "sections":
        return ()
    raw = list(key.default) if isinstance(key.default, tuple) else key.default
    return () if raw == [] or key.kind == "sources" else convert(raw, key)


def convert(raw: Any, key: Key, folder: Path = Path()) -> Any:
    """Read one value as its key wants it; `folder` is that of the file it stands in.

    Raises UnreadableError with what was read and what is wanted.
    """
    try:
        return _READERS[key.kind](raw, key, folder)
    except UnitError as error:
        raise UnreadableError(f"= {error}") from None


def read_number(raw: Any, key: Key, where: str = "= ") -> float:
    """A number with the unit of its key, in SI; `where` begins what is said of a fault."""
    unit = si_unit(key)
    text = raw if isinstance(raw, str) else str(raw)
    if unit == "1" and (isinstance(raw, list) or len(text.split()) > LONGEST_SHARE):
        raise UnreadableError(f"{where}{shown(raw)} is not {WORDS[unit][0]}; expected: {key.doc}.")
    if isinstance(raw, bool) or not isinstance(raw, str | int | float):
        raise UnreadableError(f"{where}{shown(raw)} is not {WORDS[unit][0]}; write such as {_example(unit)}")
    if not isinstance(raw, str) and unit != "1":
        raise UnreadableError(f"{where}{raw} has no unit; write {WORDS[unit][0]}, such as {_example(unit)}")
    try:
        value = to_si(text, unit)
    except UnitError as error:
        raise UnreadableError(f"{where}{error} {key.note}".rstrip()) from None
    check_range(raw, value, key, where)
    return value


def _example(unit: str) -> str:
    _, first, second = WORDS[unit]
    return f'"{first}" or "{second}".' if unit != "1" else f'{first} or "{second}".'


def check_range(raw: Any, value: float, key: Key, where: str) -> None:
    """Raise UnreadableError for a value in SI outside the range of its key."""
    unit = si_unit(key)
    own = split(raw)[1] if isinstance(raw, str) else ""
    low, high = (None if limit is None else to_si(str(limit), unit) for limit in (key.least, key.most))
    if low is not None and value < low - 1e-9 * abs(low):
        fault = "is too low"
    elif high is not None and value > high + 1e-9 * abs(high):
        fault = "is too high"
    else:
        return
    kind = "a whole number" if key.kind == "integer" else WORDS[unit][0]
    span = span_text(key.least, key.most, unit, own)
    raise UnreadableError(f"{where}{shown(raw)} {fault}; write {kind} {span}.")


def span_text(least: str | float | None, most: str | float | None, unit: str, own: str) -> str:
    """What a value may be, "from 0 ft to 20 ft", in the unit `own` that was written; `unit` is that in SI.

    As the limits were set where no unit was written, or where their numbers would be no plain ones in it.
    """
    given = [(least, math.ceil), (most, math.floor)]
    ends = [None if limit is None else _in_unit(limit, unit, own, cut) for limit, cut in given]
    if all(end is None or not end or PLAIN[0] <= abs(end) <= PLAIN[1] for end in ends):
        said = ["" if end is None else f"{number_text(end, DIGITS)} {own}".strip() for end in ends]
    else:
        said = ["" if limit is None else str(limit).replace("delta_", "") for limit in (least, most)]
    if all(said):
        return f"from {said[0]} to {said[1]}"
    return f"at least {said[0]}" if said[0] else f"at most {said[1]}"


def _in_unit(limit: str | float, unit: str, own: str, cut: Callable[[float], int]) -> float:
    """A limit as a number in a unit, cut to four digits on the side that is allowed; NaN without a unit."""
    if unit != "1" and not own:
        return math.nan
    zero = to_si(f"0 {own}".strip(), unit)
    value = (to_si(str(limit), unit) - zero) / (to_si(f"1 {own}".strip(), unit) - zero)
    last = 10.0 ** (math.floor(math.log10(abs(value))) - DIGITS + 1) if value else 1.0
    hair = HAIR if cut is math.floor else -HAIR
    return cut(value / last + hair) * last


def _quantity(raw: Any, key: Key, folder: Path) -> float:
    return read_number(raw, key)


def _numbers(raw: Any, key: Key, folder: Path) -> tuple[float, ...]:
    if not isinstance(raw, list) or not raw:
        raise UnreadableError(f"= {shown(raw)} is not a list; write it as [{_example(si_unit(key))[:-1]}].")
    return tuple(read_number(item, key, f"item {place}: ") for place, item in enumerate(raw, 1))


def _months(raw: Any, key: Key, folder: Path) -> tuple[float, ...]:
    if key.single and not isinstance(raw, list):
        return (read_number(raw, key),) * 12
    if not isinstance(raw, list) or len(raw) != 12:
        count = (
            f"has {counted(len(raw), 'value')}" if isinstance(raw, list) else f"= {shown(raw)} is not a list"
        )
        also = "one value or " if key.single else ""
        raise UnreadableError(f"{count}; write {also}a list of twelve, January first.")
    return _numbers(raw, key, folder)


def _point(raw: Any, key: Key, folder: Path) -> tuple[float, ...]:
    if not isinstance(raw, list) or len(raw) != 2:
        raise UnreadableError(
            f'= {shown(raw)} is not a place; write [east, north], such as ["120 ft", "-40 ft"].'
        )
    return _numbers(raw, key, folder)


def _integer(raw: Any, key: Key, folder: Path) -> int:
    if isinstance(raw, bool) or not isinstance(raw, int):
        raise UnreadableError(
            f"= {shown(raw)} is not a whole number; write such as {key.least or 1}, no quotes."
        )
    check_range(raw, float(raw), key, "= ")
    return raw


def _text(raw: Any, key: Key, folder: Path) -> str:
    if not isinstance(raw, str) or not raw.strip() or "\n" in raw:
        raise UnreadableError(f"= {shown(raw)} is not a line of text; write it in quotes.")
    if any(unicodedata.category(letter) in ("Cc", "Cs") for letter in raw):
        raise UnreadableError(f"= {cut(raw)!a} has a control character in it; take it out.")
    return raw.strip()


def _texts(raw: Any, key: Key, folder: Path) -> tuple[str, ...]:
    if not isinstance(raw, list):
        raise UnreadableError(f'= {shown(raw)} is not a list; write such as ["{cut(str(raw))}"].')
    numbers = [str(one) if isinstance(one, int | float) and not isinstance(one, bool) else one for one in raw]
    return tuple(_text(one, key, folder) for one in numbers)


def _name(raw: Any, key: Key, folder: Path) -> Any:
    if key.count == 1:
        form, first = (NAME_OR_NUMBERED, "letter or digit") if key.digit_first else (NAME, "letter")
        if not isinstance(raw, str) or not form.fullmatch(raw):
            last = ", no space last" if isinstance(raw, str) and raw.endswith(" ") else ""
            raise UnreadableError(
                f'= {shown(raw)} is not a name; write up to 40 letters, digits, spaces, "_" or "-" '
                f"in quotes, a {first} first{last}."
            )
        return raw
    if not isinstance(raw, list) or (key.count is not None and len(raw) != key.count):
        wanted = "a list of names" if key.count is None else f"a list of {key.count} names"
        raise UnreadableError(f'= {shown(raw)} is not {wanted}; write such as ["north arm", "deep pool"].')
    one = dataclasses.replace(key, count=1)
    return tuple(_name(item, one, folder) for item in raw)


def _choice(raw: Any, key: Key, folder: Path) -> str:
    if raw in key.choices:
        return str(raw)
    words = ", ".join(f'"{word}"' for word in key.choices)
    raise UnreadableError(f"= {shown(raw)} is none of {words}{likely(str(raw), list(key.choices)) or '.'}")


def _flag(raw: Any, key: Key, folder: Path) -> bool:
    if not isinstance(raw, bool):
        raise UnreadableError(f"= {shown(raw)} is not true or false; write true or false, no quotes.")
    return raw


def _instant(raw: Any, key: Key, folder: Path) -> datetime:
    if isinstance(raw, str):
        try:
            raw = datetime.fromisoformat(raw.strip())
        except ValueError:
            if said := no_such_day(raw):
                raise UnreadableError(f'= "{raw}" does not exist: {said}.') from None
            raise UnreadableError(
                f'= "{raw}" is not a day and time; write such as "2025-06-03 14:00".'
            ) from None
    if isinstance(raw, date) and not isinstance(raw, datetime):
        raw = datetime.combine(raw, time())
    if not isinstance(raw, datetime):
        raise UnreadableError(f'= {shown(raw)} is not a day and time; write such as "2025-06-03 14:00".')
    if raw.tzinfo is not None:
        raise UnreadableError(
            f'= "{raw}" names a time zone; write local standard time, such as "2025-06-03 14:00".'
        )
    if not YEARS[0] <= raw.year <= YEARS[1]:
        raise UnreadableError(
            f'= "{raw.isoformat(" ", "minutes")}" is outside the years {YEARS[0]} to {YEARS[1]}.'
        )
    return raw


def _instants(raw: Any, key: Key, folder: Path) -> tuple[datetime, ...]:
    if not isinstance(raw, list):
        raise UnreadableError(f'= {shown(raw)} is not a list; write such as ["2025-06-03 14:00"].')
    return tuple(_instant(one, key, folder) for one in raw)


def _timer(reader: Callable[[list[str]], Any]) -> Callable[[Any, Key, Path], Any]:
    def read(raw: Any, key: Key, folder: Path) -> Any:
        items = [raw] if isinstance(raw, str) else raw
        if not isinstance(items, list) or not items or not all(isinstance(item, str) for item in items):
            raise UnreadableError(f"= {shown(raw)} is not a list of spans; {key.doc}.")
        try:
            return reader(items)
        except ValueError as error:
            raise UnreadableError(str(error)) from None

    return read


def _fittings(raw: Any, key: Key, folder: Path) -> Fittings:
    if not isinstance(raw, list):
        raise UnreadableError(f'= {shown(raw)} is not a list; write such as ["2 standard elbow"].')
    return tuple(read_fitting(item, place) for place, item in enumerate(raw, 1))


def _file(raw: Any, key: Key, folder: Path) -> Path:
    if not isinstance(raw, str) or not raw:
        raise UnreadableError(f"= {shown(raw)} is not a file name; write it in quotes.")
    return file_named(raw, folder)


def file_named(name: str, folder: Path) -> Path:
    """A file that a scenario names; UnreadableError when it is not there or the name can be none."""
    path = folder / name
    try:
        there, is_folder = path.is_file(), path.is_dir()
    except OSError:  # a name longer than any system takes
        there = is_folder = False
    if is_folder:
        raise UnreadableError(f"= {shown(name)}: is a directory, not a file: {cut(str(path))}.")
    if not there:
        raise UnreadableError(f"= {shown(name)}: file not found: {cut(str(path))}.")
    return path


_READERS: dict[str, Callable[[Any, Key, Path], Any]] = {
    "quantity": _quantity,
    "numbers": _numbers,
    "months": _months,
    "point": _point,
    "integer": _integer,
    "text": _text,
    "texts": _texts,
    "name": _name,
    "choice": _choice,
    "flag": _flag,
    "instant": _instant,
    "instants": _instants,
    "hours": _timer(read_hours),
    "season": _timer(read_season),
    "file": _file,
    "fittings": _fittings,
}
