"""A run of pipe as a value: bore, length, wall and everything in it that loses head."""

from __future__ import annotations

from dataclasses import dataclass

from pondsim.physics.pipes import (
    friction_loss,
    pipe_velocity,
    roughness_from_manning,
    velocity_head_loss,
)
from pondsim.scenario.defaults import parameter_value
from pondsim.scenario.fittings_table import Fittings, fitting_table
from pondsim.scenario.pipe_tables import (
    KINDS,
    crane_friction,
    inside_diameter,
    manning_of,
    nearest_inches,
    outside_diameter,
)
from pondsim.scenario.settings import Discharge, GravityLine, Intake

VISCOSITY = 1.0034e-6  # m2/s, kinematic, of water at 20 degC; at 10 degC friction is some 5 % more


@dataclass(frozen=True)
class PipeRun:
    """A run of one bore.

    Attributes
    ----------
    diameter : inside [m]
    length : along the pipe [m]
    roughness : of the wall [m]
    fittings : loss coefficient of all fittings together [1]
    """

    diameter: float
    length: float
    roughness: float
    fittings: float

    def velocity(self, flow: float) -> float:
        """Mean velocity. [m/s]"""
        return float(pipe_velocity(flow, self.diameter))

    def friction(self, flow: float) -> float:
        """Head lost along the wall. [m]"""
        return float(friction_loss(flow, self.diameter, self.length, self.roughness, VISCOSITY))

    def loss(self, flow: float, also: float = 0.0) -> float:
        """Head lost to friction, fittings and a coefficient `also` of whatever else it has. [m]"""
        bends = velocity_head_loss(self.velocity(flow), self.fittings + also)
        return self.friction(flow) + float(bends)


def bore(section: Intake | GravityLine | Discharge) -> float | None:
    """Inside diameter of a section's pipe: stated, or by its standard; None where neither is given [m]."""
    if section.inside_diameter is not None:
        return section.inside_diameter
    if section.nominal is None or section.pipe is None:
        return None
    return inside_diameter(section.pipe, section.nominal)


def pipe_name(section: Intake | GravityLine | Discharge) -> str:
    """What to buy: ``12 in PVC schedule 40, ASTM D1785``, or nothing where only a bore is stated."""
    if section.inside_diameter is not None or section.nominal is None or section.pipe is None:
        return ""
    return f"{nearest_inches(section.nominal):g} in {KINDS[section.pipe][1]}"


def pipe_run(section: GravityLine | Discharge) -> PipeRun:
    """The run a section describes; its pipe must be known, which the checks of the scenario see to."""
    diameter = bore(section)
    assert diameter is not None
    losses = fittings_coefficient(section.fittings, diameter)
    return PipeRun(diameter, section.length, wall_roughness(section, diameter), losses)


def wall_roughness(section: GravityLine | Discharge, diameter: float) -> float:
    """Roughness of a section's pipe: that of its kind where the file leaves the default [m]."""
    manning = manning_of(section.pipe)
    name = f"{'gravity_line' if isinstance(section, GravityLine) else 'discharge'}.roughness"
    if manning is None or section.roughness != parameter_value(name):
        return section.roughness
    return roughness_from_manning(diameter, manning)


def outside(section: Intake | GravityLine | Discharge) -> float | None:
    """Outside diameter of a section's pipe by its standard; None where only a bore is stated [m]."""
    if section.inside_diameter is not None or section.nominal is None or section.pipe is None:
        return None
    return outside_diameter(section.pipe, section.nominal)


def fittings_coefficient(fittings: Fittings, diameter: float) -> float:
    """Loss coefficient of fittings in a pipe, all together, over its velocity head [1]."""
    table = fitting_table()
    lengths = sum(count * table[name].friction_lengths for count, name in fittings)
    losses = sum(count * table[name].loss for count, name in fittings)
    return losses + (lengths * crane_friction(diameter) if lengths else 0.0)
