"""One measure of every design, and all of them side by side."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, fields, replace
from functools import cached_property
from typing import TYPE_CHECKING, Any

from pondsim.comparison.dredged import is_elsewhere
from pondsim.measures import single
from pondsim.measures.criteria import DAY_MINIMUM
from pondsim.measures.declared import Measure, declarations
from pondsim.units import convert

if TYPE_CHECKING:
    from collections.abc import Sequence

    import xarray as xr

    from pondsim.comparison.design_sheet import SheetResult
    from pondsim.comparison.dredged import Moved
    from pondsim.comparison.givens import EventCase, Unlike
    from pondsim.comparison.remarks import Remark
    from pondsim.measures.bands import Bands
    from pondsim.measures.circulation import RunningAges
    from pondsim.measures.judged import LimitResult


def number(value: Any) -> float | None:
    """A plain number; None for what is missing or infinite."""
    found = float(value)
    return found if math.isfinite(found) else None


@dataclass(frozen=True, kw_only=True)
class Row(Measure):
    """One measure, for every design.

    Attributes
    ----------
    values : one per design, existing pond first; None where there is no such number
    no_contest : whether a value is none that a design could be best by
    elsewhere : whether a value is read at another elevation than that of the existing pond, so that the two
        are not compared
    """

    values: tuple[float | None, ...]
    no_contest: tuple[bool, ...]
    elsewhere: tuple[bool, ...] = ()

    def apart(self, design: int) -> bool:
        """Whether a design is not compared with the existing pond."""
        return any(self.elsewhere[design : design + 1])

    def worse(self, design: int) -> float:
        """By how many bands a design is worse than the existing pond; 0 where the two cannot be compared."""
        if self.apart(design):
            return 0.0
        return self.worse_by(self.values[design], self.values[0])

    @property
    def failing(self) -> tuple[bool, ...]:
        """Whether each value falls short of the limit."""
        return tuple(self.short(value) for value in self.values)

    def shown(self, system: str) -> tuple[float | None, ...]:
        """Values in the unit shown."""
        unit = self.us if system == "us" else self.si
        return tuple(
            v if v is None or unit == self.unit else float(convert(v, self.unit, unit)) for v in self.values
        )

    def places(self, system: str) -> int:
        """Decimals printed: as declared, else by the size of the values; none beyond what a grid check moved.

        Where values moved by 0.03 the second decimal is the last; where they moved by 40 it is the tens, -1.
        """
        places = self.decimals
        if places < 0:
            most = max((abs(v) for v in self.shown(system) if v is not None), default=0.0)
            places = 0 if most >= 100.0 or most == 0.0 else 1 if most >= 10.0 else 2
        if not self.moved > 0.0:
            return places
        return min(places, -math.floor(math.log10(self.difference_shown(self.moved, system)) + 1e-9))

    @cached_property
    def _printed(self) -> tuple[tuple[float | None, ...], ...]:
        """Each design's value as printed in US and in SI units."""
        by_system = [
            [None if v is None else round(v, self.places(system)) for v in self.shown(system)]
            for system in ("us", "si")
        ]
        return tuple(zip(*by_system, strict=True))

    def alike(self, one: int, other: int) -> bool:
        """Whether two designs tie: within the band, or printed alike in both systems of units."""
        a, b = self.values[one], self.values[other]
        if a is None or b is None:
            return False
        return self.tied(a, b) or self._printed[one] == self._printed[other]

    def _same_print(self, one: int, other: int) -> bool:
        """Whether two designs print alike in US or in SI units."""
        return any(a == b for a, b in zip(self._printed[one], self._printed[other], strict=True))

    @property
    def ties(self) -> tuple[bool, ...]:
        """Whether each design ties with the existing pond."""
        return tuple(not self.apart(design) and self.alike(design, 0) for design in range(len(self.values)))

    @property
    def best(self) -> tuple[bool, ...]:
        """Whether each value is the best of the row, ties with it or prints like it in US or SI units.

        None is where all do, nor in a row without stars.
        """
        none = tuple(False for _ in self.values)
        known = {
            design: self.good * value
            for design, (value, out) in enumerate(zip(self.values, self.no_contest, strict=True))
            if value is not None and not out and not self.apart(design)
        }
        if not self.good or not self.star or len(known) < 2:
            return none
        best = max(known, key=lambda design: known[design])
        tied = [
            design in known and (self.alike(design, best) or self._same_print(design, best))
            for design in range(len(self.values))
        ]
        return none if sum(tied) == len(known) else tuple(tied)

    @property
    def is_main(self) -> bool:
        """Whether it belongs in the short table."""
        return self.main == "always" or (self.main == "nonzero" and any(self.values))


