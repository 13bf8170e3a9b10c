"""What `pondsim tonight` says: each corner's dawn, its error, a power cut, one more unit; text and data."""

from __future__ import annotations

import math
from datetime import datetime
from typing import Any

import numpy as np

from pondsim.cli._common import wrapped
from pondsim.cli._tonight_run import Coming, Corner
from pondsim.comparison.lengths import length_text
from pondsim.ensemble.tonight import Moment, Outlook, chance_inside, first_below
from pondsim.words import CAUTIONS, counted

WIDTH = 80
SAFETY = (
    "A safety call for fish needs a reading at dawn, in the corner that is worst, and someone who "
    "can act on it: "
    "this is an estimate. Past nights were computed with measured weather, so the interval leaves out "
    "the error of the weather forecast."
)
POWER_BACK = (
    "A power cut: the worst night can be the first AFTER the power is back, beyond these 24 hours, because "
    "air that returns brings up water without oxygen from the bottom. Bring it back by day, a little at a "
    "time, and measure the top at the next dawn."
)
WHY = {
    "few nights": "no forecast: fewer than five past nights to judge it by",
    "no better": "no forecast: on past nights it was no better than yesterday's reading at the same hour",
    "no readings": "no forecast: too few readings in the last day",
}


def night_text(found: Coming, below: float, danger: float) -> str:
    """The night in words, at most 80 columns."""
    lines = [f"From {_clock(found.now, date=True)} on, local standard time; oxygen in mg/L"]
    for corner in found.corners:
        lines += ["", *_corner(corner, found, below, danger)]
    if found.unit and any(corner.cut is not None and corner.outlook.told for corner in found.corners):
        lines += ["", wrapped(POWER_BACK, WIDTH)]
    if found.unread:
        lines += ["", wrapped(f"No readings, so no forecast: {', '.join(found.unread)}.", WIDTH)]
    return "\n".join([*lines, "", wrapped(SAFETY, WIDTH), "", wrapped(CAUTIONS, WIDTH)]) + "\n"


def _corner(corner: Corner, found: Coming, below: float, danger: float) -> list[str]:
    one, told = corner.series, corner.outlook
    head = f"{one.zone}, {one.instrument}"
    past = (
        f"{counted(len(told.nights), 'past night')} forecast the same way: error {told.rmse:.2f} mg/L "
        f"(RMSE), that of yesterday's hour {told.rival:.2f}."
    )
    if not told.told:
        why = f"{head}: {WHY[told.why]}."
        return [wrapped(f"{why} {past}" if told.nights else why, WIDTH)]
    chance = chance_inside(len(told.nights))
    lines = [
        f"{head}: dawn {told.dawn:.1f}, likely {told.low:.1f} to {told.high:.1f}",
        wrapped(
            f"{past} Judging by them, this dawn lies within that range with a chance of {chance:.0%}. "
            f"{correction_text(told.correction, found.days)}",
            WIDTH,
            "  ",
        ),
        f"  below {below:g}: {_crossing(told, below)}",
    ]
    if corner.cut is not None:
        lines.append(
            wrapped(f"power cut now: {_cut_text(corner.cut, found.now, below, danger)}", WIDTH, "  ")
        )
    if corner.more is not None:
        gain = corner.more.dawn - told.dawn
        lines.append(f"  one more unit like {found.unit}, from now on: dawn {gain:+z.1f}")
    return lines


def correction_text(correction: float, days: float) -> str:
    """How far the run lay from the readings of the last days on average, and what is done about it."""
    span = "day" if days == 1.0 else length_text(days)
    lay = f"Over the last {span} the run lay"
    if f"{abs(correction):.2f}" == "0.00":
        return f"{lay} where these readings do, on average."
    side, way = ("above", "lowered") if correction > 0.0 else ("below", "raised")
    return (
        f"{lay} {abs(correction):.2f} mg/L {side} these readings on average; the forecast is {way} by that."
    )


def _crossing(told: Outlook, limit: float) -> str:
    """When it falls below a limit, and when it may at the low end of past errors."""
    first = first_below(told.times, told.line, limit)
    early = first_below(told.times, told.line - (told.dawn - told.low), limit)
    if early is None:
        return "not before this time tomorrow"
    if first is None:
        return f"not likely; at the low end from {_clock(early)}"
    return (
        f"from {_clock(first)}"
        if early == first
        else f"from {_clock(first)}, at the low end from {_clock(early)}"
    )


def _cut_text(cut: Outlook, now: Moment, below: float, danger: float) -> str:
    """Hours that a power cut leaves to the level told above it, and to that which it must not reach."""
    levels = dict.fromkeys((below, danger))
    return "; ".join(f"below {level:g} {_hours(cut, now, level)}" for level in levels)


def _hours(cut: Outlook, now: Moment, limit: float) -> str:
    first = first_below(cut.times, cut.line, limit)
    if first is None:
        return "not within 24 h"
    return f"after {float((first - now) / np.timedelta64(1, 's')) / 3600.0:.0f} h, at {_clock(first)}"


def _clock(moment: Moment, *, date: bool = False) -> str:
    when: datetime = moment.astype("M8[s]").item()
    return f"{when:%Y-%m-%d %H:%M}" if date else f"{when:%H:%M}"


def night_data(found: Coming, below: float, danger: float) -> dict[str, Any]:
    """The same as plain values; null for what is withheld."""
    rows = []
    for corner in found.corners:
        told = corner.outlook
        known = {"dawn": told.dawn, "low": told.low, "high": told.high} if told.told else {}
        first = first_below(told.times, told.line, below) if told.told else None
        cut = (
            None
            if corner.cut is None or not told.told
            else first_below(corner.cut.times, corner.cut.line, danger)
        )
        more = None if corner.more is None or not told.told else corner.more.dawn - told.dawn
        rows.append(
            {
                "zone": corner.series.zone,
                "instrument": corner.series.instrument,
                "told": told.told,
                "why": WHY.get(told.why, ""),
                **{name: known.get(name) for name in ("dawn", "low", "high")},
                "correction": told.correction if math.isfinite(told.correction) else None,
                "past_nights": len(told.nights),
                "rmse": told.rmse if told.nights else None,
                "yesterdays_hour_rmse": told.rival if told.nights else None,
                "below_from": None if first is None else _clock(first, date=True),
                "power_cut_danger_at": None if cut is None else _clock(cut, date=True),
                "one_more_unit": more,
            }
        )
    return {
        "now": _clock(found.now, date=True),
        "below": below,
        "danger": danger,
        "corners": rows,
        "no_readings": list(found.unread),
        "safety": SAFETY,
    }
