"""What members say, in words: table of 80 columns, promise with its conditions, plan, ranking."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from pondsim.cli._common import wrapped
from pondsim.cli._promise_words import (
    conditions,
    decimals,
    plan_text,
    promise_text,
    season_text,
    shown,
)
from pondsim.comparison.notes import beds_text
from pondsim.ensemble.answer import Answer, DesignAnswer
from pondsim.ensemble.paired import Chance, Paired, moved_in

if TYPE_CHECKING:
    import xarray as xr

WIDTH = 80
LABEL, NUMBER, INTERVAL, CHANCE = 22, 7, 15, 11
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
    "Whether fish are safe is shown by a reading at dawn, not by this table. Never stop equipment for a "
    "trial while dawn oxygen is low."
)


def chance_text(chance: Chance | None) -> str:
    """Percent with its interval: "97 92-99"."""
    if chance is None:
        return ""
    share, low, high = (round(100.0 * part) for part in (chance.share, chance.low, chance.high))
    return f"{share} {low}-{high}"


def table(answer: Answer, one: DesignAnswer, letter: str, system: str, *, full: bool = False) -> str:
    """Measures of one design against the existing pond, at most 80 columns."""
    head = f"{'A':>{NUMBER}}{letter:>{NUMBER}}{f'{letter}-A':>{NUMBER}}{'5 to 95 %':>{INTERVAL}}"
    lines = [" " * LABEL + head + f"{'better %':>{CHANCE}}{'meets %':>{CHANCE}}"]
    rows = [row for row in one.rows if full or answer.in_short(row.measure)]
    for section in dict.fromkeys(row.measure.section for row in rows):
        part = [row for row in rows if row.measure.section == section]
        if all(row.existing == row.value == 0.0 and not (row.low or row.high) for row in part):
            continue
        units = {row.measure.shown_in(system) for row in part}
        unit = units.pop() if len(units) == 1 else ""
        lines += wrapped(f"{section} [{unit}]" if unit and unit != "1" else section, WIDTH).split("\n")
        lines += [_line(row, system, "" if unit else row.measure.shown_in(system)) for row in part]
    return "\n".join(line.rstrip() for line in lines)


def _line(row: Paired, system: str, unit: str) -> str:
    places, measure = decimals(row, system), row.measure
    label = f"  {measure.label} [{unit}]" if unit and unit != "1" else f"  {measure.label}"
    old, new = (f"{shown(measure, v, system):z.{places}f}" for v in (row.existing, row.value))
    apart, low, high = (
        f"{shown(measure, v, system, apart=True):+z.{places}f}" if row.compared else ""
        for v in (row.difference, row.low, row.high)
    )
    tie = "~" if row.tie and row.tie.share >= 0.5 else ""
    numbers = f"{old:>{NUMBER}}{new:>{NUMBER}}{tie + apart:>{NUMBER}}{f'{low} {high}':>{INTERVAL}}"
    text = f"{numbers}{chance_text(row.better):>{CHANCE}}{chance_text(row.meets):>{CHANCE}}"
    return f"{label:<{LABEL}}{text}" if len(label) < LABEL else f"{label}\n{' ' * LABEL}{text}"


def ranking_text(one: DesignAnswer, system: str) -> list[str]:
    """What decides the difference, and what a measurement would leave of its interval."""
    row = next(row for row in one.rows if row.measure.key == one.key)
    measure, places = row.measure, max(decimals(row, system), 1)
    name = f"{measure.section}, {measure.label}" if measure.label else measure.section
    if not one.ranked.indices:
        return [f"{name}: no single unknown shows above the noise of these members; draw more of them."]
    shares = ", ".join(
        f"{index.unknown.name} {index.first:z.0%} ({index.low:z.0%} to {index.high:z.0%})"
        for index in one.ranked.indices
    )
    lines = [
        f"What decides the difference in {name}, as share of its variance: {shares}; the other "
        f"{max(one.ranked.rest, 0.0):.0%} no single unknown shows."
    ]
    if one.ranked.pairs:
        pairs = ", ".join(f"{first} with {second} {share:.0%}" for first, second, share in one.ranked.pairs)
        totals = ", ".join(f"{unknown} {share:.0%}" for unknown, share in one.ranked.totals.items())
        lines.append(f"Of that, two together: {pairs}. With these, in total: {totals}.")
    low, high = (shown(measure, value, system, apart=True) for value in one.interval)
    unit = measure.shown_in(system)
    for worth in one.worth:
        after = [shown(measure, value, system, apart=True) for value in (worth.low, worth.high)]
        if after[1] - after[0] > 0.98 * (high - low):
            continue
        lines.append(
            f"{worth.name}: {worth.what} would narrow 5 to 95 % from {low:+z.{places}f} to "
            f"{high:+z.{places}f} "
            f"({high - low:.{places}f} wide) to some {after[1] - after[0]:.{places}f} {unit} wide."
        )
    if lines[-1].startswith(tuple(worth.name for worth in one.worth)):
        lines.append(f"Next measurement: {one.worth[0].what} ({one.worth[0].name}).")
    return lines


def years_text(one: DesignAnswer, answer: Answer, system: str) -> list[str]:
    """The ranked measure by weather year."""
    if len(answer.years) == 1:
        return []
    row = next(row for row in one.rows if row.measure.key == one.key)
    places = max(decimals(row, system), 1)
    cells = [
        f"{year} {shown(row.measure, value, system, apart=True):+z.{places}f} ({count})"
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


def beds_said(study: xr.Dataset) -> list[list[str]]:
    """What is not compared because the bed lies elsewhere, by design."""
    titles = [str(one) for one in study["title"].values]
    moved = moved_in(study)
    return [list(beds_text((titles[0], title), ({}, own))) for title, own in zip(titles, moved, strict=True)]


def sections_text(study: xr.Dataset, answer: Answer, system: str) -> dict[str, Any]:
    """All sentences by design, for screen and JSON alike."""
    beds = beds_said(study)
    return {
        one.title: {
            "sentence": promise_text(study, answer, one, system),
            "conditions": conditions(study, answer, one),
            "plan": plan_text(one.plan, int(study.sizes["day"])) if one.plan else "",
            "ranking": ranking_text(one, system),
            "by_year": years_text(one, answer, system),
            "worse": worse_text(one),
            "beds": beds[one.design],
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
        parts += [f"{letter}  {one.title}", table(answer, one, letter, system, full=full)]
        parts += [wrapped(text, WIDTH) for text in [*own["by_year"], *own["ranking"]]]
        parts += [wrapped(text, WIDTH) for text in [*own["worse"], *own["beds"]]]
        parts.append(wrapped(f"Promise: {own['sentence']}", WIDTH))
        if one.promise:
            parts.append("It holds if\n" + ";\n".join(_item(text) for text in own["conditions"]) + ".")
        if one.promise and own["plan"]:
            parts.append(wrapped(f"To prove or refute it: {own['plan']}", WIDTH))
    return "\n\n".join([*parts, *(wrapped(text, WIDTH) for text in (LEGEND, NOT_KNOWN, SAFETY))]) + "\n"


def _item(text: str) -> str:
    return "\n    ".join(wrapped(f"  - {text}", WIDTH - 5).split("\n")).replace("\n      ", "\n    ")
