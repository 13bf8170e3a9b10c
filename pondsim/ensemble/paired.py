"""What members say of each measure: existing, design, paired difference, how likely it is better or meets.

Both designs of a member have the same draw and the same weather, so their difference is paired.
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterator
from dataclasses import dataclass, fields
from typing import Any

import numpy as np
import xarray as xr
from scipy.stats import norm

from pondsim.comparison.dredged import Moved, is_elsewhere, moved_from
from pondsim.ensemble.statistics import effective_number, quantile, wilson_interval
from pondsim.measures.declared import Measure

Array = np.ndarray[Any, Any]

OXYGEN = "mg/L"
DEVIATIONS = 1.645  # within which 90 % of a normal lies
LEVEL = 0.95  # of the sampling interval of a probability
LOW, HIGH = 0.05, 0.95  # ends of what is printed as "5 to 95 %"


@dataclass(frozen=True)
class Chance:
    """A probability as a share of members, with the interval that their number leaves."""

    share: float
    low: float
    high: float


@dataclass(frozen=True)
class Paired:
    """One measure of one design against the existing pond; numbers in the measure's `unit`.

    Where it is read at another elevation than in the existing pond the two are not compared: differences are
    NaN, and there is no chance of better, tie or worse.

    Attributes
    ----------
    measure : its declaration
    design : place of the design, 1 or more
    existing, value : medians
    difference, low, high : median and 5 to 95 % of design less existing
    better, tie, worse : of the difference, beyond the measure's band or within it; None where neither way
        is better
    meets, existing_meets : the criterion; None where there is none
    reach : 5 to 95 % of the design's value, an oxygen level further by what past errors against readings ask
    by_year : median difference by weather year, and in how many members of that year; the years' order
    """

    measure: Measure
    design: int
    existing: float
    value: float
    difference: float
    low: float
    high: float
    better: Chance | None
    tie: Chance | None
    worse: Chance | None
    meets: Chance | None
    existing_meets: Chance | None
    reach: tuple[float, float]
    by_year: tuple[tuple[float, int], ...]

    @property
    def compared(self) -> bool:
        """Whether there is a difference."""
        return self.tie is not None


def whole_members(study: xr.Dataset) -> Array:
    """Places of the members that were finished with every design and have a weight."""
    done = (study["failure"].values == "").all(axis=0)
    return np.flatnonzero(done & (study["weight"].values > 0.0))


def weights_in(study: xr.Dataset, members: Array) -> Array:
    """Weights of some members, with sum 1."""
    weights = study["weight"].values[members].astype(float)
    return np.asarray(weights / weights.sum())


def moved_in(study: xr.Dataset) -> tuple[Moved, ...]:
    """By how much the bed of each zone that moved lies above the existing pond's, by design; median. [m]"""
    if "bed" not in study:  # members kept by an earlier version
        return tuple({} for _ in range(study.sizes["design"]))
    beds = np.median(study["bed"].values[:, whole_members(study)], axis=1)
    return moved_from(list(beds), study["zone"].values.tolist())


def measures_in(study: xr.Dataset) -> dict[str, Measure]:
    """Declarations of the measures of a study, by key, those of one section together."""
    names = {field.name for field in fields(Measure)}
    rows = json.loads(str(study.attrs["measures"]))
    found: dict[str, Measure] = {
        key: _measure({n: math.nan if v is None else v for n, v in row.items() if n in names})
        for key, row in rows.items()
    }
    known = set(study["key"].values.tolist())
    order = {section: place for place, section in enumerate(dict.fromkeys(m.section for m in found.values()))}
    ranked = sorted(found.items(), key=lambda item: order[item[1].section])
    return {key: measure for key, measure in ranked if key in known}


def worst_places(
    study: xr.Dataset, design: int
) -> dict[str, tuple[tuple[float, float, float], Chance | None]]:
    """5, 50 and 95 % of a design's measures and how likely each is better, by name without the place.

    A measure of several places stands for the worst of each member; of those that are better neither way
    there
    is none. In the measure's own unit.
    """
    members = whole_members(study)
    weights = weights_in(study, members)
    own = weights if study.attrs.get("weighted", 0) else None
    places = {key: place for place, key in enumerate(study["key"].values.tolist())}
    groups: dict[str, list[str]] = {}
    known, moved = measures_in(study), moved_in(study)[design]
    for key in known:
        groups.setdefault(key.partition(".")[0], []).append(key)
    found = {}
    for name, keys in groups.items():
        measure = known[keys[0]]
        if len(keys) > 1 and not measure.good:
            continue
        numbers = study["measure"].values[:, members][:, :, [places[key] for key in keys]].astype(float)
        old, new = (_worst(numbers[one], measure.good) for one in (0, design))
        there = np.isfinite(old) & np.isfinite(new)
        if there.sum() < 2:
            continue
        part = None if own is None else own[there] / own[there].sum()
        apart = any(is_elsewhere(known[key], moved) for key in keys)
        one = _one(measure, design, old[there], new[there], part, margin_of(study, measure), apart)
        found[name] = ((one["reach"][0], one["value"], one["reach"][1]), one["better"])
    return found


