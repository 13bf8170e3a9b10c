"""The sentence that may be promised, its conditions, and the monitoring that would prove or refute it."""

from __future__ import annotations

import math
from datetime import datetime
from typing import TYPE_CHECKING

from pondsim.ensemble.answer import Answer, DesignAnswer
from pondsim.ensemble.paired import Paired
from pondsim.ensemble.promise import LEVEL, LOGGER_ERROR, POWER, SETTLING, Plan, Promise, members_needed
from pondsim.ensemble.sampling import Unknown
from pondsim.ensemble.study_file import unknowns_in
from pondsim.ensemble.unknowns import WEATHER
from pondsim.measures.declared import Measure
from pondsim.units import convert, show

if TYPE_CHECKING:
    import xarray as xr

NAMED = 3  # unknowns named in a condition


def shown(measure: Measure, value: float, system: str, *, apart: bool = False) -> float:
    """A value, or with `apart` a difference of two, in the unit shown."""
    unit = measure.shown_in(system)
    if unit == measure.unit or math.isnan(value) or measure.unit == "$":
        return value
    return measure.difference_shown(value, system) if apart else float(convert(value, measure.unit, unit))


def decimals(row: Paired, system: str) -> int:
    """Decimals printed for a measure."""
    return row.measure.decimals_for(
        max(abs(shown(row.measure, v, system)) for v in (row.existing, row.value))
    )


def season_text(study: xr.Dataset) -> str:
    """First and last day of the runs: "May 15 to September 29"."""
    first, last = (datetime.fromisoformat(str(study.attrs[name])) for name in ("start", "end"))
    return f"{first:%B} {first.day} to {last:%B} {last.day}"


def amount_text(found: Promise, system: str) -> str:
    """A gain with its unit."""
    unit = found.measure.shown_in(system)
    number = f"{shown(found.measure, found.amount, system, apart=True):.{found.decimals}f}"
    words = {"d": "days", "h": "hours", "1": "", "%": "percentage points"}.get(unit, unit)
    return f"{number} {words}".strip()


def measure_name(measure: Measure) -> str:
    """A measure within a sentence: its section, then its zone or what else its label says."""
    what = measure.section[:1].lower() + measure.section[1:]
    if not measure.label:
        return what
    return f"{what}, in {measure.label}" if "." in measure.key else f"{what}, {measure.label}"


def promise_text(study: xr.Dataset, answer: Answer, one: DesignAnswer, system: str) -> str:
    """The sentence that may be promised, or that none may be."""
    season = season_text(study)
    needed = members_needed(answer.confidence)
    if one.promise is None and answer.effective < needed:
        return (
            f"{answer.effective:.0f} members, as their weights count, cannot carry a promise at "
            f"{answer.confidence:.0%} confidence: {needed} are needed even if all of them agree. Draw "
            "more, or "
            "ask for less confidence."
        )
    if one.promise is None:
        where = ", in any zone" if study.sizes["zone"] > 1 else ""
        by = f"by dawns near the surface or hours below 2 or 3 mg/L near the bed{where}"
        if answer.asked_for:
            by = f"of {measure_name(next(r.measure for r in one.rows if r.measure.key == one.key))}"
        return (
            f'Of "{one.title}" nothing beyond a tie can be promised at {answer.confidence:.0%} '
            f"confidence for {season}, {by}. "
            f"{'Measure what decides it' if one.ranked.indices else 'Draw more members'}, then ask again."
        )
    found: Promise = one.promise
    measure = found.measure
    more = "higher" if measure.good > 0 else "lower"
    return (
        f'With "{one.title}", against "{answer.existing}", from {season}: {measure_name(measure)}, {more} by '
        f"at least {amount_text(found, system)}. Confidence {found.confidence:.0%}: "
        f"{found.reached.share:.0%} of {found.members:.0f} members reach it, which means at least "
        f"{math.floor(100.0 * found.reached.low)} % of all there could be. {_criterion(found)}".rstrip()
    )


def _criterion(found: Promise) -> str:
    if found.meets is None:
        return "That the criterion is met is not promised by this."
    low, high = (round(100.0 * part) for part in (found.meets.low, found.meets.high))
    return f"The criterion itself is met with a chance of {found.meets.share:.0%} ({low} to {high} %)."


def conditions(study: xr.Dataset, answer: Answer, one: DesignAnswer) -> list[str]:
    """What must hold for a promise; never empty."""
    unknowns = unknowns_in(study)
    known = [index.unknown for index in one.ranked.indices if index.unknown.shape != "choice"]
    ranges = "; ".join(range_text(unknown) for unknown in known[:NAMED])
    above = f", above all {ranges}" if ranges else ""
    drawn = sum(1 for unknown in unknowns if unknown.name != WEATHER)
    years = ", ".join(answer.years)
    weather = f"the weather is like that of the years drawn ({years})"
    if len(answer.years) == 1:
        weather = f"the weather is that of the one year run ({years}): no other year was tried"
    held = (
        f"weights of {answer.effective:.0f} effective members come from readings of this pond"
        if study.attrs.get("weighted", 0)
        else "no readings of this pond stand behind it: the ranges are general ones, or the user's"
    )
    return [
        "the design is built, kept and run as its file says: flows, timers, outages, clean grates "
        "and diffusers",
        "shape, levels, drainage and seepage of the pond are as in the site file",
        f"the {drawn} unknowns lie within their ranges{above}",
        weather,
        held,
        "what the model leaves out (docs/limits.md) does not decide it",
    ]


def range_text(unknown: Unknown) -> str:
    """An unknown with its range."""
    if not unknown.unit:
        return f"{unknown.name} {unknown.low:.3g} to {unknown.high:.3g} (SI)"
    low, high = (show(value, unknown.shown or "1") for value in (unknown.low, unknown.high))
    unit = low.partition(" ")[2]
    return f"{unknown.name} {low.removesuffix(unit).strip() if unit else low} to {high}"


def plan_text(plan: Plan, days: int) -> str:
    """The monitoring that would prove or refute a promise."""
    place = "0.3 m (1 ft) above the deepest bed" if plan.bottom else "half a meter (20 in) under the surface"
    what = "daily lows" if plan.bottom else "dawns"
    if plan.pairs is None or plan.dawns is None:
        return (
            f"No sensible number of {what} would show a mean gain of {plan.effect:.2f} mg/L in {plan.zone}: "
            f"two of them a week apart differ by {plan.spread:.1f} mg/L (one deviation) for other reasons."
        )
    trial = (
        f"Run the equipment in alternate weeks and leave out the first {SETTLING} days after each switch."
        if plan.safe
        else "Without the equipment dawns fall below the criterion's 1-day minimum here, so do not stop it "
        "for a trial: log the season before it is built and the season after, on the same dates; the weather "
        "of two seasons differs by more than that of two weeks, so take this number as the least."
    )
    long = f" That is more than the {days} days of such a season." if plan.dawns > days else ""
    return (
        f"{plan.dawns} {what} with the equipment and as many without it, each pair a week apart, by a logger "
        f"in {plan.zone}, {place}, a reading each 15 minutes, wiped and checked in air each two weeks (error "
        f"{LOGGER_ERROR:g} mg/L).{long} {trial} That shows a mean gain of {plan.effect:.2f} mg/L with "
        f"{POWER:.0%} "
        f"power at {1 - LEVEL:.0%} false alarm; members' pairs scatter by {plan.spread:.2f} mg/L, day to day "
        f"correlation {plan.rho:.2f}. A mean gain below {plan.refuted_below:.2f} mg/L over them refutes the "
        "promise."
    )
