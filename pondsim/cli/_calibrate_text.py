"""What readings say of members, in words: agrees, not learnt, held out; never one value alone."""

from __future__ import annotations

import math
from dataclasses import asdict
from typing import Any

from pondsim.cli._common import wrapped
from pondsim.comparison.readings_words import QUANTITIES
from pondsim.comparison.remarks import records_data, sentence
from pondsim.ensemble.calibrate import Calibration, oxygen_margin
from pondsim.ensemble.fit import Fitted
from pondsim.ensemble.learnt import Learnt
from pondsim.ensemble.weights import Held
from pondsim.units import show

WIDTH = 80
WHOLE = 0.95  # share of itself from which a series counts as one of its own
NOTHING = "Nothing that was drawn is learnt from these readings."
LEGEND = (
    "Members are weighed by these readings; each is still a draw. Learnt: its mean moved or its spread "
    "shrank further than that of any unknown does in 19 of 20 random deals of the same weights. Not learnt "
    "from them: its range stays as drawn."
)


def calibration_text(found: Calibration, fits: tuple[Fitted, ...] = ()) -> str:
    """The whole answer for a terminal."""
    said = sentences(found, fits)
    parts = [wrapped(text, WIDTH) for text in said["weights"] + said["held_out"]]
    lines = [_line(*row) for row in said["learnt"]]
    head = "Learnt from these readings (5 to 95 % of the weighted members, range drawn)"
    parts.append("\n".join([head, *lines]) if lines else NOTHING)
    parts += [wrapped(text, WIDTH) for text in said["not_learnt"] + said["fits"]]
    parts += [wrapped(f"Warning: {text}", WIDTH) for text in said["warnings"]]
    return "\n\n".join([*parts, wrapped(LEGEND, WIDTH)]) + "\n"


def sentences(found: Calibration, fits: tuple[Fitted, ...] = ()) -> dict[str, Any]:
    """The whole answer in words by what it is about, as it is printed and kept in the file of weights."""
    weighing = found.weighing
    held = [held_text(one, _units(found)[one.name]) for one in weighing.held]
    margin = oxygen_margin(weighing)
    if margin > 0.0:
        held.append(f"Intervals of oxygen levels reach {margin:.2f} mg/L further on both sides for it.")
    return {
        "weights": _weights(found),
        "held_out": held,
        "learnt": [_learnt(one) for one in found.learnt if one.learnt],
        "not_learnt": _not_learnt(found.learnt),
        "fits": _fits(found, fits),
        "warnings": [sentence(record) for record in found.warnings],
        "legend": LEGEND,
    }


def _units(found: Calibration) -> dict[str, str]:
    """Unit of each series."""
    return {one.name: QUANTITIES[one.variable][1] for one in found.series}


def _weights(found: Calibration) -> list[str]:
    """What the weights are worth, and how many facts each series holds."""
    weighing = found.weighing
    said = [
        f"{len(found.series[0].computed)} members compared with readings; their weights are worth "
        f"{weighing.effective:.1f} of them (Kish){_tempered(found)}."
    ]
    for name, days in weighing.memories.items():
        said.append(
            f"{name}: an error lasts {days:.1f} d, so the readings used hold {weighing.worth[name]:.1f} "
            f"independent facts; the member that agrees best misses them by "
            f"{weighing.miss[name]:.2f} {_units(found)[name]} (RMSE)."
        )
    if any(share < WHOLE for share in weighing.alone.values()):
        count, worth = len(weighing.alone), sum(weighing.alone.values())
        said.append(
            f"Errors of these {count} series go together in part, so that they count as {worth:.1f} of them "
            f"({', '.join(f'{name} {share:.2f}' for name, share in weighing.alone.items())})."
        )
    return said


def _tempered(found: Calibration) -> str:
    if found.weighing.temper >= 1.0:
        return ""
    return (
        f", tempered from {found.weighing.plain:.1f} by taking {found.weighing.temper:.2g} of what the "
        "readings say against them"
    )


