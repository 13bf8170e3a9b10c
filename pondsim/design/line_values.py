"""What the design sheet says of the circulation line, SI: values only."""

from __future__ import annotations

from dataclasses import dataclass

from pondsim.design.waterfall import WaterfallSheet
from pondsim.design.well_start import WellStart
from pondsim.site.pond import FloatArray


@dataclass(frozen=True)
class AtPool:
    """The line with the pond at one level, while the pump runs; None where the file does not say enough.

    Attributes
    ----------
    name : "low pool", "normal pool" or "bank top"
    pond_level, lip_level, well_level : water surface elevations; the well's None with no well [m]
    flow : delivered [m3/s]
    head, static_lift : of the pump, and of it the lift from the water it draws to the lip [m]
    suction_loss, discharge_loss : head lost before and after the pump [m]
    over_pump_off : water in the well over the pump-off float [m]
    efficiency : of the pump alone [1]
    hydraulic_power, shaft_power, electric_power : of all pumps [W]
    intake_velocity, gravity_velocity, discharge_velocity : in the pipes [m/s]
    grate_face_velocity : flow over the whole area of the grate [m/s]
    grate_velocity, grate_velocity_blocked : through its gaps, clean and with the stated share blocked [m/s]
    cover_top, cover_centre : water over the intake pipe's top and over its centre line [m]
    submergence : water the Hydraulic Institute asks over the opening at this flow [m]
    starving_flow : maximum flow of the intake; infinite where nothing limits it [m3/s]
    starved_by : what limits it, in words
    npsh_available : at 28 degC [m]
    start : first fall of the well when the pump starts
    starts : times an hour the pump is stopped by its float and starts again; 0 where it runs on
    """

    name: str
    pond_level: float
    lip_level: float
    well_level: float | None
    flow: float
    head: float
    static_lift: float
    suction_loss: float
    discharge_loss: float | None
    over_pump_off: float | None
    efficiency: float | None
    hydraulic_power: float
    shaft_power: float | None
    electric_power: float
    intake_velocity: float | None
    gravity_velocity: float | None
    discharge_velocity: float | None
    grate_face_velocity: float | None
    grate_velocity: float | None
    grate_velocity_blocked: float | None
    cover_top: float | None
    cover_centre: float
    submergence: float | None
    starving_flow: float
    starved_by: str
    npsh_available: float | None
    start: WellStart | None
    starts: float | None

    @property
    def stops(self) -> bool:
        """Whether the well would fall below pump-off, so that the pump cannot go on: no operating point."""
        return self.over_pump_off is not None and self.over_pump_off < 0.0


@dataclass(frozen=True, eq=False)
class Curves:
    """Pump and system over flow, for drawing; pump values are missing where its flow is stated.

    Attributes
    ----------
    flow : (n,) [m3/s]
    system : (3, n) head the line asks at low pool, normal pool and bank top [m]
    pump : (n,) head the pumps give [m]
    efficiency : (n,) of the pump alone, NaN where unknown [1]
    electric_power : (n,) [W]
    points : (2, m) flow and head of the points given, all pumps at their speed [m3/s], [m]
    """

    flow: FloatArray
    system: FloatArray
    pump: FloatArray | None
    efficiency: FloatArray | None
    electric_power: FloatArray | None
    points: FloatArray | None


@dataclass(frozen=True)
class Station:
    """A place along the line; levels at low pool, normal pool and bank top while the pump runs.

    Attributes
    ----------
    name : "pond", "grate", "pipe inlet", "pipe outlet", "wet well", "pump" or "lip"
    distance : along the pipes from the intake [m]
    bottom : bed, invert, floor or crest there; None where it is not known [m]
    water : surface, or pressure line in a pipe [m]
    energy : the same with the velocity head [m]
    """

    name: str
    distance: float
    bottom: float | None
    water: tuple[float, float, float]
    energy: tuple[float, float, float]


@dataclass(frozen=True)
class LineSheet:
    """The whole line; pipes are named as one buys them, "" where only a bore is stated."""

    pools: tuple[AtPool, AtPool, AtPool]
    curves: Curves
    stations: tuple[Station, ...]
    waterfall: WaterfallSheet
    intake_pipe: str
    gravity_pipe: str
    discharge_pipe: str
    bores: tuple[float | None, float | None, float | None]  # intake, gravity line, discharge [m]

    @property
    def low(self) -> AtPool:
        """At low pool; at normal pool where the file names no low pool."""
        return self.pools[0]

    @property
    def normal(self) -> AtPool:
        """At normal pool."""
        return self.pools[1]

    @property
    def high(self) -> AtPool:
        """With the pond at its bank top."""
        return self.pools[2]
