"""Answers to questions of size as text, CSV and data."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from pondsim.compare.entries import Entry
from pondsim.sizing.one import Point, Sizing
from pondsim.sizing.search import NOISE
from pondsim.units import convert, from_si, number_text

if TYPE_CHECKING:
    from pondsim.scenario.sized import Size
    from pondsim.sizing.catalogue import Offer
    from pondsim.sizing.target import Target
    from pondsim.sizing.trial import Trial

LEAST_DIGITS, MOST_DIGITS = 4, 9  # of a value beside the limit it is held against

RENEWED = (
    "The renewed share is a threshold: near the nominal turnover time it jumps from little to much, and so "
    "does a size found by it. replaced_share is the steadier measure."
)


def measure_words(measure: str, entry: Entry, zones: Sequence[str]) -> str:
    """A measure in words: ``lowest oxygen at dawn, top, far_arm``."""
    section = entry.section[0].lower() + entry.section[1:]
    section = section.split(", of ")[0] if entry.section.startswith("Days failing") else section
    if entry.label in zones:
        place = entry.label if measure.endswith(f".{entry.label}") else "worst zone"
        return f"{section}, {place}"
    return (
        entry.label if entry.section in ("Circulation", "Outlet and level") else f"{section}, {entry.label}"
    )


def unit_shown(entry: Entry, system: str) -> str:
    """Unit in which a measure is shown."""
    return entry.us if system == "us" else entry.si


def number_shown(value: float | None, entry: Entry, system: str) -> float:
    """A measure in the unit shown; NaN where there is none."""
    if value is None:
        return math.nan
    unit = unit_shown(entry, system)
    return value if unit == entry.unit else float(convert(value, entry.unit, unit))


def value_text(value: float | None, entry: Entry, system: str, digits: int = 3) -> str:
    """A measure as people read it."""
    number = number_text(number_shown(value, entry, system), digits)
    return "nothing" if number == "-" else f"{number} {unit_shown(entry, system)}"


def target_words(target: Target, system: str, zones: Sequence[str]) -> str:
    """What must be reached, in words."""
    sign = {(1, False): ">=", (1, True): ">", (-1, False): "<=", (-1, True): "<"}[target.sign, target.strict]
    value = value_text(target.value, target.entry, system, 6)
    return f"{measure_words(target.measure, target.entry, zones)} {sign} {value}"


def answer_sentences(sizing: Sizing, size: Size, system: str) -> list[str]:
    """The answer in plain sentences, the finding first."""
    answer, target = sizing.answer, sizing.target

    def reached(point: Point | None) -> str:
        return reached_text(point, target, system)

    said: list[str] = []
    found = sizing.point(answer.size)
    ends = [size.text(sizing.points[end].size, system) for end in (0, -1)]
    if answer.kind == "never":
        said.append(_never(sizing, size, system, ends))
    elif answer.kind == "already":
        said.append(
            f"The smallest size looked at, {ends[0]}, already meets it: {reached(found)}. "
            "To look below, give --from."
        )
    elif found and answer.below is not None:
        below = sizing.point(answer.below)
        said.append(
            f"{size.text(found.size, system)} is the smallest {size.noun} that meets it: {reached(found)} "
            f"there, {reached(below)} at {size.text(answer.below, system)}. Both were run."
        )
    if found and not _is_electricity(sizing):
        said.append(f"With it the equipment uses {cost_text(found.trial)} in {found.trial.days:.0f} days.")
    if answer.largest:
        most, over = (size.text(one, system) for one in answer.largest)
        said.append(
            f"More is not always better here: {reached(sizing.point(answer.largest[1]))} at {over}, which "
            "misses it. "
            f"What meets it runs from {size.text(answer.size or 0.0, system)} to {most}"
            + (", and larger sizes meet it again: see the table." if answer.others else ".")
        )
    elif not answer.rises and answer.kind != "never":
        said.append(
            f"The measure does not improve all the way up: {course(sizing, size, system)}. Do not read "
            "between the lines of the table."
        )
    said += _as_it_stands(sizing, size, system)
    if sizing.failed:
        places = ", ".join(size.text(point.size, system) for point in sizing.failed)
        said.append(f"Failed, and counted as missing it: {places} ({sizing.failed[0].trial.failure}).")
    return said


def _never(sizing: Sizing, size: Size, system: str, ends: list[str]) -> str:
    best = sizing.answer.best
    words = f"No {size.noun} from {ends[0]} to {ends[1]} meets it."
    if best is None:
        return f"{words} No run has such a number."
    reached = reached_text(sizing.point(best.size), sizing.target, system)
    if best.size == sizing.points[-1].size and sizing.answer.rises:
        return f"{words} The best is {reached} at the largest; to look above, give --to."
    at = size.text(best.size, system)
    return f"{words} The best is {reached} at {at}: {course(sizing, size, system)}."


def course(sizing: Sizing, size: Size, system: str) -> str:
    """How the measure goes from the smallest size to the largest, by its turns."""
    known = [point for point in sizing.points if point.value is not None]
    values = [point.value for point in known if point.value is not None]
    slack = NOISE * (max(values) - min(values))
    turns, heads = [0], [0]  # places at which it turns, the way it went before each
    far = 0  # the extreme since the last turn
    for place in range(1, len(values)):
        way = heads[-1]
        step = values[place] - values[far]
        if way == 0 and abs(step) > slack:
            heads[-1], far = (1 if step > 0.0 else -1), place
        elif way * step >= 0.0 and way:
            far = place
        elif abs(step) > slack and way:
            turns.append(far)
            heads.append(-way)
            far = place
    places = [*turns, len(values) - 1]
    steps = [
        f"{reached_text(known[p], sizing.target, system)} at {size.text(known[p].size, system)}"
        for p in places
    ]
    verbs = ["it rises to" if way > 0 else "it falls to" if way < 0 else "it stays at" for way in heads]
    told = [f"from {steps[0]}", *(f"{verb} {step}" for verb, step in zip(verbs, steps[1:], strict=True))]
    return f"{told[0]} " + ", then ".join(told[1:])


def reached_text(point: Point | None, target: Target, system: str) -> str:
    """What a run reached, with the digits that tell it from the limit."""
    value = point.value if point else None
    return value_text(value, target.entry, system, _digits(value, target, system))


def _digits(value: float | None, target: Target, system: str) -> int:
    """Digits at which the number shown lies on the same side of the limit as the number itself."""
    if value is None:
        return LEAST_DIGITS
    shown, limit = (number_shown(one, target.entry, system) for one in (value, target.value))
    for digits in range(LEAST_DIGITS, MOST_DIGITS):
        rounded = float(f"{shown:.{digits}g}")
        if (rounded > limit) == (shown > limit) and (rounded < limit) == (shown < limit):
            return digits
    return MOST_DIGITS


def _is_electricity(sizing: Sizing) -> bool:
    return sizing.target.measure == "electricity"


def _as_it_stands(sizing: Sizing, size: Size, system: str) -> list[str]:
    if size.present is None or sizing.point(size.present) is None:
        return []
    point = sizing.point(size.present)
    assert point is not None
    reached = reached_text(point, sizing.target, system)
    cost = "" if _is_electricity(sizing) else f" with {cost_text(point.trial)}"
    return [f"As the design stands, {size.text(size.present, system)}: {reached}{cost}."]


def without_sentence(value: float | None, sizing: Sizing, system: str) -> str:
    """What the pond does with what is sized taken out; "" where it has no such number."""
    if value is None:
        return ""
    target = sizing.target
    shown = value_text(value, target.entry, system, _digits(value, target, system))
    fate = "meets" if target.met(value) else "misses"
    return f"Without it, by one more run with the equipment taken out: {shown}, which {fate} it."


def cost_text(trial: Trial) -> str:
    """Electricity of a run, and what it costs where a tariff is given."""
    energy = f"{number_text(trial.energy, 4)} kWh"
    return energy if trial.money is None else f"{energy} (${trial.money:.0f})"


def short(size: Size) -> str:
    """Head of a column of sizes."""
    return size.key.rpartition(".")[2].replace("_", " ")


def points_table(sizing: Sizing, size: Size, system: str) -> list[list[str]]:
    """One row per run, heads first."""
    entry = sizing.target.entry
    money = any(point.trial.money is not None for point in sizing.points)
    rows = [
        [
            f"{short(size)} [{size.unit(system)}]",
            f"reached [{unit_shown(entry, system)}]",
            *("kWh", "mean kW", *(["$"] if money else []), ""),
        ]
    ]
    for point in sizing.points:
        trial = point.trial
        mean = trial.energy / trial.days / 24.0 if trial.days else math.nan
        rows.append(
            [
                size.text(point.size, system).split(" ")[0],
                number_text(
                    number_shown(point.value, entry, system), _digits(point.value, sizing.target, system)
                ),
                number_text(trial.energy, 4),
                number_text(mean),
                *([number_text(trial.money or math.nan, 4)] if money else []),
                "failed" if trial.failure else "meets" if point.meets else "misses",
            ]
        )
    return rows


def offers_table(offers: Sequence[Offer], entry: Entry, size: Size, system: str) -> list[list[str]]:
    """One row per candidate, heads first."""
    rows = [
        [
            "",
            f"{short(size)} [{size.unit(system)}]",
            f"reached [{unit_shown(entry, system)}]",
            "kWh",
            "price",
            "",
        ]
    ]
    for offer in offers:
        own, point = offer.candidate, offer.point
        rows.append(
            [
                own.name,
                "-" if own.size is None else size.text(own.size, system).split(" ")[0],
                number_text(number_shown(point.value, entry, system), 4) if point else "-",
                number_text(point.trial.energy, 4) if point else "-",
                "-" if own.price is None else number_text(own.price, 6),
                offer.fate,
            ]
        )
    return rows


def aligned(rows: list[list[str]], *, left: int = 0) -> str:
    """Rows as text in columns, the first `left` of them to the left, and the last."""
    widths = [max(len(row[i]) for row in rows) for i in range(len(rows[0]))]
    last = len(widths) - 1
    lines = []
    for row in rows:
        cells = [
            cell.ljust(width) if i < left or i == last else cell.rjust(width)
            for i, (cell, width) in enumerate(zip(row, widths, strict=True))
        ]
        lines.append(("  " + "  ".join(cells)).rstrip())
    return "\n".join(lines)


def rows_csv(rows: list[list[str]]) -> str:
    """Rows as CSV; "-" becomes empty."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerows([["" if cell == "-" else cell for cell in row] for row in rows])
    return out.getvalue()


