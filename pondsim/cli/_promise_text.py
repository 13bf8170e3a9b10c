"""What members say, in words: table of 80 columns, promise with its conditions, plan, ranking."""

from __future__ import annotations

import math
from datetime import datetime
from typing import TYPE_CHECKING, Any

from pondsim.cli._common import wrapped
from pondsim.ensemble.answer import Answer, DesignAnswer
from pondsim.ensemble.paired import Chance, Paired
from pondsim.ensemble.promise import LEVEL, LOGGER_ERROR, POWER, SETTLING, Plan, Promise
from pondsim.ensemble.sampling import Unknown
from pondsim.ensemble.study_file import unknowns_in
from pondsim.ensemble.unknowns import WEATHER
from pondsim.measures.declared import Measure
from pondsim.units import convert, show

if TYPE_CHECKING:
    import xarray as xr

WIDTH = 80
LABEL, NUMBER, INTERVAL, CHANCE = 22, 7, 15, 11
NAMED = 3  # unknowns named in a condition
LEGEND = (
    "A, B: medians. B-A: median of the paired differences, then 5 to 95 % of them. Better: percent "
    "of members "
    "in which the design is better by more than a tie, meets: in which the criterion is met; each with the "
    "95 % interval (Wilson) that the number of members leaves. ~ a tie in at least half of the members."
)
NOT_KNOWN = (
    "The interval holds what was drawn: parameters over their ranges and the weather years named. It "
    "does not "
    "hold what the model leaves out (docs/limits.md), nor a pond, a load or equipment unlike the files."
)
SAFETY = (
    "Whether fish are safe is told by a reading at dawn, not by this table. Never stop equipment for a trial "
    "while dawn oxygen is low."
)


def shown(measure: Measure, value: float, system: str, *, apart: bool = False) -> float:
    """A value, or with `apart` a difference of two, in the unit shown."""
    unit = measure.shown_in(system)
    if unit == measure.unit or math.isnan(value) or measure.unit == "$":
        return value
    zero = float(convert(0.0, measure.unit, unit)) if apart else 0.0
    return float(convert(value, measure.unit, unit)) - zero


def decimals(row: Paired, system: str) -> int:
    """Decimals printed for a measure."""
    if row.measure.decimals >= 0:
        return row.measure.decimals
    most = max(abs(shown(row.measure, v, system)) for v in (row.existing, row.value))
    return 0 if most >= 100.0 or most == 0.0 else 1 if most >= 10.0 else 2


def chance_text(chance: Chance | None) -> str:
    """Percent with its interval: "97 92-99"."""
    if chance is None:
        return ""
    share, low, high = (round(100.0 * part) for part in (chance.share, chance.low, chance.high))
    return f"{share} {low}-{high}"


def table(answer: DesignAnswer, letter: str, system: str, *, full: bool = False) -> str:
    """Measures of one design against the existing pond, at most 80 columns."""
    head = f"{'A':>{NUMBER}}{letter:>{NUMBER}}{f'{letter}-A':>{NUMBER}}{'5 to 95 %':>{INTERVAL}}"
    lines = [" " * LABEL + head + f"{'better %':>{CHANCE}}{'meets %':>{CHANCE}}"]
    rows = [row for row in answer.rows if full or row.measure.main]
    for section in dict.fromkeys(row.measure.section for row in rows):
        part = [row for row in rows if row.measure.section == section]
        if all(row.existing == row.value == row.low == row.high == 0.0 for row in part):
            continue
        units = {row.measure.shown_in(system) for row in part}
        one = units.pop() if len(units) == 1 else ""
        lines += wrapped(f"{section} [{one}]" if one and one != "1" else section, WIDTH).split("\n")
        lines += [_line(row, system, "" if one else row.measure.shown_in(system)) for row in part]
    return "\n".join(line.rstrip() for line in lines)


