"""No harm, line by line: what a permit judges, each line with a tolerance of its own in its own unit.

A line is worse when it differs from the existing pond in the bad direction by more than its tolerance: an
amount in its unit or a share of the existing pond's value, whichever is larger. The tolerances are
judgement; those of oxygen and temperature are the bands of single values in measures.toml.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from pondsim.comparison.row import Comparison
from pondsim.units import convert, convert_difference, display_unit, number_text


@dataclass(frozen=True)
class Judged:
    """How one line is judged: words, kind of quantity, unit, the bad direction, amount and share allowed."""

    words: str
    kind: str  # of display units
    unit: str  # of the values and of `amount`
    more_is_worse: bool
    amount: float
    share: float = 0.0


STORM = {  # measure of a storm: how it is judged
    "peak_out": Judged("peak outflow", "storm_flow", "m3/s", True, 0.0005, 0.02),
    "rise": Judged("rise of the water surface", "length", "m", True, 0.01),
    "drawdown": Judged("drawdown time", "hours", "s", True, 1800.0, 0.02),
    "solids_out": Judged("sediment out", "mass", "kg", True, 0.5, 0.02),
    "organic_out": Judged("algae and detritus out", "mass", "kg", True, 0.5, 0.05),
    "phosphorus_out": Judged("phosphorus out", "mass", "kg", True, 0.005, 0.05),
    "outlet_oxygen": Judged("oxygen of the water out, mean", "concentration", "mg/L", False, 0.06),
    "outlet_oxygen_lowest": Judged("oxygen of the water out, lowest", "concentration", "mg/L", False, 0.15),
    "outlet_temperature": Judged("temperature of the water out, mean", "temperature", "degC", True, 0.2),
    "outlet_temperature_highest": Judged(
        "temperature of the water out, highest", "temperature", "degC", True, 0.3
    ),
    "oxygen_after": Judged(
        "lowest oxygen near the surface, 5 days after", "concentration", "mg/L", False, 0.15
    ),
}
SEASON = {  # measure of a run: how it is judged
    "outlet_peak": STORM["peak_out"],
    "highest_surface": Judged("highest water surface elevation", "length", "m", True, 0.01),
    "lowest_surface": Judged("lowest water surface elevation", "length", "m", False, 0.03),
    "outlet_oxygen_mean": STORM["outlet_oxygen"],
    "outlet_oxygen_lowest": STORM["outlet_oxygen_lowest"],
    "outlet_temperature_mean": STORM["outlet_temperature"],
    "outlet_temperature_highest": STORM["outlet_temperature_highest"],
    "outlet_solids": STORM["solids_out"],
    "outlet_organic": STORM["organic_out"],
    "outlet_total_phosphorus": Judged(
        "total phosphorus of the water out, mean", "concentration", "ug/L", True, 5.0, 0.05
    ),
    "outlet_phosphorus": STORM["phosphorus_out"],
}
ABSOLUTE = ("level_highest", "highest_surface", "lowest_surface")  # elevations: five digits


@dataclass(frozen=True)
class HarmLine:
    """One line for one design.

    Attributes
    ----------
    key, judged : which measure, and how it is judged
    existing, design : values in `judged.unit`; NaN where a thing does not come to pass
    """

    key: str
    judged: Judged
    existing: float
    design: float

    @property
    def tolerance(self) -> float:
        """By how much it may be worse, in the unit of the line."""
        share = 0.0 if math.isnan(self.existing) else self.judged.share * abs(self.existing)
        return max(self.judged.amount, share)

    @property
    def worse(self) -> bool:
        """Whether it is worse; a thing that no longer comes to pass is, one that never did is not."""
        if math.isnan(self.design) and math.isnan(self.existing):
            return False
        by = (self.design - self.existing) * (1.0 if self.judged.more_is_worse else -1.0)
        return math.isnan(by) or by > self.tolerance * (1.0 + 1e-9)

    def shown(self, value: float, system: str) -> str:
        """A value in the unit people read."""
        unit = display_unit(self.judged.kind, system)
        return number_text(float(convert(value, self.judged.unit, unit)), 5 if self.key in ABSOLUTE else 3)

    def tolerance_text(self, system: str) -> str:
        """The tolerance in the unit of the line, with its share where it comes from one."""
        of = self.judged
        unit = display_unit(of.kind, system)
        text = f"{number_text(float(convert_difference(self.tolerance, of.unit, unit)), 2)} {unit}"
        return f"{text} ({100.0 * of.share:g} %)" if self.tolerance > of.amount else text


def _judged(judged: Judged, peak: str) -> Judged:
    """The same with the right words for the highest flow: see `measures.peak_words`."""
    return replace(judged, words=judged.words.replace("peak", peak))


def storm_harm(
    design: Mapping[str, float], existing: Mapping[str, float], peak: str = "peak"
) -> tuple[HarmLine, ...]:
    """Every line of a storm that the results hold, from `event_measures` of both."""
    return tuple(
        HarmLine(key, _judged(judged, peak), existing[key], design[key])
        for key, judged in STORM.items()
        if key in existing and key in design and not (math.isnan(existing[key]) and math.isnan(design[key]))
    )


def season_harm(comparison: Comparison, design: int) -> tuple[HarmLine, ...]:
    """Every line of the whole run that the results hold; none for the existing pond itself."""
    found = []
    for key, judged in SEASON.items():
        row = comparison.row(key)
        if row is None or design == 0:
            continue
        old, new = (math.nan if value is None else value for value in (row.values[0], row.values[design]))
        if not (math.isnan(old) and math.isnan(new)):
            found.append(HarmLine(key, _judged(judged, row.label.removesuffix(" out")), old, new))
    return tuple(found)


def harm_sentence(lines: Iterable[HarmLine], system: str = "us") -> str:
    """What is worse than at the existing pond, with both values and the tolerance; that nothing is."""
    worse = [line for line in lines if line.worse]
    if not worse:
        return "No harm: no line is worse than at the existing pond by more than its tolerance."
    named = [
        f"{line.judged.words} ({line.shown(line.existing, system)} to {line.shown(line.design, system)} "
        f"{display_unit(line.judged.kind, system)}, tolerance {line.tolerance_text(system)})"
        for line in worse
    ]
    return f"Worse than the existing pond: {'; '.join(named)}."
