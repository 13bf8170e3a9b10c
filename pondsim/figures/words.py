"""Pieces of headlines that several figures share."""

from __future__ import annotations

from collections.abc import Callable

ALIKE = 0.02  # designs that differ by less than this share from the existing pond are not told one by one


def over(days: float) -> str:
    """A length of time: "138 days", "1 day"."""
    text = f"{days:.3g}"
    return f"{text} day" if text == "1" else f"{text} days"


def alike(values: list[float]) -> bool:
    """Whether designs hardly change a number of the first run."""
    return all(abs(value - values[0]) <= ALIKE * abs(values[0]) for value in values[1:])


def beside_others(values: list[float], names: list[str], text: Callable[[float], str]) -> str:
    """What each design makes of a number of the first run, or that it hardly changes; empty for one run.

    Parameters
    ----------
    values : list of float
        One for each run, the existing pond first.
    names : list of str
        Their titles.
    text : callable
        A value in words.
    """
    if len(values) < 2:
        return ""
    if alike(values):
        return f"; every design leaves that within {100.0 * ALIKE:g} %"
    return "".join(
        f'; with "{name}" {text(value)}' for name, value in zip(names[1:], values[1:], strict=True)
    )
