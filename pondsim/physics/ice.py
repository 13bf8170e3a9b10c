"""Ice and snow on a pond: heat and light through them."""

from __future__ import annotations

import numpy as np

from pondsim.constants import (
    FUSION_HEAT,
    ICE_DENSITY,
    STEFAN_BOLTZMANN,
    WATER_DENSITY,
    WATER_HEAT_CAPACITY,
    ZERO_CELSIUS,
)
from pondsim.jit.compiled import compiled
from pondsim.physics import Array
from pondsim.physics.heat import (
    BOWEN,
    BOWEN_PRESSURE,
    WATER_EMISSIVITY,
    evaporation_function,
    longwave_from_water,
    sensible_heat,
)
from pondsim.physics.water import vapour_pressure

ICE_CONDUCTIVITY = 2.2  # W/m/K
FUSION_KELVIN = FUSION_HEAT / WATER_HEAT_CAPACITY  # K by which the heat of freezing would warm the water
ICE_HEAT = ZERO_CELSIUS - FUSION_KELVIN  # K, heat that water at 0 degC keeps once it is ice, over rho cp
ICE_PER_WATER = WATER_DENSITY / ICE_DENSITY  # volume of ice over that of the water it is made of


@compiled
def snow_conductivity(density: Array) -> Array:
    """Heat conductivity of snow.

    Parameters
    ----------
    density : float or (n,) array
        Of the snow. [kg/m3]

    Returns
    -------
    float or (n,) array
        [W/m/K]

    Notes
    -----
    Valid: 156 to 600 kg/m3; below, the value at 156 holds. Raises: nothing. Source: sturm1997 (constants from
    memory, not verified).
    """
    g = 1e-3 * np.maximum(density, 156.0)
    return 0.138 - 1.01 * g + 3.233 * g * g


@compiled
def flooding_snow(ice_thickness: Array, snow_density: Array) -> Array:
    """Depth of snow that presses ice just under the water, so that any more of it is flooded.

    Parameters
    ----------
    ice_thickness : float or (n,) array
        [m]
    snow_density : float or (n,) array
        [kg/m3]

    Returns
    -------
    float or (n,) array
        [m]

    Notes
    -----
    Water of 1000 kg/m3. Valid: ice that floats free. Raises: nothing. Source: by Archimedes' law.
    """
    return ice_thickness * (1000.0 - ICE_DENSITY) / snow_density


@compiled
def light_through(
    albedo: Array, ice: Array, ice_extinction: Array, snow: Array, snow_extinction: Array
) -> Array:
    """Share of the light that falls on ice and snow which reaches the water.

    Parameters
    ----------
    albedo : float or (n,) array
        Share reflected. [1]
    ice, snow : float or (n,) array
        Their thickness. [m]
    ice_extinction, snow_extinction : float or (n,) array
        [1/m]

    Returns
    -------
    float or (n,) array
        (1 - albedo) exp(-k h - k h). [1]

    Notes
    -----
    Valid: visible light. Raises: nothing. Source: lei2011 (inputs).
    """
    return (1.0 - albedo) * np.exp(-ice_extinction * ice - snow_extinction * snow)


@compiled
def frozen_surface(
    sky: float, sun: float, air: float, vapour: float, wind2: float, pressure: float
) -> tuple[float, float]:
    """Heat that a surface of ice or snow at 0 degC gains, and how fast it gains more when it is colder.

    Parameters
    ----------
    sky, sun : float
        Long-wave and short-wave radiation absorbed. [W/m2]
    air, vapour : float
        Temperature [K] and vapour pressure [Pa] of the air.
    wind2 : float
        Wind 2 m above it. [m/s]
    pressure : float
        Of the air. [Pa]

    Returns
    -------
    (float, float)
        Gain at 0 degC, negative in frost [W/m2]; exchange [W/m2/K].

    Notes
    -----
    The air film is that of open water. Evaporation from ice and frost on it are left out. Long-wave exchange
    is linear, with the slope midway between 0 degC and the air. Raises: nothing. Source: ryan1974, tva1972.
    """
    function = evaporation_function(ZERO_CELSIUS, vapour_pressure(ZERO_CELSIUS), air, vapour, wind2, pressure)
    lost = longwave_from_water(ZERO_CELSIUS) + sensible_heat(function, ZERO_CELSIUS, air, pressure)
    middle = 0.5 * (ZERO_CELSIUS + min(air, ZERO_CELSIUS))
    exchange = 4.0 * WATER_EMISSIVITY * STEFAN_BOLTZMANN * middle * middle * middle
    return sky + sun - lost, exchange + BOWEN * pressure / BOWEN_PRESSURE * function


@compiled
def heat_through_ice(gain: Array, exchange: Array, resistance: Array) -> Array:
    """Heat that comes up through ice and snow from water at 0 degC.

    Parameters
    ----------
    gain, exchange : float or (n,) array
        Of the surface, from `frozen_surface`. [W/m2], [W/m2/K]
    resistance : float or (n,) array
        Of ice and snow: sum of thickness over conductivity. [m2 K/W]

    Returns
    -------
    float or (n,) array
        -gain/(1 + exchange x resistance) in frost, 0 where the surface melts. [W/m2]

    Notes
    -----
    Steady: ice and snow store no heat, some 5 % of the latent heat at -20 degC. Raises: nothing.
    Source: stefan1891 (conduction); exact for a linear exchange.
    """
    return np.maximum(-gain, 0.0) / (1.0 + exchange * resistance)