def rows_of(
    measures: xr.Dataset,
    judged: tuple[bool, ...],
    bands: Bands | None = None,
    moved_beds: Sequence[Moved] = (),
) -> tuple[Row, ...]:
    """Rows of joined measures, with measured bands where there are any.

    Of a design that is not judged no value is named best. `moved_beds`: see `moved_beds`.
    """
    names = [one.name for one in fields(Measure)]
    rows = []
    for measure, values in single(measures):
        row = Row(
            **{name: getattr(measure, name) for name in names},
            values=tuple(number(value) for value in values),
            no_contest=tuple(not known for known in judged),
            elsewhere=tuple(is_elsewhere(measure, moved) for moved in moved_beds),
        )
        rows.append(bands.laid_on(row) if bands else row)
    return tuple(rows)


@dataclass(frozen=True)
class Comparison:
    """Designs side by side.

    Attributes
    ----------
    titles : one per design, existing pond first
    zones : names of the zones
    days : length of the run [d]
    start, end : first and last moment, as text
    measures : every measure, along ``design``
    rows : the same, one by one
    notes : sentences a reader must know
    remarks : what each run says of itself
    unlike : in what each design's file differs from the first, beside equipment
    event_of : the design with the same equipment without an event, and that event; None where there is none
    sheets : what fails and warns in the design sheet of each; None where the results do not hold it
    bands : how far measures moved in a grid check; None where the bands of ties are the assumed ones
    judged : whether each design is held against the others: its file differs from the first by equipment and
        events alone, or a verdict is wanted all the same
    criterion : name of the criteria
    day_minimum : what days are counted by, in words
    lent : federal 1-day minimum that days are counted by for want of one among the limits; or None [mg/L]
    limits : every limit in force judged apart, for each design; empty where results are too far apart
    systems : names of each design's own equipment with a meter
    ages : ages of the water in each run; None where results do not hold them for long enough
    """

    titles: tuple[str, ...]
    zones: tuple[str, ...]
    days: float
    start: str
    end: str
    measures: xr.Dataset = field(repr=False)
    rows: tuple[Row, ...]
    notes: tuple[str, ...]
    remarks: tuple[tuple[Remark, ...], ...]
    unlike: tuple[Unlike, ...]
    event_of: tuple[EventCase | None, ...]
    sheets: tuple[SheetResult | None, ...]
    judged: tuple[bool, ...]
    criterion: str
    limits: tuple[tuple[LimitResult, ...], ...] = field(repr=False)
    systems: tuple[tuple[str, ...], ...]
    ages: tuple[RunningAges | None, ...]
    bands: Bands | None = None
    lent: float | None = None
    day_minimum: str = DAY_MINIMUM

    @property
    def same_tariff(self) -> bool:
        """Whether amounts of money of the designs can be compared."""
        return not any(one.of_tariff for one in self.unlike)

    def row(self, key: str) -> Row | None:
        """The row of that key; None where there is none, a mistyped key among them."""
        return next((row for row in self.rows if row.key == key), None)

    def in_worst_zone(self, name: str) -> Measure:
        """A measure by zone, with the band of ties of the worst zone's value."""
        row = self.row(f"{name}.{self.zones[0]}")
        found = declarations()[name].template if row is None else row
        measure = Measure(**{one.name: getattr(found, one.name) for one in fields(Measure)})
        measure = replace(measure, key=name, label="worst zone")
        return self.bands.laid_on(measure) if self.bands else measure

    def value(self, key: str, design: int) -> float | None:
        """One number; None where there is none."""
        row = self.row(key)
        return row.values[design] if row else None
