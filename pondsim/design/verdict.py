"""Verdicts on what a part of the equipment does."""

from __future__ import annotations

from operator import attrgetter

from pondsim.design.limits import Limit
from pondsim.scenario.defaults import default_parameter
from pondsim.scenario.settings import Scenario
from pondsim.scenario.stated import source_stated

PRACTICE = "common practice, no source"
ROUNDING = 1e-9  # SI, by which a value may miss a bound that it equals but for arithmetic


def judged(
    code: str,
    part: str,
    what: str,
    value: float | None,
    kind: str,
    *,
    least: float | None = None,
    most: float | None = None,
    breach: str = "warn",
    source: str = PRACTICE,
    note: str = "",
) -> Limit:
    """A limit with its verdict: `breach` outside least to most, reported where there is nothing to judge."""
    if value is None or (least is None and most is None):
        verdict = "reported"
    elif _below(value, least) or _below(most, value):
        verdict = breach
    else:
        verdict = "pass"
    return Limit(code, part, what, value, kind, least, most, verdict, source, note)


def _below(value: float | None, bound: float | None) -> bool:
    """Whether a value is less than its bound by more than rounding; not where either is missing."""
    return value is not None and bound is not None and value < bound - ROUNDING * (1.0 + abs(bound))


def source_of(scenario: Scenario, parameter: str, key: str = "") -> str:
    """Where the value of a parameter comes from, in words for a limit: the user, or the default's source.

    `key` is its place in the scenario where that has another name.
    """
    row = default_parameter(parameter)
    own = source_stated(scenario, key or parameter, attrgetter(key or parameter)(scenario), row.value)
    if own is not None:
        return own
    return f"{row.source}, from memory" if row.mark == "M" else row.source