def _line(row: Paired, system: str, unit: str) -> str:
    places, measure = decimals(row, system), row.measure
    label = f"  {measure.label} [{unit}]" if unit and unit != "1" else f"  {measure.label}"
    old, new = (f"{shown(measure, v, system):.{places}f}" for v in (row.existing, row.value))
    apart, low, high = (
        f"{shown(measure, v, system, apart=True) + 0.0:+.{places}f}"
        for v in (row.difference, row.low, row.high)
    )
    tie = "~" if row.tie.share >= 0.5 else ""
    numbers = f"{old:>{NUMBER}}{new:>{NUMBER}}{tie + apart:>{NUMBER}}{f'{low} {high}':>{INTERVAL}}"
    text = f"{numbers}{chance_text(row.better):>{CHANCE}}{chance_text(row.meets):>{CHANCE}}"
    return f"{label:<{LABEL}}{text}" if len(label) < LABEL else f"{label}\n{' ' * LABEL}{text}"


def season_text(study: xr.Dataset) -> str:
    """First and last day of the runs: "May 15 to September 29"."""
    first, last = (datetime.fromisoformat(str(study.attrs[name])) for name in ("start", "end"))
    return f"{first:%B} {first.day} to {last:%B} {last.day}"


def amount_text(measure: Measure, amount: float, system: str) -> str:
    """A gain with its unit."""
    unit = measure.shown_in(system)
    number = f"{shown(measure, amount, system, apart=True):.{max(measure.decimals, 0)}f}"
    words = {"d": "days", "h": "hours", "1": ""}.get(unit, unit)
    return f"{number} {words}".strip()


