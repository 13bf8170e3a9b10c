"""Results -> pictures, one per file; `style` holds colours and sizes. A figure draws; it never computes."""

from __future__ import annotations

import importlib
from collections.abc import Callable
from typing import Any

FUNCTIONS = {  # name for people: module and function
    "plan": ("plan", "plan_map"),
    "dawn": ("dawn", "dawn_by_zone"),
    "lines": ("depth_lines", "depth_lines"),
    "depth": ("time_depth", "time_depth"),
    "budget": ("budget", "oxygen_budget"),
    "ages": ("ages", "ages"),
    "bed": ("bed", "bed_growth"),
    "electricity": ("power", "electricity"),
    "water": ("water", "level_and_outflow"),
    "ice": ("ice", "ice_and_oxygen"),
    "comparison": ("comparison", "comparison_figure"),
}


def function(name: str) -> Callable[..., Any]:
    """The function that draws a picture, by its name for people; imported when asked for."""
    module, drawing = FUNCTIONS[name]
    found: Callable[..., Any] = getattr(importlib.import_module(f"pondsim.figures.{module}"), drawing)
    return found