def plain(value: float | None) -> float | None:
    """A number for JSON: none where it is none or no number."""
    return None if value is None or not math.isfinite(value) else float(f"{value:.7g}")


def point_data(point: Point, entry: Entry, system: str) -> dict[str, Any]:
    """One run as plain data, in the units shown."""
    return {
        "value": plain(number_shown(point.value, entry, system)),
        "meets": point.meets,
        "kwh": plain(point.trial.energy),
        "money": plain(point.trial.money),
        "failure": point.trial.failure,
    }


def offer_sentences(offers: Sequence[Offer], sizing: Sizing, size: Size, system: str) -> list[str]:
    """What of the list to buy, in plain sentences."""
    from pondsim.sizing.catalogue import cheapest  # noqa: PLC0415

    if not offers:
        return ["No size meets it, so nothing of the list was run; --every runs all the same."]
    entry = sizing.target.entry
    meeting = [offer for offer in offers if offer.fate == "meets" and offer.point]
    if not meeting:
        return ["Nothing on the list meets it."]
    first, cheap = meeting[0], cheapest(offers)
    assert first.point is not None
    reached = value_text(first.point.value, entry, system)
    said = [f"The smallest on the list that meets it is {first.candidate.name}: {reached}."]
    missing = [offer for offer in offers if offer.fate == "misses" and _large_enough(offer, sizing)]
    if missing:
        said.append(
            f"{', '.join(offer.candidate.name for offer in missing)} would be large enough, but what else it "
            "brings makes it miss."
        )
    if cheap and cheap is not first:
        said.append(f"{cheap.candidate.name} meets it at a lower price.")
    return said


