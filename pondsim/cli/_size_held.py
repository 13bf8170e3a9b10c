"""What an answer of `pondsim size` must be told beside its number: its design sheet, a lip not reached."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from pondsim.cli import _size_text as words
from pondsim.cli._check_text import hanging
from pondsim.cli._common import wrapped
from pondsim.units import display

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from pondsim.design.held import Breach
    from pondsim.design.limits import Limit
    from pondsim.scenario.settings import Scenario
    from pondsim.sizing.one import Point, Sizing
    from pondsim.sizing.size import Size


def breach_lines(title: str, found: Sequence[Breach], system: str) -> list[str]:
    """What of the design sheet a design found here fails or warns, one to a line under a head."""
    count = counts_text([one.limit for one in found])
    if not found:
        return [f"On the design sheet {title} has no FAIL and no WARN."]
    alike = "; = marks what the design has as it stands" if any(one.also for one in found) else ""
    return [
        f"On the design sheet {title} has {count} (see pondsim check){alike}:",
        *(f"{'= ' if one.also else ''}{broken_line(one.limit, system)}" for one in found),
    ]


def counts_text(limits: Iterable[Limit]) -> str:
    """How many fail and warn: "2 FAIL, 1 WARN", "pass" where none does."""
    verdicts = [limit.verdict for limit in limits]
    named = [f"{verdicts.count(one)} {one.upper()}" for one in ("fail", "warn") if one in verdicts]
    return ", ".join(named) or "pass"


def broken_line(limit: Limit, system: str) -> str:
    """One limit with its verdict, value and bounds."""
    return f"{limit.verdict.upper()} {limit.part}, {limit.what}: {_value(limit, system)}"


def breach_text(title: str, found: Sequence[Breach], system: str) -> str:
    """The same as text of 80 columns."""
    head, *rest = breach_lines(title, found, system)
    return "\n".join([wrapped(head), *(hanging(line, "  ", "       ") for line in rest)])


def _value(limit: Limit, system: str) -> str:
    value = "-" if limit.value is None else display(limit.value, limit.kind, system)
    sides = [("at least", limit.least), ("at most", limit.most)]
    wanted = [f"{word} {display(side, limit.kind, system)}" for word, side in sides if side is not None]
    return f"{value}, limit {' and '.join(wanted)}" if wanted else value


def breach_data(found: Sequence[Breach], system: str) -> list[dict[str, Any]]:
    """The same as plain data; `as_designed` where the design as it stands breaks it too."""
    return [{**broken_data(one.limit, system), "as_designed": one.also} for one in found]


def broken_data(limit: Limit, system: str) -> dict[str, Any]:
    """A limit as plain data."""
    return {
        "part": limit.part,
        "what": limit.what,
        "verdict": limit.verdict,
        "value": _shown(limit.value, limit, system),
        "least": _shown(limit.least, limit, system),
        "most": _shown(limit.most, limit, system),
        "unit": display(1.0, limit.kind, system).partition(" ")[2],
    }


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