def _worst(numbers: Array, good: int) -> Array:
    """The worst of several places of each member; NaN where any is missing."""
    return np.asarray(numbers.min(axis=1) if good > 0 else numbers.max(axis=1))


def _measure(row: dict[str, Any]) -> Measure:
    return Measure(**row)


def paired(study: xr.Dataset, design: int) -> Iterator[Paired]:
    """Every measure of a design against the existing pond, in the order in which they are shown.

    Parameters
    ----------
    study : xarray.Dataset
        From `run_study`.
    design : int
        Place of the design, 1 or more.

    Yields
    ------
    Paired
        Measures that no member has are left out.
    """
    members = whole_members(study)
    weights = weights_in(study, members)
    weighted = bool(study.attrs.get("weighted", 0))
    numbers = study["measure"].values
    keys = {key: place for place, key in enumerate(study["key"].values.tolist())}
    weather = study["weather"].values[members]
    years = len(json.loads(str(study.attrs["weather_years"])))
    moved = moved_in(study)[design]
    for key, measure in measures_in(study).items():
        old, new = (numbers[one][members, keys[key]].astype(float) for one in (0, design))
        known = np.isfinite(old) & np.isfinite(new)
        if known.sum() < 2:
            continue
        own = weights[known] / weights[known].sum()
        off = margin_of(study, measure)
        elsewhere = is_elsewhere(measure, moved)
        found = _one(measure, design, old[known], new[known], own if weighted else None, off, elsewhere)
        apart = (new - old)[known] if not elsewhere else np.full(int(known.sum()), np.nan)
        by_year = tuple(
            (float(np.median(apart[here])) if here.any() else math.nan, int(here.sum()))
            for here in (weather[known] == year for year in range(years))
        )
        yield Paired(**found, by_year=by_year)


def meeting(measure: Measure, values: Array, margin: float = 0.0) -> Array:
    """Chance that each value meets its limit, 0 or 1 where the value is not uncertain by `margin` (90 %)."""
    over = measure.good * (values - measure.limit)
    return np.asarray(norm.cdf(over / (margin / DEVIATIONS)) if margin > 0.0 else over >= 0.0, dtype=float)


def margin_of(study: xr.Dataset, measure: Measure) -> float:
    """By how much a value of a measure may be off beyond what members tell, by past errors."""
    return float(study.attrs.get("oxygen_margin_mg_per_L", 0.0)) if measure.unit == OXYGEN else 0.0


def _one(
    measure: Measure,
    design: int,
    old: Array,
    new: Array,
    weights: Array | None,
    margin: float,
    elsewhere: bool,
) -> dict[str, Any]:
    own = np.full(len(old), 1.0 / len(old)) if weights is None else weights
    count = len(old) if weights is None else effective_number(own)

    def chance(holds: Array) -> Chance:
        share = float(own @ holds)
        return Chance(share, *wilson_interval(share, count, LEVEL))

    apart = new - old
    compared = measure.good and not elsewhere
    gain = measure.good * apart
    band = np.array([measure.band(a, b) for a, b in zip(new, old, strict=True)]) * (1.0 + 1e-9)
    limited = not math.isnan(measure.limit)
    middle = [float(quantile(values, 0.5, weights)) for values in (old, new, apart)]
    ends = [math.nan if elsewhere else float(quantile(apart, share, weights)) for share in (LOW, HIGH)]
    reach = [float(quantile(new, share, weights)) for share in (LOW, HIGH)]
    return {
        "measure": measure,
        "design": design,
        "existing": middle[0],
        "value": middle[1],
        "difference": math.nan if elsewhere else middle[2],
        "low": ends[0],
        "high": ends[1],
        "reach": (reach[0] - margin, reach[1] + margin),
        "better": chance(gain > band) if compared else None,
        "tie": None if elsewhere else chance(np.abs(apart) <= band),
        "worse": chance(gain < -band) if compared else None,
        "meets": chance(meeting(measure, new, margin)) if limited else None,
        "existing_meets": chance(meeting(measure, old, margin)) if limited else None,
    }
