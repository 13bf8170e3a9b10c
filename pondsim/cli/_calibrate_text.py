"""What readings say of members, in words: agrees, not learnt, held out; never one value alone."""

from __future__ import annotations

import math
from typing import Any

from pondsim.cli._common import wrapped
from pondsim.ensemble.calibrate import Calibration, oxygen_margin
from pondsim.ensemble.learnt import Learnt
from pondsim.ensemble.weights import Held
from pondsim.units import show

WIDTH = 80
WARNINGS = {
    "few_members": "before tempering the members that agree were worth {} only: the readings lie "
    "where few draws "
    "come. Draw more members, or look for what the files say wrongly, before you rest on the weights.",
    "no_better": "{}: the held-out readings are predicted no better than by yesterday's hour.",
    "short": "{}: the readings used last fewer than three error memories, so they are hardly more "
    "than one or two "
    "facts; read on for some weeks.",
    "above": "{}: some readings lie above all that any member computed; no weight can mend that. "
    "Production, or "
    "what the logger shows, is outside the ranges drawn.",
    "edge": "{}: the weights press it against an end of its range; the range may be too narrow, or "
    "another thing "
    "may be wrong.",
    "bed_from_top": "{} seems learnt, but no instrument hung near the bed: a surface logger does not "
    "see the bed, "
    "and other unknowns of the top can stand in for it.",
}
LEGEND = (
    "Members are weighed by these readings; each is still a draw. Learnt: its mean moved or its "
    "spread shrank "
    "further than in 99 of 100 random deals of the same weights. Not learnt from them: its range "
    "stays as drawn."
)


def calibration_text(found: Calibration) -> str:
    """The whole answer for a terminal."""
    weighing = found.weighing
    count = len(found.series[0].computed)
    parts = [
        wrapped(
            f"{count} members compared with readings; their weights are worth {weighing.effective:.1f} "
            "of them "
            f"(Kish){_tempered(found)}.",
            WIDTH,
        )
    ]
    for name, days in weighing.memories.items():
        parts.append(
            wrapped(
                f"{name}: an error lasts {days:.1f} d, so the readings used hold {weighing.worth[name]:.1f} "
                "independent facts; the member that agrees best misses them by "
                f"{weighing.miss[name]:.2f} (RMSE).",
                WIDTH,
            )
        )
    parts += [wrapped(held_text(one), WIDTH) for one in weighing.held]
    margin = oxygen_margin(weighing)
    if margin > 0.0:
        parts.append(
            wrapped(
                f"Intervals of oxygen levels reach {margin:.2f} mg/L further on both sides for it.", WIDTH
            )
        )
    parts += _unknowns(found.learnt)
    parts += [wrapped(f"Warning: {WARNINGS[code].format(name)}", WIDTH) for code, name in found.warnings]
    return "\n\n".join([*parts, wrapped(LEGEND, WIDTH)]) + "\n"


def _tempered(found: Calibration) -> str:
    if found.weighing.temper >= 1.0:
        return ""
    return (
        f", tempered from {found.weighing.plain:.1f} by taking {found.weighing.temper:.2g} of what the "
        "readings say against them"
    )


def held_text(one: Held) -> str:
    """How the tail was told, beside rivals, and how much of it lay within."""
    rivals = ", ".join(f"{name} {value:.2f}" for name, value in one.rivals.items() if math.isfinite(value))
    return (
        f"Held out, {one.name}: {one.count} readings; RMSE {one.run:.2f} (bias {one.bias:+.2f}), "
        f"against {rivals}. "
        f"{one.inside:.0%} of them lay within the 90 % interval; with {one.margin:.2f} more on both "
        "sides 90 % of "
        "past errors lay within."
    )


def _unknowns(told: tuple[Learnt, ...]) -> list[str]:
    named = [one for one in told if one.learnt]
    lines = [_line(one) for one in named]
    rest = [one.unknown.name for one in told if not one.learnt]
    table = "Learnt from these readings (5 to 95 % of the weighted members, range drawn)\n" + "\n".join(lines)
    found = [table if named else "Nothing that was drawn is learnt from these readings."]
    found.append(wrapped(f"Not learnt from them: {', '.join(rest)}.", WIDTH))
    pairs = {tuple(sorted((one.unknown.name, one.traded))): one.correlation for one in told if one.traded}
    if pairs:
        said = "; ".join(f"{a} and {b} ({value:+.2f})" for (a, b), value in pairs.items())
        found.append(wrapped(f"Traded against each other, so that only both together agree: {said}.", WIDTH))
    return found


def _line(one: Learnt) -> str:
    unknown = one.unknown
    if unknown.shape == "choice":
        return f"  {unknown.name}"
    unit = unknown.shown or "1"
    values = [show(value, unit) for value in (one.low, one.high, unknown.low, unknown.high)]
    agreed, drawn = (f"{values[k].split(' ')[0]} to {values[k + 1]}" for k in (0, 2))
    line = f"  {unknown.name:<34}{agreed:>20}  ({drawn})"
    return line if len(line) <= WIDTH else f"  {unknown.name}\n{' ' * 10}{agreed}  ({drawn})"


def calibration_data(found: Calibration) -> dict[str, Any]:
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
        "warnings": [WARNINGS[code].format(name) for code, name in found.warnings],
        "failures": list(found.failures),
    }
