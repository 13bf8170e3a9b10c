"""Beside pondsim.physics.bubbles: published forms that serve tests alone."""

from __future__ import annotations

from pondsim.physics import Array
from pondsim.physics.bubbles import (
    OXYGEN_MASS_PER_STANDARD_AIR,
    OXYGEN_MASS_SHARE,
    STANDARD_AIR_DENSITY,
)

NORMAL_AIR_DENSITY = 1.293  # kg/m3, dry air at 0 degC and 1 atm


def oxygen_mass_per_standard_air() -> float:
    """Oxygen in US standard air (68 degF, 1 atm, 0.075 lb/ft3).

    Returns
    -------
    float
        Mass of oxygen per standard cubic metre. [kg/m3]

    Notes
    -----
    Valid: dry air. Raises: nothing. Source: metcalf2003.
    """
    return OXYGEN_MASS_PER_STANDARD_AIR


def standard_from_normal(normal_flow: Array) -> Array:
    """Air flow in US standard cubic metres from normal ones; the inverse of `normal_from_standard`.

    Parameters
    ----------
    normal_flow : float or (n,) array
        At 0 degC, 1 atm. [normal m3/s]

    Returns
    -------
    float or (n,) array
        Same mass flow. [standard m3/s]

    Notes
    -----
    Valid: dry air. Raises: nothing. Source: metcalf2003.
    """
    return normal_flow * NORMAL_AIR_DENSITY / STANDARD_AIR_DENSITY


def oxygen_mass_per_normal_air() -> float:
    """Oxygen in a normal cubic metre of dry air (0 degC, 1 atm).

    Returns
    -------
    float
        Mass of oxygen per normal cubic metre. [kg/m3]

    Notes
    -----
    Valid: dry air. Raises: nothing. Source: metcalf2003.
    """
    return OXYGEN_MASS_SHARE * NORMAL_AIR_DENSITY


def field_oxygen_transfer(
    sotr: Array,
    alpha: Array,
    beta: Array,
    theta: Array,
    temperature: Array,
    oxygen: Array,
    saturation: Array,
    saturation20: Array,
) -> Array:
    """Oxygen transfer under the conditions of the pond; negative above saturation.

    Parameters
    ----------
    sotr : float or (n,) array
        Standard oxygen transfer rate. [any rate, such as kg/s]
    alpha, beta : float or (n,) array
        Transfer, and saturation, in pond water over clean water. [1]
    theta : float or (n,) array
        Temperature factor, 1.024. [1]
    temperature : float or (n,) array
        Water temperature. [K]
    oxygen : float or (n,) array
        In the water. [kg/m3]
    saturation, saturation20 : float or (n,) array
        Corrected for depth: at the pond, and in the standard test at 20 degC and 1 atm. [kg/m3]

    Returns
    -------
    float or (n,) array
        In the unit of `sotr`.

    Notes
    -----
    Valid: 5 to 30 degC. Raises: nothing. Source: asce2006.
    """
    return sotr * alpha * theta ** (temperature - 293.15) * (beta * saturation - oxygen) / saturation20


def normal_from_standard(standard_flow: Array) -> Array:
    """Air flow in normal cubic metres (0 degC, 1 atm) from US standard air.

    Parameters
    ----------
    standard_flow : float or (n,) array
        At 68 degF, 1 atm. [standard m3/s]

    Returns
    -------
    float or (n,) array
        Same mass flow. [normal m3/s]

    Notes
    -----
    Valid: dry air. Raises: nothing. Source: metcalf2003.
    """
    return standard_flow * STANDARD_AIR_DENSITY / NORMAL_AIR_DENSITY