def _large_enough(offer: Offer, sizing: Sizing) -> bool:
    least, own = sizing.answer.size, offer.candidate.size
    return least is not None and own is not None and own >= least


def sizing_data(
    sizing: Sizing,
    size: Size,
    offers: Sequence[Offer],
    system: str,
    goal: str,
    said: list[str],
    notes: list[str],
) -> dict[str, Any]:
    """The whole answer as plain data, sizes and values in the units shown."""
    entry, answer = sizing.target.entry, sizing.answer

    def shown(value: float | None) -> float | None:
        return None if value is None else plain(float(from_si(value, size.unit(system))))

    return {
        "sized": size.key,
        "size_unit": size.unit(system),
        "wanted": goal,
        "measure": sizing.target.measure,
        "measure_unit": unit_shown(entry, system),
        "kind": answer.kind,
        "size": shown(answer.size),
        "below": shown(answer.below),
        "largest": [shown(one) for one in answer.largest] if answer.largest else None,
        "as_designed": shown(size.present),
        "sentences": said,
        "runs": [{"size": shown(p.size), **point_data(p, entry, system)} for p in sizing.points],
        "catalogue": [
            {
                "name": offer.candidate.name,
                "size": shown(offer.candidate.size),
                "price": offer.candidate.price,
                "fate": offer.fate,
                **(point_data(offer.point, entry, system) if offer.point else {}),
            }
            for offer in offers
        ],
        "notes": notes,
    }
