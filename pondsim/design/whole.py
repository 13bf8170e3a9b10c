"""The whole design sheet of a scenario: pond, loop, aeration, and what they are held against."""

from __future__ import annotations

from dataclasses import dataclass

from pondsim.design.air_sheet import AirSheet, air_sheet
from pondsim.design.given import Given, aeration_given, design_inputs, operating_points, waterfall_given
from pondsim.design.held import all_limits
from pondsim.design.limits import Limit
from pondsim.design.line_sheet import line_sheet
from pondsim.design.line_values import LineSheet
from pondsim.design.pond_work import pond_work
from pondsim.design.sheet import Sheet, design_sheet
from pondsim.records import Record
from pondsim.scenario.settings import Scenario


@dataclass(frozen=True)
class WholeSheet:
    """Everything that needs no run; `line` is None without a loop, `air` without aeration. SI."""

    sheet: Sheet
    line: LineSheet | None
    air: AirSheet | None
    limits: tuple[Limit, ...]
    work: tuple[Record, ...]  # what is done to the water and the bed

    @property
    def given(self) -> tuple[Given, ...]:
        """Every number row by row: inputs, operating points, waterfall, aeration."""
        found = design_inputs(self.sheet)
        if self.line is not None:
            found += operating_points(self.line) + waterfall_given(self.line)
        return found if self.air is None else found + aeration_given(self.air)


def whole_sheet(scenario: Scenario) -> WholeSheet:
    """The sheet of a scenario. Raises: nothing."""
    return WholeSheet(
        design_sheet(scenario),
        line_sheet(scenario),
        air_sheet(scenario) if scenario.aeration else None,
        all_limits(scenario),
        tuple(pond_work(scenario)),
    )
