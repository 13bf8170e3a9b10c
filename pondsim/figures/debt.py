"""Bottom oxygen debt on a scale where a smell shows beside what is at the bottom."""

from __future__ import annotations

from typing import Any

import numpy as np

from pondsim.figures.words import over
from pondsim.measures import daily
from pondsim.units import number_text

Array = np.ndarray[Any, Any]

DEBT = "reduced_substances"
# As oxygen: people smell 0.05 to 0.1 mg/L of hydrogen sulfide in water (guidelines for drinking water of the
# World Health Organization, from memory), and 34 g of it take up 64 g of oxygen. Not all debt is sulfide.
SMELL = 0.2  # mg/L
LEVELS = (0.0, 0.05, SMELL, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0)  # mg/L
NOTE = (
    "Bottom oxygen debt: sulfide, iron and methane from the sediment, as the oxygen they take up; from "
    f"{SMELL:g} mg/L on sulfide can be smelled. "
)


def levels_up_to(most: float) -> Array:
    """Levels of the scale that enclose values up to `most` [mg/L]; at least the first four."""
    count = next((k for k, level in enumerate(LEVELS) if level >= most), len(LEVELS) - 1)
    levels = np.asarray(LEVELS[: max(count, 3) + 1])
    levels[-1] = max(levels[-1], most)
    return levels


def finding(name: str, times: Array, top: Array, bottom: Array) -> str:
    """How much debt there is at the bottom, and on how many days it can be smelled at the top."""
    _, highest = daily(times, top, np.max)
    most = number_text(float(np.nanmax(bottom, initial=0.0)), 2)
    days = int(np.sum(highest > SMELL))
    return (
        f'with "{name}" bottom oxygen debt reaches {most} mg/L at the bottom, and {SMELL:g} mg/L at the top, '
        f"where it may smell, on {days} of {over(len(highest))}"
    )
