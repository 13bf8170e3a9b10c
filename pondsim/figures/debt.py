"""Bottom oxygen debt on a scale where a smell shows beside what is at the bottom."""

from __future__ import annotations

from typing import Any

import numpy as np

from pondsim.figures.words import over
from pondsim.measures import daily
from pondsim.units import number_text

Array = np.ndarray[Any, Any]

DEBT = "reduced_substances"
LEVELS = (0.0, 0.05, 0.2, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0)  # mg/L, beside that which smells


def note(smell: float) -> str:
    """What debt is, and from which value on it is counted as smell [mg/L]."""
    return (
        "Bottom oxygen debt: sulfide, iron and methane from the sediment, as the oxygen they take up; from "
        f"{smell:g} mg/L on it counts as smell. "
    )


def levels_up_to(most: float, smell: float) -> Array:
    """Levels of the scale that enclose values up to `most`, `smell` among them [mg/L]."""
    known = sorted({*LEVELS, smell})
    least = known.index(smell) + 1
    count = next((k for k, level in enumerate(known) if level >= most), len(known) - 1)
    levels = np.asarray(known[: max(count, least) + 1])
    levels[-1] = max(levels[-1], most)
    return levels


def finding(name: str, times: Array, top: Array, bottom: Array, smell: float) -> str:
    """How much debt there is at the bottom, and on how many days it counts as smell at the top."""
    _, highest = daily(times, top, np.max)
    most = number_text(float(np.nanmax(bottom, initial=0.0)), 2)
    days = int(np.sum(highest > smell))
    return (
        f'with "{name}" bottom oxygen debt reaches {most} mg/L at the bottom, and {smell:g} mg/L at the top, '
        f"where it smells, on {days} of {over(len(highest))}"
    )