def held_text(one: Held, unit: str) -> str:
    """How the tail was told, beside rivals, and how much of it lay within."""
    rivals = ", ".join(f"{name} {value:.2f}" for name, value in one.rivals.items() if math.isfinite(value))
    return (
        f"Held out, {one.name}: {one.count} readings; RMSE {one.run:.2f} {unit} (bias {one.bias:+z.2f}), "
        f"against {rivals}. "
        f"{one.inside:.0%} of them lay within the 90 % interval; with {one.margin:.2f} more on both "
        "sides 90 % of "
        "past errors lay within."
    )


def _not_learnt(told: tuple[Learnt, ...]) -> list[str]:
    rest = [one.unknown.name for one in told if not one.learnt]
    found = [f"Not learnt from them: {', '.join(rest)}."] if rest else []
    pairs = {tuple(sorted((one.unknown.name, one.traded))): one.correlation for one in told if one.traded}
    if pairs:
        said = "; ".join(f"{a} and {b} ({value:+z.2f})" for (a, b), value in pairs.items())
        found.append(f"Traded against each other, so that only both together agree: {said}.")
    return found


def _learnt(one: Learnt) -> list[str]:
    """Name, what agrees with the readings, what was drawn; of a choice its name alone."""
    unknown = one.unknown
    if unknown.shape == "choice":
        return [unknown.name, "", ""]
    unit = unknown.shown or "1"
    values = [show(value, unit) for value in (one.low, one.high, unknown.low, unknown.high)]
    agreed, drawn = (f"{values[k].split(' ')[0]} to {values[k + 1]}" for k in (0, 2))
    return [unknown.name, agreed, drawn]


def _line(name: str, agreed: str, drawn: str) -> str:
    if not agreed:
        return f"  {name}"
    line = f"  {name:<34}{agreed:>20}  ({drawn})"
    return line if len(line) <= WIDTH else f"  {name}\n{' ' * 10}{agreed}  ({drawn})"


def _fits(found: Calibration, fits: tuple[Fitted, ...]) -> list[str]:
    """What a fit agrees with, as ranges, and that it is one place only."""
    if not fits:
        return []
    shown = {one.name: one.shown or "1" for one in found.draws.unknowns}
    said = []
    for one in fits:
        low, high = (show(value, shown[one.name]) for value in (one.low, one.high))
        edge = "; at the bound of what is tried" if one.at_bound else ""
        said.append(
            f"{one.name} {low.split(' ')[0]} to {high} ({one.narrowed:.0%} of its range's spread{edge})"
        )
    return [
        "Least squares with the ranges as priors, all else at its median, agrees with these readings at "
        f"{'; '.join(said)}. That is one place and the slopes around it: other places may agree as well."
    ]


def calibration_data(found: Calibration, fits: tuple[Fitted, ...] = ()) -> dict[str, Any]:
    """The whole answer as plain values."""
    weighing = found.weighing
    return {
        "members": len(found.series[0].computed),
        "effective_number": weighing.effective,
        "before_tempering": weighing.plain,
        "tempered_to": weighing.temper,
        "oxygen_margin_mg_per_L": oxygen_margin(weighing),
        "series": [
            {
                "name": name,
                "memory_days": weighing.memories[name],
                "independent_readings": weighing.worth[name],
                "share_beside_others": weighing.alone.get(name, 1.0),
                "best_member_rmse": weighing.miss[name],
                "share_above_all_members": weighing.above[name],
            }
            for name in weighing.memories
        ],
        "held_out": [
            {
                "name": one.name,
                "count": one.count,
                "rmse": one.run,
                "bias": one.bias,
                "rivals": {name: value for name, value in one.rivals.items() if math.isfinite(value)},
                "inside_90": one.inside,
                "margin": one.margin,
            }
            for one in weighing.held
        ],
        "unknowns": [
            {
                "name": one.unknown.name,
                "learnt": one.learnt,
                "spread_over_drawn": one.narrowed,
                "agrees_from": one.low,
                "agrees_to": one.high,
                "drawn_from": one.unknown.low,
                "drawn_to": one.unknown.high,
                "unit": one.unknown.unit,
                "traded_against": one.traded,
                "correlation": one.correlation,
            }
            for one in found.learnt
        ],
        "fits": [asdict(one) for one in fits],
        "warnings": records_data(found.warnings),
        "failures": list(found.failures),
    }
