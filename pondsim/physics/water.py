"""Properties of pond water."""

from __future__ import annotations

import numpy as np

from pondsim.constants import ZERO_CELSIUS
from pondsim.jit.compiled import compiled, inlined
from pondsim.jit.elementary import exp
from pondsim.physics import Array

MINERAL_DENSITY = 2650.0  # kg/m3, quartz and most silt
SALT_CONTRACTION = 0.76  # kg/m3 per g/kg
CRITICAL_TEMPERATURE = 647.096  # K, of water
CRITICAL_PRESSURE = 22.064e6  # Pa, of water


@inlined
def water_density(temperature: Array) -> Array:
    """Density of air-free fresh water at 1 atm.

    Parameters
    ----------
    temperature : float or (n,) array
        Water temperature. [K]

    Returns
    -------
    float or (n,) array
        Density. [kg/m3]

    Notes
    -----
    Valid: 0 to 40 degC, error below 0.005 kg/m3. Raises: nothing. Source: kell1975.
    """
    t = temperature - ZERO_CELSIUS
    above = 999.83952 + t * (
        16.945176 + t * (-7.9870401e-3 + t * (-46.170461e-6 + t * (105.56302e-9 - t * 280.54253e-12)))
    )
    return above / (1.0 + 16.879850e-3 * t)


@inlined
def pond_density(temperature: Array, salinity_g_per_kg: Array, solids: Array) -> Array:
    """Density of water with salt and suspended mineral solids.

    Parameters
    ----------
    temperature : float or (n,) array
        Water temperature. [K]
    salinity_g_per_kg : float or (n,) array
        Salinity. [g/kg]
    solids : float or (n,) array
        Suspended solids, dry mass per volume. [kg/m3]

    Returns
    -------
    float or (n,) array
        Density of the mixture. [kg/m3]

    Notes
    -----
    Salt adds 0.76 kg/m3 per g/kg: sea salt near 20 degC; 0.82 at 0 degC, 0.75 at 30 degC. Solids are taken as
    2650 kg/m3; flocs of organic matter weigh less. Valid: 0 to 40 degC, salinity to 5 g/kg.
    Raises: nothing. Source: kell1975, unesco1981 (salt).
    """
    fresh = water_density(temperature)
    return fresh + SALT_CONTRACTION * salinity_g_per_kg + (1.0 - fresh / MINERAL_DENSITY) * solids


@compiled
def thermal_expansion(temperature: Array) -> Array:
    """Thermal expansion coefficient of fresh water, negative below 4 degC.

    Parameters
    ----------
    temperature : float or (n,) array
        Water temperature. [K]

    Returns
    -------
    float or (n,) array
        Minus the relative change of density per kelvin. [1/K]

    Notes
    -----
    The derivative of `water_density`. Valid: 0 to 40 degC. Raises: nothing. Source: kell1975.
    """
    t = temperature - ZERO_CELSIUS
    below = 1.0 + 16.879850e-3 * t
    slope = 16.945176 + t * (-15.9740802e-3 + t * (-138.511383e-6 + t * (422.25208e-9 - t * 1402.71265e-12)))
    return 16.879850e-3 / below - slope / (below * water_density(temperature))


@inlined
def vapour_pressure(temperature: Array) -> Array:
    """Saturation vapour pressure over water.

    Parameters
    ----------
    temperature : float or (n,) array
        Temperature of the water; the dew point gives the vapour pressure of air. [K]

    Returns
    -------
    float or (n,) array
        Pressure of saturated vapour. [Pa]

    Notes
    -----
    Valid: 0 to 100 degC, error below 0.05 %; below freezing it is that over supercooled water.
    Raises: nothing. Source: wagner2002.
    """
    d = 1.0 - temperature / CRITICAL_TEMPERATURE
    root = np.sqrt(d)
    cube = d * d * d
    terms = (
        d * (-7.85951783 + 1.84408259 * root)
        + cube * (-11.7866497 + 22.6807411 * root - 15.9618719 * d)
        + 1.80122502 * cube * cube * d * root
    )
    return CRITICAL_PRESSURE * exp(CRITICAL_TEMPERATURE / temperature * terms)


@inlined
def latent_heat(temperature: Array) -> Array:
    """Latent heat of vaporisation of water.

    Parameters
    ----------
    temperature : float or (n,) array
        Water temperature. [K]

    Returns
    -------
    float or (n,) array
        Heat per mass evaporated. [J/kg]

    Notes
    -----
    Valid: 0 to 40 degC, error below 0.1 %. Raises: nothing. Source: allen1998.
    """
    return 2.501e6 - 2361.0 * (temperature - ZERO_CELSIUS)


@compiled
def viscosity(temperature: Array) -> Array:
    """Dynamic viscosity of fresh water at 1 atm.

    Parameters
    ----------
    temperature : float or (n,) array
        Water temperature. [K]

    Returns
    -------
    float or (n,) array
        Dynamic viscosity. [Pa s]

    Notes
    -----
    Valid: 0 to 100 degC, error below 0.1 %. Raises: nothing. Source: patek2009.
    """
    r = temperature / 300.0
    return 1e-6 * (280.68 * r**-1.9 + 511.45 * r**-7.7 + 61.131 * r**-19.6 + 0.45903 * r**-40.0)


@compiled
def kinematic_viscosity(temperature: Array) -> Array:
    """Kinematic viscosity of fresh water at 1 atm.

    Parameters
    ----------
    temperature : float or (n,) array
        Water temperature. [K]

    Returns
    -------
    float or (n,) array
        Kinematic viscosity. [m2/s]

    Notes
    -----
    Valid: 0 to 40 degC, error below 0.1 %. Raises: nothing. Source: patek2009, kell1975.
    """
    return viscosity(temperature) / water_density(temperature)
