"""Oxygen that water holds in balance with the air."""

from __future__ import annotations

from pondsim.constants import ATMOSPHERE, SALINITY_PER_CHLORINITY, WATER_DENSITY, ZERO_CELSIUS
from pondsim.jit.compiled import compiled, inlined
from pondsim.jit.elementary import exp
from pondsim.physics import Array


@inlined
def oxygen_saturation(temperature: Array, salinity_g_per_kg: Array, pressure: Array) -> Array:
    """Oxygen in water at balance with moist air.

    Parameters
    ----------
    temperature : float or (n,) array
        Water temperature. [K]
    salinity_g_per_kg : float or (n,) array
        Salinity, not chlorinity. [g/kg]
    pressure : float or (n,) array
        Air pressure at the pond, not reduced to sea level. [Pa]

    Returns
    -------
    float or (n,) array
        Saturation concentration. [kg/m3]

    Notes
    -----
    Valid: 0 to 40 degC, salinity 0 to 40 g/kg, 0.5 to 1.1 atm; within 0.0015 mg/L of the printed table.
    Raises: nothing. Source: benson1984, apha4500o (pressure and salinity terms).
    """
    inverse = 1.0 / temperature
    t = temperature - ZERO_CELSIUS
    atmospheres = pressure / ATMOSPHERE
    logarithm = -139.34411 + inverse * (
        1.575701e5 + inverse * (-6.642308e7 + inverse * (1.243800e10 - inverse * 8.621949e11))
    )
    logarithm -= salinity_g_per_kg * (1.7674e-2 + inverse * (-10.754 + inverse * 2140.7))
    vapour = exp(11.8571 - inverse * (3840.70 + inverse * 216961.0))  # atm
    theta = 0.000975 - 1.426e-5 * t + 6.436e-8 * t * t
    effect = (atmospheres - vapour) * (1.0 - theta * atmospheres) / ((1.0 - vapour) * (1.0 - theta))
    return 1e-3 * exp(logarithm) * effect


@compiled
def standard_pressure(elevation: Array) -> Array:
    """Air pressure of the standard atmosphere.

    Parameters
    ----------
    elevation : float or (n,) array
        Height above sea level. [m]

    Returns
    -------
    float or (n,) array
        Pressure; weather moves it by some 3 %. [Pa]

    Notes
    -----
    Valid: -400 to 11000 m. Raises: nothing. Source: icao1993.
    """
    return ATMOSPHERE * (1.0 - 2.25577e-5 * elevation) ** 5.25588


@compiled
def salinity_from_chloride(chloride: Array) -> Array:
    """Salinity from chloride.

    Parameters
    ----------
    chloride : float or (n,) array
        Chloride, as Cl. [kg/m3]

    Returns
    -------
    float or (n,) array
        Salinity. [g/kg]

    Notes
    -----
    The factor is that of sea salt; pure sodium chloride (road salt) has 1.65, 9 % less. Valid: dilute water.
    Raises: nothing. Source: apha4500o.
    """
    return SALINITY_PER_CHLORINITY * 1000.0 * chloride / WATER_DENSITY
