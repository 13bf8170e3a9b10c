"""Beside pondsim.physics.plume: published forms that serve tests alone."""

from __future__ import annotations

import math

from pondsim.constants import ATMOSPHERE, GRAVITY, WATER_DENSITY
from pondsim.physics.plume import BUBBLE_SLIP, ENTRAINMENT, LONGEST_STEP, _slopes


def plume_flow_unstratified(gas_flow: float, height: float, alpha: float = ENTRAINMENT) -> float:
    """Flow in a round plume of constant buoyancy: no slip, no stratification, no gas expansion.

    Parameters
    ----------
    gas_flow : float
        Air at local pressure. [m3/s]
    height : float
        Above the source. [m]
    alpha : float, default 0.11
        Top-hat entrainment coefficient. [1]

    Returns
    -------
    float
        Water flow. An upper limit for bubbles from a point; those of a diffuser of radius b rise as from a
        point b/(1.2 alpha) lower, 0.76 m for the 0.1 m of `bubble_plume`. [m3/s]

    Notes
    -----
    Valid: above the zone where the plume forms, below its outflow at the surface. Raises: nothing.
    Source: morton1956.
    """
    buoyancy = GRAVITY * gas_flow
    factor = 1.2 * alpha * (0.9 * alpha) ** (1.0 / 3.0) * math.pi ** (2.0 / 3.0)
    return factor * buoyancy ** (1.0 / 3.0) * height ** (5.0 / 3.0)


def plume_flow_with_slip(
    free_air_flow: float,
    depth: float,
    start_radius: float,
    start_velocity: float,
    alpha: float = ENTRAINMENT,
    slip: float = BUBBLE_SLIP,
    surface_pressure: float = ATMOSPHERE,
) -> float:
    """Flow of a bubble plume where it meets the surface of unstratified water.

    Parameters
    ----------
    free_air_flow : float
        Air at 1 atm. [m3/s]
    depth : float
        Submergence of the diffuser. [m]
    start_radius, start_velocity : float
        Of the plume at the diffuser. [m], [m/s]
    alpha : float, default 0.11
        Top-hat entrainment coefficient. [1]
    slip : float, default 0.3
        Rise of the bubbles through the water. [m/s]
    surface_pressure : float, default 101325
        Air pressure. [Pa]

    Returns
    -------
    float
        Water flow. [m3/s]

    Notes
    -----
    Isothermal gas, none of it dissolved. Valid: one diffuser or a close group. Raises: nothing.
    Source: wuest1992 (simplified).
    """
    count = max(math.ceil(depth / LONGEST_STEP), 1)
    step = depth / count
    volume = start_radius**2 * start_velocity
    energy = 0.5 * (volume * start_velocity) ** 2
    for i in range(count):
        under = depth - i * step
        gas0 = free_air_flow * ATMOSPHERE / (surface_pressure + WATER_DENSITY * GRAVITY * under)
        gas1 = (
            free_air_flow * ATMOSPHERE / (surface_pressure + WATER_DENSITY * GRAVITY * (under - 0.5 * step))
        )
        gas2 = free_air_flow * ATMOSPHERE / (surface_pressure + WATER_DENSITY * GRAVITY * (under - step))
        v1, e1 = _slopes(volume, energy, gas0, 0.0, alpha, slip)
        v2, e2 = _slopes(volume + 0.5 * step * v1, energy + 0.5 * step * e1, gas1, 0.0, alpha, slip)
        v3, e3 = _slopes(volume + 0.5 * step * v2, energy + 0.5 * step * e2, gas1, 0.0, alpha, slip)
        v4, e4 = _slopes(volume + step * v3, energy + step * e3, gas2, 0.0, alpha, slip)
        volume += step * (v1 + 2.0 * v2 + 2.0 * v3 + v4) / 6.0
        energy += step * (e1 + 2.0 * e2 + 2.0 * e3 + e4) / 6.0
    return math.pi * volume
