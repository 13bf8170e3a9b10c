"""What an answer of `pondsim size` must be told beside its number: limits it breaks, a lip not reached."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from pondsim.cli import _size_text as words
from pondsim.cli._check_text import hanging
from pondsim.cli._common import wrapped
from pondsim.units import display

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from pondsim.design.limits import Limit
    from pondsim.scenario.settings import Scenario
    from pondsim.sizing.one import Point, Sizing
    from pondsim.sizing.size import Size

JUDGED = ("fail", "warn")


def broken(own: Scenario, answer: Scenario) -> tuple[Limit, ...]:
    """Limits of the design sheet that the answer breaks and the design does not, the failing ones first."""
    from pondsim.design.held import all_limits  # noqa: PLC0415

    before = {(one.part, one.what): one.verdict for one in all_limits(own)}
    graver = [
        limit
        for limit in all_limits(answer)
        if limit.verdict in JUDGED and before.get((limit.part, limit.what)) not in (limit.verdict, "fail")
    ]
    return tuple(sorted(graver, key=lambda limit: JUDGED.index(limit.verdict)))


def broken_lines(limits: Sequence[Limit], system: str) -> list[str]:
    """The limits, one to a line under a head; nothing where none is broken."""
    if not limits:
        return []
    failing = sum(limit.verdict == "fail" for limit in limits)
    count = f"{failing} FAIL, {len(limits) - failing} WARN"
    return [
        f"The answer breaks limits of the design sheet that the design keeps ({count}; see pondsim check):",
        *(f"{limit.verdict.upper()} {limit.part}, {limit.what}: {_value(limit, system)}" for limit in limits),
    ]


def broken_text(limits: Sequence[Limit], system: str) -> str:
    """The same as text of 80 columns."""
    head, *rest = broken_lines(limits, system)
    return "\n".join([wrapped(head), *(hanging(line, "  ", "       ") for line in rest)])


def _value(limit: Limit, system: str) -> str:
    value = "-" if limit.value is None else display(limit.value, limit.kind, system)
    sides = [("at least", limit.least), ("at most", limit.most)]
    wanted = [f"{word} {display(side, limit.kind, system)}" for word, side in sides if side is not None]
    return f"{value}, wanted {' and '.join(wanted)}" if wanted else value


def broken_data(limits: Sequence[Limit], system: str) -> list[dict[str, Any]]:
    """The same as plain data."""
    return [
        {
            "part": limit.part,
            "what": limit.what,
            "verdict": limit.verdict,
            "value": _shown(limit.value, limit, system),
            "least": _shown(limit.least, limit, system),
            "most": _shown(limit.most, limit, system),
            "unit": display(1.0, limit.kind, system).partition(" ")[2],
        }
        for limit in limits
    ]


def _shown(value: float | None, limit: Limit, system: str) -> float | None:
    if value is None:
        return None
    from pondsim.units import display_unit, from_si  # noqa: PLC0415

    return words.plain(float(from_si(value, display_unit(limit.kind, system))))


def still_sentence(
    size: Size, points: Sequence[Point], scenario_at: Callable[[float], Scenario], system: str
) -> str:
    """Which sizes leave the loop without water, since its pump does not reach the lip; "" where none does."""
    from pondsim.site.circulation_line import flow_at_normal_pool  # noqa: PLC0415

    still = []
    for point in points:
        scenario = scenario_at(point.size)
        if scenario.pump is not None and scenario.pump.flow is None and not flow_at_normal_pool(scenario):
            still.append(size.text(point.size, system))
    if not still:
        return ""
    return f"At {', '.join(still)} the pump does not reach the lip at normal pool: no water falls."


def without(size: Size, own: Scenario, sizing: Sizing) -> float | None:
    """The measure of the pond with what is sized taken out, by one run; None where it has none."""
    from pondsim.sizing.one import value_in  # noqa: PLC0415
    from pondsim.sizing.trial import try_out  # noqa: PLC0415

    if size.without is None or (sizing.answer.rises and sizing.answer.kind != "already"):
        return None
    trial = try_out(size.without(own))
    return value_in(trial, sizing.target.measure) if trial.measures else None
