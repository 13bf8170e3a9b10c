"""The loop cut lengthwise, for a picture: what stands at which elevation, values only."""

from __future__ import annotations

from dataclasses import dataclass

from pondsim.scenario.dredging import bed_at
from pondsim.scenario.settings import Scenario
from pondsim.site.circulation_line import circulation_line


@dataclass(frozen=True)
class LineCut:
    """Elevations and sizes along the line, SI; None where the file does not say.

    Attributes
    ----------
    bed, pool_bed : under the intake, and the lowest of the zone it falls into [m]
    intake : centre of the opening [m]
    opening, gravity_bore : inside diameters [m]
    grate : whether there is one
    outlet : invert of the gravity line in the well [m]
    gravity_length, discharge_length : [m]
    well_bottom, well_diameter, pump_off, alarm : of the wet well [m]
    suction : of the pump, where stated [m]
    crest : of the lip [m]
    steps : free falls
    low_stated : whether the file names a low pool
    described : whether any pipe stands in the file
    """

    bed: float
    pool_bed: float
    intake: float
    opening: float | None
    gravity_bore: float | None
    grate: bool
    outlet: float | None
    gravity_length: float | None
    discharge_length: float | None
    well_bottom: float | None
    well_diameter: float | None
    pump_off: float | None
    alarm: float | None
    suction: float | None
    crest: float | None
    steps: int
    low_stated: bool
    described: bool


def cut_of(scenario: Scenario) -> LineCut | None:
    """The cut of a scenario's loop; None where there is none. Raises: nothing."""
    line = circulation_line(scenario)
    if line is None:
        return None
    well, gravity, discharge = line.well, line.gravity, line.discharge
    return LineCut(
        bed=line.bed,
        pool_bed=bed_at(scenario, line.waterfall.zone, 0.0),
        intake=line.intake.elevation,
        opening=line.opening,
        gravity_bore=None if gravity is None else gravity.diameter,
        grate=line.intake.grate_area is not None,
        outlet=None if scenario.gravity_line is None else scenario.gravity_line.outlet,
        gravity_length=None if gravity is None else gravity.length,
        discharge_length=None if discharge is None else discharge.length,
        well_bottom=None if well is None else well.bottom,
        well_diameter=None if well is None else well.breadth,
        pump_off=None if well is None else well.pump_off,
        alarm=None if well is None else well.alarm,
        suction=line.pump.elevation,
        crest=line.waterfall.lip,
        steps=line.waterfall.steps,
        low_stated=scenario.pond.low_pool is not None,
        described=gravity is not None or discharge is not None,
    )
