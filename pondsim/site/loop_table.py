"""What the circulation line delivers, draws and needs at each level of the pond, as a table for the loop."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise
from typing import Any

import numpy as np

from pondsim.scenario.dredging import bed_at
from pondsim.scenario.settings import Pond, Scenario
from pondsim.site.circulation_line import (
    Line,
    LoopParts,
    circulation_line,
    delivered,
    electric_power,
    well_level,
)
from pondsim.site.pond import FloatArray

STRAIGHT = 3e-4  # share of the flow at the highest level by which straight lines of the table may err
LEAST_STEP = 1e-3  # m of pond level, below which the table is not refined
FIRST_LEVELS = 9
TABLES_KEPT = 64  # tables of the last lines that were asked for


@dataclass(frozen=True)
class LoopTable:
    """The loop at rising levels of the pond; straight lines between, the last value beyond.

    Attributes
    ----------
    pond_level : (n,) water surface elevation at the intake, rising, n at least 2 [m]
    flow : (n,) what the pump delivers while it runs [m3/s]
    power : (n,) electric [W]
    well_level : (n,) water surface in the wet well while the pump runs; the pond's where there is none [m]
    pump_off : elevation in the well at which the pump is stopped; -inf where nothing stops it [m]
    """

    pond_level: FloatArray
    flow: FloatArray
    power: FloatArray
    well_level: FloatArray
    pump_off: float


def loop_table(scenario: Scenario) -> LoopTable | None:
    """The loop of a scenario at levels from its intake to the bank top; None where there is none.

    Levels are close enough that straight lines between them err by less than 0.1 % of the flow at the bank
    top. Below `pump_off` the well's level is what the flow would need: the pump is stopped before.
    """
    if scenario.intake is None or scenario.pump is None or scenario.waterfall is None:
        return None
    timeless: dict[str, Any] = {
        "set_point": None,
        "hours": (),
        "season": (),
        "minimum_run": 0.0,
        "minimum_rest": 0.0,
    }
    oxygen: dict[str, Any] = {"zone": "", "water_quality": 1.0, "plunge_pool_depth": 0.0, "splash_loss": 0.0}
    parts = LoopParts(
        bed_at(scenario, scenario.intake.zone, 0.0),
        Pond(normal_pool=scenario.pond.normal_pool, bank_top=scenario.pond.bank_top),
        scenario.intake,
        scenario.gravity_line,
        scenario.wet_well,
        replace(scenario.pump, **timeless),
        scenario.discharge,
        replace(scenario.waterfall, **oxygen),
    )
    return _loop_table(parts)


@lru_cache(TABLES_KEPT)
def _loop_table(parts: LoopParts) -> LoopTable:
    """The same from what it depends on alone: members of an ensemble share it where that is alike."""
    line = circulation_line(parts)
    assert line is not None
    low = line.intake.elevation
    levels = np.linspace(low, max(parts.pond.bank_top, low + 1.0), FIRST_LEVELS)
    table = {level: _at(line, level) for level in levels.tolist()}
    _refine(line, table)
    at = sorted(table)
    return LoopTable(
        np.array(at),
        np.array([table[level][0] for level in at]),
        np.array([table[level][1] for level in at]),
        np.array([well_level(line, table[level][0], level) for level in at]),
        line.pump_off,
    )


def _at(line: Line, pond_level: float) -> tuple[float, float]:
    """Flow and electric power at a level of the pond [m3/s], [W]."""
    flow = delivered(line, pond_level)
    return flow, electric_power(line, flow, pond_level)


def _refine(line: Line, table: dict[float, tuple[float, float]]) -> None:
    """Add levels between neighbours until flow and power half way lie near the straight line."""
    allowed = [STRAIGHT * max(column) for column in zip(*table.values(), strict=True)]
    levels = sorted(table)
    todo = list(pairwise(levels))
    while todo:
        low, high = todo.pop()
        middle = 0.5 * (low + high)
        table[middle] = _at(line, middle)
        ends = zip(table[low], table[middle], table[high], strict=True)
        off = [abs(there - 0.5 * (before + after)) for before, there, after in ends]
        if high - low > LEAST_STEP and any(o > a for o, a in zip(off, allowed, strict=True)):
            todo += [(low, middle), (middle, high)]
