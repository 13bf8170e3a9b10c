"""Colour scales: lightness goes one way, so that they hold in grey and for every kind of color vision.

Oxygen is dark where it is low, with a step at each of 2, 3 and 5 mg/L; above that it pales. Anything else is
light where it is low.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.colors import BoundaryNorm, Colormap, LinearSegmentedColormap, ListedColormap, Normalize

from pondsim.figures.debt import levels_up_to

Array = np.ndarray[Any, Any]

OXYGEN_MARKS = (2.0, 3.0, 5.0)  # mg/L, drawn as lines in the picture
OXYGEN_LEVELS = (0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.5, 8.0, 10.0)  # mg/L; the last colour is of all above
OXYGEN_COLOURS = (
    "#190a13",
    "#3b1023",  # below 2
    "#7d2436",  # 2 to 3
    "#b3552f",
    "#cf8a45",  # 3 to 5
    "#b7bda6",
    "#cdd8cb",
    "#e2ebe4",
    "#f5faf8",  # above 10
)
LOW_TO_HIGH = ("#f3f1e4", "#c9d7c6", "#8fb5b3", "#4f889c", "#27567f", "#17264f")
STEPS = 9  # colours of a scale that is made to fit


def oxygen_scale() -> tuple[Colormap, BoundaryNorm]:
    """Colors of oxygen and the levels between them; the last is open above. [mg/L]"""
    colours = ListedColormap(list(OXYGEN_COLOURS), "pondsim oxygen")
    return colours, BoundaryNorm([*OXYGEN_LEVELS, 1e3], len(OXYGEN_COLOURS))


def debt_scale(values: Array, smell: float) -> tuple[Colormap, BoundaryNorm]:
    """Colors of bottom oxygen debt, in steps that show what can be smelled beside what is at the bottom."""
    levels = levels_up_to(float(np.nanmax(values, initial=0.0)), smell)
    colours = LinearSegmentedColormap.from_list("pondsim debt", list(LOW_TO_HIGH), len(levels) - 1)
    return colours, BoundaryNorm(levels, len(levels) - 1)


def fitted_scale(values: Array, steps: int = STEPS) -> tuple[Colormap, BoundaryNorm]:
    """Colors and round levels that span the values, light where they are low."""
    levels = round_levels(values, steps)
    colours = LinearSegmentedColormap.from_list("pondsim", list(LOW_TO_HIGH), len(levels) - 1)
    return colours, BoundaryNorm(levels, len(levels) - 1)


def smooth_scale(values: Array) -> tuple[Colormap, Normalize]:
    """As `fitted_scale`, without steps: for a few places that also carry their numbers."""
    levels = round_levels(values)
    return LinearSegmentedColormap.from_list("pondsim", list(LOW_TO_HIGH)), Normalize(levels[0], levels[-1])


def round_levels(values: Array, steps: int = STEPS) -> Array:
    """At most about `steps` + 1 round numbers that enclose the finite values."""
    finite = np.asarray(values, dtype=float)[np.isfinite(values)]
    low, high = (float(finite.min()), float(finite.max())) if finite.size else (0.0, 1.0)
    if high - low < 1e-9 * max(1.0, abs(high)):
        low, high = low - 0.5, low + 0.5
    raw = (high - low) / steps
    power = 10.0 ** np.floor(np.log10(raw))
    step = power * next(m for m in (1.0, 2.0, 2.5, 5.0, 10.0) if m * power >= raw * (1.0 - 1e-9))
    first, last = np.floor(low / step + 1e-9), np.ceil(high / step - 1e-9)
    return np.asarray(step * np.arange(first, max(last, first + 1.0) + 1.0))


def luminance(colour: Any) -> float:
    """How light a colour is in a grey print, 0 to 1: relative luminance of sRGB (IEC 61966-2-1)."""
    from matplotlib.colors import to_rgb  # noqa: PLC0415

    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in to_rgb(colour)]
    return float(np.dot([0.2126, 0.7152, 0.0722], linear))


def ink_on(colour: Any) -> str:
    """Black or white, whichever reads better on a colour."""
    light = luminance(colour)
    return "#000000" if (light + 0.05) / 0.05 > 1.05 / (light + 0.05) else "#ffffff"
