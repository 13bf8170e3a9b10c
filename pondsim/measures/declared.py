"""What every measure is called, how it is printed, which way is better and what is a tie: measures.toml."""

from __future__ import annotations

import itertools
import math
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields, replace
from functools import cache
from importlib.resources import files
from typing import Any

from pondsim.units import convert_difference

MONEY = "$"  # unit of amounts of any currency; which one it is stands in the results
ROLES = ("main", "harm")
BETTER = {"more": 1, "less": -1, "": 0}
LABELS = {  # dimension: words of its places, where they are not their names
    "oxygen_pathway": {
        "surface_exchange": "exchange with the air",
        "waterfall": "waterfall",
        "bubbles": "aeration",
        "photosynthesis": "photosynthesis",
        "respiration": "respiration of algae",
        "organic_decay": "decay of organic matter",
        "nitrification": "nitrification",
        "bed_demand": "sediment oxygen demand",
        "bottom_debt_oxidation": "bottom oxygen debt",
        "inflow": "in with inflow",
        "outflow": "out with outflow",
        "pumped_loss": "splash at the waterfall",
    },
    "charge": {"demand": "highest power"},
}


@dataclass(frozen=True, kw_only=True)
class Measure:
    """One measure as declared.

    Attributes
    ----------
    key : name for machines, such as ``hours_below_3_top.far_arm``
    section : what it is, in words; measures of one section stand together
    label : zone, or what else tells the measures of a section apart
    unit : unit of the values; "$" for an amount in `currency`
    us, si : units shown to people
    currency : of amounts, as the tariff names it
    good : 1 when more is better, -1 when less is, 0 when neither
    decimals : printed; -1 to go by the size of the values
    tie, tie_share : two values so far apart, in `unit` or as a share of the larger, are a tie
    limit : a value on the wrong side of it falls short; NaN where there is none
    main : whether it belongs in the short table; "nonzero" where a value is not 0
    harm : whether it may be named as what a design makes worse
    absent : value of a run without it; NaN where there is none
    star : whether the best value is marked
    moved : how far values moved in a grid check, in `unit`; NaN where none is at hand
    """

    key: str
    section: str
    label: str = ""
    unit: str = "1"
    us: str = "1"
    si: str = "1"
    currency: str = MONEY
    good: int = 0
    decimals: int = -1
    tie: float = 0.0
    tie_share: float = 0.0
    limit: float = math.nan
    main: str = ""
    harm: int = 0
    absent: float = math.nan
    star: int = 1
    moved: float = math.nan

    def band(self, a: float, b: float) -> float:
        """How far apart two values may lie and be a tie, in `unit`."""
        return max(self.tie, self.tie_share * max(abs(a), abs(b)))

    def tied(self, a: float | None, b: float | None) -> bool:
        """Whether two values are within the band; a value that does not exist ties with none."""
        return a is not None and b is not None and abs(a - b) <= self.band(a, b) * (1.0 + 1e-9)

    def worse_by(self, new: float | None, old: float | None) -> float:
        """By how many bands `new` is worse than `old`; at most 1 is a tie, 0 where it cannot be told.

        Infinite where the band is nothing.
        """
        if new is None or old is None or not self.good:
            return 0.0
        band = self.band(new, old)
        worse = self.good * (old - new)
        return worse / band if band > 0.0 else math.copysign(math.inf, worse) if worse else 0.0

    def short(self, value: float | None) -> bool:
        """Whether a value falls short of the limit."""
        if value is None or math.isnan(self.limit):
            return False
        return self.good * (value - self.limit) < 0.0

    def shown_in(self, system: str) -> str:
        """Unit in which it is shown; amounts in their currency."""
        unit = self.us if system == "us" else self.si
        return self.currency if unit == MONEY else unit

    def decimals_for(self, most: float, amount: float = 0.0) -> int:
        """Decimals printed where the largest of the values shown is `most`; of an `amount` two digits."""
        if self.decimals >= 0:
            return self.decimals
        places = 0 if most >= 100.0 or most == 0.0 else 1 if most >= 10.0 else 2
        return max(places, 1 - math.floor(math.log10(amount))) if amount > 0.0 else places

    def difference_shown(self, value: float, system: str) -> float:
        """A difference of two values, a move or a band, in the unit shown."""
        unit = self.us if system == "us" else self.si
        return value if unit == self.unit else float(convert_difference(value, self.unit, unit))


