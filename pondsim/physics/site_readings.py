"""What readings on site mean: weir, well, gauge, clamp meter, bucket, oxygen meter."""

from __future__ import annotations

import math

from pondsim.constants import GRAVITY
from pondsim.physics import Array

SPECIFIC_WEIGHT = 62.4 * 0.45359237 * GRAVITY / 0.3048**3  # N/m3, the trade's 62.4 lb/ft3
WATER_ATMOSPHERE = 33.9 * 0.3048  # m of water to an atmosphere


def well_inflow(area: Array, rise: Array, time: Array) -> Array:
    """Flow into a well from its rise just after the pump stops.

    Parameters
    ----------
    area : float or (n,) array
        Of the well in plan. [m2]
    rise : float or (n,) array
        Of its water. [m]
    time : float or (n,) array
        In which it rises. [s]

    Returns
    -------
    float or (n,) array
        What the gravity line brings, which is what the pump took while it ran steadily. [m3/s]

    Notes
    -----
    Valid: the first seconds; the line fills the well ever slower. Raises: nothing. Source: by definition.
    """
    return area * rise / time


def gauge_head(pressure: Array, above_water: Array, velocity: Array) -> Array:
    """Head of a pump by the gauge on its discharge.

    Parameters
    ----------
    pressure : float or (n,) array
        Gauge. [Pa]
    above_water : float or (n,) array
        Height of the gauge over the water the pump stands in; below it negative. [m]
    velocity : float or (n,) array
        In the pipe at the gauge. [m/s]

    Returns
    -------
    float or (n,) array
        [m]

    Notes
    -----
    Water of 62.4 lb/ft3. Raises: nothing. Source: by definition.
    """
    return pressure / SPECIFIC_WEIGHT + above_water + velocity**2 / (2.0 * GRAVITY)


def supply_power(volts: float, amps: float, power_factor: float, phases: int) -> float:
    """Real power by a clamp meter.

    Parameters
    ----------
    volts : float
        Between lines. [V]
    amps : float
        Of a line, mean of all. [A]
    power_factor : float
        [1]
    phases : int
        1 or 3.

    Returns
    -------
    float
        [W]

    Notes
    -----
    Without the power factor it is apparent power. With a variable drive measure before the drive. Raises:
    nothing. Source: by definition.
    """
    return (math.sqrt(3.0) if phases == 3 else 1.0) * volts * amps * power_factor


def bucket_air(volume: Array, time: Array, depth: Array) -> Array:
    """Free air of a diffuser, caught in an upturned bucket.

    Parameters
    ----------
    volume : float or (n,) array
        Of the bucket. [m3]
    time : float or (n,) array
        In which it fills. [s]
    depth : float or (n,) array
        Of the water inside it, at the end, under the surface. [m]

    Returns
    -------
    float or (n,) array
        At the pressure of the air above. [m3/s]

    Notes
    -----
    Boyle, with 33.9 ft of water to an atmosphere. Raises: nothing. Source: by definition.
    """
    return volume / time * (1.0 + depth / WATER_ATMOSPHERE)


def pressure_left(pressure: Array, line_loss: Array, depth: Array) -> Array:
    """Pressure left for the diffuser.

    Parameters
    ----------
    pressure : float or (n,) array
        Gauge at the header. [Pa]
    line_loss : float or (n,) array
        Lost in the tubing. [Pa]
    depth : float or (n,) array
        Water over the diffuser. [m]

    Returns
    -------
    float or (n,) array
        [Pa]

    Notes
    -----
    Far over that of a clean diffuser: fouled; under it: a leak. Raises: nothing. Source: by definition.
    """
    return pressure - line_loss - SPECIFIC_WEIGHT * depth