def promise_text(study: xr.Dataset, answer: Answer, one: DesignAnswer, system: str) -> str:
    """The sentence that may be promised, or that none may be."""
    season = season_text(study)
    if one.promise is None:
        return (
            f'Of "{one.title}" nothing beyond a tie can be promised at {answer.confidence:.0%} '
            "confidence for "
            f"{season}, by dawns in any zone. Measure what decides it, then ask again."
        )
    found: Promise = one.promise
    measure = found.measure
    more = "higher" if measure.good > 0 else "lower"
    what = measure.section[:1].lower() + measure.section[1:]
    where = f" in {measure.label}" if measure.label else ""
    return (
        f'With "{one.title}", {what},{where}, is at least '
        f"{amount_text(measure, found.amount, system)} {more} "
        f'than with "{answer.existing}", from {season}. Confidence: {found.confidence:.0%}: '
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


def plan_text(plan: Plan) -> str:
    """The monitoring that would prove or refute a promise."""
    where = f"a logger in {plan.zone}, half a metre (20 in) under the surface, a reading each 15 minutes"
    if plan.pairs is None or plan.dawns is None:
        return (
            f"No sensible number of dawns would show a mean gain of {plan.effect:.2f} mg/L in "
            f"{plan.zone}: dawns "
            f"a week apart differ by {plan.spread:.1f} mg/L (one deviation) for other reasons."
        )
    trial = (
        f"Run the equipment in alternate weeks and leave out the first {SETTLING} days after each switch."
        if plan.safe
        else "Without the equipment dawns fall below the criterion's 1-day minimum here, so do not stop it "
        "for a trial: log the season before it is built and the season after, on the same dates; the weather "
        "of two seasons differs by more than that of two weeks, so take this number as the least."
    )
    return (
        f"{plan.dawns} dawns with the equipment and as many without it, each pair a week apart, {where}, "
        f"wiped and checked in air each two weeks (error {LOGGER_ERROR:g} mg/L). {trial} That shows a mean "
        f"gain of {plan.effect:.2f} mg/L with {POWER:.0%} power at {1 - LEVEL:.0%} false alarm; "
        "members' pairs "
        f"scatter by {plan.spread:.2f} mg/L, dawn to dawn correlation {plan.rho:.2f}. A mean gain "
        f"below {plan.refuted_below:.2f} mg/L over them refutes the promise."
    )


def ranking_text(one: DesignAnswer, system: str) -> list[str]:
    """What decides the difference, and what a measurement would leave of its interval."""
    row = next(row for row in one.rows if row.measure.key == one.key)
    measure, places = row.measure, max(decimals(row, system), 1)
    name = f"{measure.section}, {measure.label}" if measure.label else measure.section
    if not one.ranked.indices:
        return [f"{name}: no single unknown shows above the noise of these members; draw more of them."]
    shares = ", ".join(
        f"{index.unknown.name} {index.first:.0%} ({index.low:.0%} to {index.high:.0%})"
        for index in one.ranked.indices
    )
    lines = [
        f"What decides the difference in {name}, as share of its variance: {shares}; the other "
        f"{max(one.ranked.rest, 0.0):.0%} no single unknown shows."
    ]
    low, high = (shown(measure, value, system, apart=True) for value in one.interval)
    unit = measure.shown_in(system)
    for worth in one.worth:
        after = [shown(measure, value, system, apart=True) for value in (worth.low, worth.high)]
        if after[1] - after[0] > 0.98 * (high - low):
            continue
        lines.append(
            f"{worth.name}: {worth.what} would narrow 5 to 95 % from {low:+.{places}f} to {high:+.{places}f} "
            f"({high - low:.{places}f} wide) to some {after[1] - after[0]:.{places}f} {unit} wide."
        )
    if len(lines) > 1:
        lines.append(f"Next measurement: {one.worth[0].what} ({one.worth[0].name}).")
    return lines


def years_text(one: DesignAnswer, answer: Answer, system: str) -> list[str]:
    """The ranked measure by weather year."""
    if len(answer.years) == 1:
        return []
    row = next(row for row in one.rows if row.measure.key == one.key)
    places = max(decimals(row, system), 1)
    cells = [
        f"{year} {shown(row.measure, value, system, apart=True):+.{places}f} ({count})"
        for year, (value, count) in zip(answer.years, row.by_year, strict=True)
        if count
    ]
    name = f"{row.measure.section}, {row.measure.label}"
    return [f"By weather year, median difference in {name} (members): {', '.join(cells)}"]


def worse_text(one: DesignAnswer) -> list[str]:
    """Measures in which the design is worse, beyond a tie, in most members."""
    found = [
        f"{row.measure.section}, {row.measure.label} ({row.worse.share:.0%})".replace(", (", " (")
        for row in one.rows
        if row.measure.harm and row.worse is not None and row.worse.share > 0.5
    ]
    return [f"Worse in most members, beyond a tie: {'; '.join(found)}."] if found else []


def sections_text(study: xr.Dataset, answer: Answer, system: str) -> dict[str, Any]:
    """All sentences by design, for screen and JSON alike."""
    return {
        one.title: {
            "sentence": promise_text(study, answer, one, system),
            "conditions": conditions(study, answer, one),
            "plan": plan_text(one.plan) if one.plan else "",
            "ranking": ranking_text(one, system),
            "by_year": years_text(one, answer, system),
            "worse": worse_text(one),
        }
        for one in answer.designs
    }


def answer_text(study: xr.Dataset, answer: Answer, system: str, *, full: bool = False) -> str:
    """The whole answer for a terminal."""
    said = sections_text(study, answer, system)
    lost = (
        f"; {answer.asked - answer.members} failed: {'; '.join(answer.failures)}" if answer.failures else ""
    )
    worth = f", worth {answer.effective:.1f} by their weights" if study.attrs.get("weighted", 0) else ""
    parts = [
        wrapped(f"{answer.members} of {answer.asked} members{worth}, {season_text(study)}{lost}.", WIDTH)
    ]
    parts.append("\n".join(f"  {chr(65 + k)}  {t}" for k, t in enumerate(study["title"].values.tolist())))
    for one in answer.designs:
        letter = chr(65 + one.design)
        own = said[one.title]
        parts += [f"{letter}  {one.title}", table(one, letter, system, full=full)]
        parts += [wrapped(text, WIDTH) for text in [*own["by_year"], *own["ranking"]]]
        parts += [wrapped(text, WIDTH) for text in own["worse"]]
        parts.append(wrapped(f"Promise: {own['sentence']}", WIDTH))
        if one.promise:
            parts.append("It holds if\n" + "\n".join(_item(text) for text in own["conditions"]))
        if one.promise and own["plan"]:
            parts.append(wrapped(f"To prove or refute it: {own['plan']}", WIDTH))
    return "\n\n".join([*parts, *(wrapped(text, WIDTH) for text in (LEGEND, NOT_KNOWN, SAFETY))]) + "\n"


def _item(text: str) -> str:
    return "\n    ".join(wrapped(f"  - {text};", WIDTH - 4).split("\n")).replace("\n      ", "\n    ")