@dataclass(frozen=True)
class Declaration:
    """A measure or, with a dimension, one for each of its places.

    Attributes
    ----------
    name : of the variable among the measures of a run
    by : dimension, or ""
    limit : the limit, or the line of the criteria that it is
    tie_over : length of the run that the band of ties is for, in proportion for others; NaN where any [d]
    tie_least : but at least this band
    of_loop : whether it says something only of a pond with a waterfall loop
    template : the measure, with places for words of the run in its section and label
    """

    name: str
    by: str
    limit: float | str | None
    tie_over: float
    tie_least: float
    of_loop: bool
    template: Measure

    def tie_in(self, days: float) -> float:
        """Band of ties in a run of so many days."""
        if math.isnan(self.tie_over):
            return self.template.tie
        return max(self.template.tie * days / self.tie_over, self.tie_least)


@cache
def declarations() -> dict[str, Declaration]:
    """Every declared measure by name, in the order in which they are shown."""
    text = files("pondsim.data").joinpath("measures.toml").read_text(encoding="utf-8")
    return {one.name: one for name, row in tomllib.loads(text).items() for one in _expanded(name, row)}


def _expanded(name: str, row: dict[str, Any]) -> Iterator[Declaration]:
    """One declaration for each combination of the words in `each`."""
    each = row.pop("each", {})
    for words in itertools.product(*each.values()):
        chosen = dict(zip(each, words, strict=True))
        yield _declaration(name.format(**chosen), row, chosen)


def _declaration(name: str, row: dict[str, Any], chosen: dict[str, str]) -> Declaration:
    by, unit = row.get("by", ""), row["unit"]
    main, harm = (name in given if isinstance(given := row.get(k, False), list) else given for k in ROLES)
    template = Measure(
        key=row.get("key", name.removesuffix(f"_by_{by}")),
        section=_filled(row["section"], chosen),
        label=_filled(row.get("label", ""), {name: word.replace("_", " ") for name, word in chosen.items()}),
        unit=unit,
        us=row.get("us", unit),
        si=row.get("si", unit),
        good=BETTER[row.get("better", "")],
        decimals=row.get("decimals", -1),
        tie=row.get("tie", 0.0),
        tie_share=row.get("tie_share", 0.0),
        main=main if isinstance(main, str) else "always" if main else "",
        harm=int(harm),
        absent=row.get("absent", math.nan),
        star=int(row.get("star", True)),
    )
    over, least = row.get("tie_over", math.nan), row.get("tie_least", 0.0)
    return Declaration(name, by, row.get("limit"), over, least, row.get("of_loop", False), template)


def _filled(text: str, words: Mapping[str, str]) -> str:
    """A text with the words that are known; places of others stay."""
    for name, word in words.items():
        text = text.replace(f"{{{name}}}", word)
    return text


def said(
    declared: Declaration, words: Mapping[str, str], limit: float, currency: str, days: float
) -> Measure:
    """A declared measure with the words, the limit, the currency and the length [d] of a run."""
    template = declared.template
    return replace(
        template,
        section=_filled(template.section, words),
        label=_filled(template.label, words),
        limit=limit,
        currency=currency,
        tie=declared.tie_in(days),
    )


def place_words(dimension: str, place: str) -> str:
    """A place of a dimension as people read it."""
    if dimension == "settling_class":
        return f"settling class {place}"
    known = LABELS.get(dimension)
    return place if known is None else known.get(place, place.replace("_", " "))


def attributes_of(measure: Measure) -> dict[str, Any]:
    """A measure as attributes of its variable."""
    return {field.name: getattr(measure, field.name) for field in fields(measure)}


def measure_of(attributes: Mapping[str, Any]) -> Measure:
    """The measure that attributes describe; others are passed over."""
    known = {field.name for field in fields(Measure)}
    return Measure(**{name: value for name, value in attributes.items() if name in known})
