"""Air on its way to the diffusers: free and standard volumes, and the pressure lost in tubing."""

from __future__ import annotations

import math

from pondsim.constants import ATMOSPHERE
from pondsim.physics import Array
from pondsim.physics.bubbles import SPECIFIC_GAS_CONSTANT, STANDARD_AIR_DENSITY
from pondsim.physics.pipes import friction_factor

STANDARD_TEMPERATURE = 293.15  # K: 68 degF, of US standard air
SUTHERLAND_FACTOR = 1.458e-6  # kg/m/s/K^0.5, of air's viscosity (from memory)
SUTHERLAND_TEMPERATURE = 110.4  # K, of air's viscosity (from memory)


def standard_from_free(free_flow: Array, pressure: Array, temperature: Array) -> Array:
    """Standard air in a flow of free air, which is counted as it enters the source.

    Parameters
    ----------
    free_flow : float or (n,) array
        Volume at the inlet of the source. [m3/s]
    pressure : float or (n,) array
        Absolute, at the inlet. [Pa]
    temperature : float or (n,) array
        At the inlet. [K]

    Returns
    -------
    float or (n,) array
        The same mass as US standard air, 68 degF and 1 atm. [standard m3/s]

    Notes
    -----
    Ideal gas. Valid: dry air; at 25 degC saturated air holds 3 % less air than dry air. Raises: nothing.
    Source: metcalf2003 (standard air); ideal gas by definition.
    """
    return free_flow * (pressure / ATMOSPHERE) * (STANDARD_TEMPERATURE / temperature)


def air_viscosity(temperature: Array) -> Array:
    """Dynamic viscosity of air, after Sutherland.

    Parameters
    ----------
    temperature : float or (n,) array
        Of the air. [K]

    Returns
    -------
    float or (n,) array
        Viscosity, the same at every pressure of a pond's air line. [Pa s]

    Notes
    -----
    Valid: 170 to 1900 K, some 2 %. Raises: nothing. Source: atmosphere1976.
    """
    return SUTHERLAND_FACTOR * temperature**1.5 / (temperature + SUTHERLAND_TEMPERATURE)


def tube_inlet_pressure(
    mass_flow: float,
    outlet_pressure: float,
    diameter: float,
    length: float,
    roughness: float,
    fittings: float,
    temperature: float,
) -> float:
    """Pressure at the head of a tube of constant bore through which gas flows at constant temperature.

    Parameters
    ----------
    mass_flow : float
        Of air, not negative. [kg/s]
    outlet_pressure : float
        Absolute, at the end of the tube. [Pa]
    diameter, length, roughness : float
        Inside diameter, length and roughness of the tube. [m]
    fittings : float
        Sum of the loss coefficients of valves, bends and inlet, in velocity heads. [1]
    temperature : float
        Of the air in the tube. [K]

    Returns
    -------
    float
        Absolute pressure at its head. [Pa]

    Notes
    -----
    p1^2 - p2^2 = (m/A)^2 R T (f L/D + K + 2 ln(p1/p2)), with f of the one Reynolds number an isothermal
    tube has. Weight of the air in the tube (40 Pa over 3 m) left out. Valid: while the outlet is slower than
    sound, see `mach_number`. Error: that of f. Raises: nothing. Source: crane2009; from memory.
    """
    if mass_flow <= 0.0:
        return outlet_pressure
    flux = mass_flow / (0.25 * math.pi * diameter**2)
    reynolds = flux * diameter / air_viscosity(temperature)
    resistance = friction_factor(reynolds, roughness / diameter) * length / diameter + fittings
    drive = flux * flux * SPECIFIC_GAS_CONSTANT * temperature
    # Convex right of its minimum sqrt(drive): from above Newton's steps come down to the one root over p2.
    pressure = math.sqrt(outlet_pressure**2 + drive * (resistance + 2.0)) + math.sqrt(drive)
    while _excess(pressure, outlet_pressure, drive, resistance) < 0.0:
        pressure *= 2.0
    for _ in range(60):
        slope = 2.0 * (pressure - drive / pressure)
        step = _excess(pressure, outlet_pressure, drive, resistance) / slope
        pressure -= step
        if abs(step) < 1e-13 * pressure:
            break
    return pressure


def _excess(head: float, outlet: float, drive: float, resistance: float) -> float:
    return head * head - outlet * outlet - drive * (resistance + 2.0 * math.log(head / outlet))


def tube_velocity(mass_flow: float, pressure: float, diameter: float, temperature: float) -> float:
    """Velocity of air in a tube.

    Parameters
    ----------
    mass_flow : float
        Of air. [kg/s]
    pressure : float
        Absolute, there. [Pa]
    diameter : float
        Inside. [m]
    temperature : float
        Of the air. [K]

    Returns
    -------
    float
        Velocity; the end of a tube, where the pressure is least, has the highest. [m/s]

    Notes
    -----
    Ideal gas. Valid: dry air. Raises: nothing. Source: by derivation (continuity).
    """
    density = pressure / (SPECIFIC_GAS_CONSTANT * temperature)
    return mass_flow / (density * 0.25 * math.pi * diameter**2)


def mach_number(velocity: float, temperature: float) -> float:
    """Velocity of air over that of sound.

    Parameters
    ----------
    velocity : float
        Of the air. [m/s]
    temperature : float
        Of the air. [K]

    Returns
    -------
    float
        Mach number. An isothermal tube chokes at 0.845 at its end. [1]

    Notes
    -----
    Ratio of specific heats 1.4. Valid: dry air. Raises: nothing. Source: by derivation (ideal gas).
    """
    return velocity / math.sqrt(1.4 * SPECIFIC_GAS_CONSTANT * temperature)


def air_mass(standard_flow: Array) -> Array:
    """Mass flow of standard air.

    Parameters
    ----------
    standard_flow : float or (n,) array
        US standard. [standard m3/s]

    Returns
    -------
    float or (n,) array
        Mass flow. [kg/s]

    Notes
    -----
    Valid: always. Raises: nothing. Source: metcalf2003.
    """
    return standard_flow * STANDARD_AIR_DENSITY
