"""What a design must reach: a measure, a comparison and a value."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from pondsim.comparison.entries import Entry
from pondsim.errors import Problem, ScenarioError
from pondsim.measures.declared import Measure, declarations
from pondsim.units import UnitError, convert, si_unit_of, to_si

_FORM = re.compile(r"([^<>=≥≤]+?)(>=|<=|=>|=<|≥|≤|>|<|==|=|\bat least\b|\bat most\b)([^<>=≥≤]+)")
_SIGNS = {
    ">=": 1,
    "=>": 1,
    "≥": 1,
    ">": 1,
    "at least": 1,
    "<=": -1,
    "=<": -1,
    "≤": -1,
    "<": -1,
    "at most": -1,
}
WORST = ".worst"
OPTION, RANKED_BY = Path("--until"), Path("--by")


@dataclass(frozen=True)
class Wish:
    """What was typed, before a run says which measures there are."""

    measure: str
    sign: int  # 1 for at least, -1 for at most
    strict: bool
    value: str


@dataclass(frozen=True)
class Target:
    """What must be reached, in the unit of the measure.

    Attributes
    ----------
    measure : its key, or the key without zone for the worst zone
    sign : 1 for at least, -1 for at most
    strict : whether the value itself is not enough
    value : in `entry`'s unit
    entry : the measure of one run, for its words and units
    """

    measure: str
    sign: int
    strict: bool
    value: float
    entry: Entry

    def margin(self, value: float | None) -> float | None:
        """By how much a value is on the right side; None where there is none."""
        return None if value is None else self.sign * (value - self.value)

    def met(self, value: float | None) -> bool:
        """Whether a value is good enough; one that does not exist is not."""
        margin = self.margin(value)
        return margin is not None and (margin > 0.0 if self.strict else margin >= 0.0)


def read_wish(text: str) -> Wish:
    """Read ``renewed_share >= 80 %``; ScenarioError says what is wanted."""
    match = _FORM.fullmatch(text)
    if not match or not match[1].strip() or not match[3].strip() or match[2] in ("=", "=="):
        why = (
            "asks for equality, which no search finds" if match and match[2][0] == "=" else "is not a target"
        )
        message = f'"{text}" {why}; write measure, >= or <=, and value, as in "replaced_share >= 80 %".'
        raise ScenarioError(Problem(OPTION, None, "", message))
    return Wish(match[1].strip(), _SIGNS[match[2]], match[2] in "<>", match[3].strip())


def check_name(measure: str, zones: Sequence[str], option: Path = OPTION) -> Measure:
    """The declaration of a measure by its key, before any run; one of no pond or of another zone is refused.

    Raises
    ------
    ScenarioError
        No such name or zone: what was likely meant, and all there are.
    """
    stem, _, place = measure.partition(".")
    found = [one for one in declarations().values() if one.template.key.partition(".")[0] == stem]
    known = {one.template.key: one.template for one in declarations().values()}
    if found and place and {one.by for one in found if one.by} == {"zone"}:
        known = {f"{stem}.{zone}": found[-1].template for zone in zones}
        found = [one for one in found if measure in known or place == WORST.removeprefix(".")]
    if not found:
        raise ScenarioError(Problem(option, None, measure, _unknown(measure, known)))
    return found[0].template


def check_wish(wish: Wish, zones: Sequence[str]) -> None:
    """Refuse a target of an unknown measure or in a wrong unit before any run; errors as `target_of`."""
    _value(wish, check_name(wish.measure, zones))


def check_rank(measure: str, zones: Sequence[str]) -> None:
    """Refuse before any run a measure that nothing can be ranked by: unknown, or neither way better."""
    if not check_name(measure, zones, RANKED_BY).good:
        raise ScenarioError(
            f"{RANKED_BY}: neither more nor less of {measure} is better; rank by another measure"
        )


def target_of(wish: Wish, entries: Mapping[str, Entry], zones: Iterable[str]) -> Target:
    """The target in the unit of its measure; ScenarioError for an unknown measure or a wrong unit."""
    entry = entry_of(wish.measure, entries, zones, OPTION)
    return Target(wish.measure, wish.sign, wish.strict, _value(wish, entry), entry)


def _value(wish: Wish, entry: Measure) -> float:
    """What was typed, in the unit of its measure."""
    try:
        kept = si_unit_of(entry.unit)
        value = (
            float(convert(to_si(wish.value, kept), kept, entry.unit))
            if kept != "1"
            else to_si(wish.value, "1")
        )
    except UnitError as error:
        raise ScenarioError(Problem(OPTION, None, wish.measure, f"= {error}")) from None
    if entry.unit == "1" and not 0.0 <= value <= 1.0:
        message = f'= "{wish.value}" is not a share; write such as "80 %" or 0.8.'
        raise ScenarioError(Problem(OPTION, None, wish.measure, message))
    return value


def entry_of(
    measure: str, entries: Mapping[str, Entry], zones: Iterable[str], option: Path = OPTION
) -> Entry:
    """A measure of one run by its key, or of the worst zone by the key without zone or with ``.worst``.

    Raises
    ------
    ScenarioError
        No such measure: what was likely meant, and all there are.
    """
    if measure in entries:
        return entries[measure]
    stem = measure.removesuffix(WORST)
    places = [zone for zone in zones if f"{stem}.{zone}" in entries]
    if not places:
        raise ScenarioError(Problem(option, None, measure, _unknown(measure, entries)))
    by_zone = [entries[f"{stem}.{zone}"] for zone in places]
    if not by_zone[0].good:
        message = (
            f"has no worst zone, since neither more nor less of it is better; name one: {', '.join(places)}."
        )
        raise ScenarioError(Problem(option, None, measure, message))
    lacking = [entry for entry in by_zone if entry.value is None]
    worst = lacking or sorted(by_zone, key=lambda entry: entry.good * (entry.value or 0.0))
    return worst[0]


def listed(entries: Mapping[str, Measure]) -> dict[str, list[str]]:
    """Measures by stem with the zones or lines each has; an empty list for those of the whole pond."""
    stems: dict[str, list[str]] = {}
    for key in entries:
        stem, _, place = key.partition(".")
        stems.setdefault(stem, [])
        if place:
            stems[stem].append(place)
    return stems


def _unknown(measure: str, entries: Mapping[str, Measure]) -> str:
    stems = listed(entries)
    known = [*stems, *entries]
    near = difflib.get_close_matches(measure.lower(), known, 1, 0.6)
    hint = f'; did you mean "{near[0]}"?' if near else "."
    stem = measure.partition(".")[0]
    if stems.get(stem):
        return f"is an unknown measure{hint} {stem} has: {', '.join(stems[stem])}."
    return f"is an unknown measure{hint} Known: {', '.join(stems)}; by zone as in dawn_lowest_top.ZONE."
