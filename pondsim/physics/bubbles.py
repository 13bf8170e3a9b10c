"""Diffused aeration: air, the oxygen in it, what the water takes up, and the power to press it down."""

from __future__ import annotations

import numpy as np

from pondsim.constants import ATMOSPHERE, GRAVITY, WATER_DENSITY
from pondsim.jit.compiled import compiled
from pondsim.physics import Array

STANDARD_AIR_DENSITY = 0.075 * 0.45359237 / 0.3048**3  # kg/m3: 0.075 lb/ft3, US standard, 68 degF and 1 atm
OXYGEN_MASS_SHARE = 0.2315  # of dry air
OXYGEN_MASS_PER_STANDARD_AIR = OXYGEN_MASS_SHARE * STANDARD_AIR_DENSITY  # kg per standard m3
SPECIFIC_GAS_CONSTANT = 8314.0 / 28.97  # J/kg/K, air
COMPRESSION_EXPONENT = 0.283  # (k - 1)/k of air as the design texts round it
DESTRATIFICATION_AIR = 9.2 / 60.0 / 1e6  # m/s: 9.2 m3/min of air per km2 of water


@compiled
def standard_transfer(standard_flow: Array, efficiency_per_metre: Array, depth: Array) -> Array:
    """Oxygen that a diffuser would pass into oxygen-free clean water at 20 degC and 1 atm.

    Parameters
    ----------
    standard_flow : float or (n,) array
        Air, US standard. [standard m3/s]
    efficiency_per_metre : float or (n,) array
        Share of the oxygen transferred per meter of submergence. [1/m]
    depth : float or (n,) array
        Submergence; above the water it gives 0. [m]

    Returns
    -------
    float or (n,) array
        Standard oxygen transfer rate, never more than the oxygen supplied. [kg/s]

    Notes
    -----
    Valid: depth to some 8 m. Raises: nothing. Source: asce2006.
    """
    share = np.minimum(np.maximum(efficiency_per_metre * depth, 0.0), 1.0)
    return OXYGEN_MASS_PER_STANDARD_AIR * standard_flow * share


@compiled
def saturation_at_depth(saturation: Array, pressure: Array, vapour: Array, effective_depth: Array) -> Array:
    """Saturation that rising bubbles see.

    Parameters
    ----------
    saturation : float or (n,) array
        At the surface. [kg/m3]
    pressure, vapour : float or (n,) array
        Air pressure, and vapour pressure at the water temperature. [Pa]
    effective_depth : float or (n,) array
        0.25 to 0.45 of the submergence for fine bubbles, half at most. [m]

    Returns
    -------
    float or (n,) array
        Depth-corrected saturation. [kg/m3]

    Notes
    -----
    Valid: fresh water. Raises: nothing. Source: asce2006; effective depths from memory.
    """
    return saturation * (1.0 + WATER_DENSITY * GRAVITY * effective_depth / (pressure - vapour))


@compiled
def adiabatic_power(
    mass_flow: Array,
    inlet_temperature: Array,
    inlet_pressure: Array,
    outlet_pressure: Array,
    efficiency: Array,
) -> Array:
    """Power of a blower or compressor, adiabatic compression.

    Parameters
    ----------
    mass_flow : float or (n,) array
        Air. [kg/s]
    inlet_temperature : float or (n,) array
        Of the air drawn in. [K]
    inlet_pressure, outlet_pressure : float or (n,) array
        Absolute; the outlet's is air + water over the diffuser + losses. [Pa]
    efficiency : float or (n,) array
        To the shaft, or to the electric meter for electric power. [1]

    Returns
    -------
    float or (n,) array
        Power. [W]

    Notes
    -----
    M 28.97, n 0.283; a text that prints 29.7 is 2.5 % low. Valid: dry air. Raises: nothing.
    Source: metcalf2003.
    """
    rise = (outlet_pressure / inlet_pressure) ** COMPRESSION_EXPONENT - 1.0
    return mass_flow * SPECIFIC_GAS_CONSTANT * inlet_temperature * rise / (COMPRESSION_EXPONENT * efficiency)


@compiled
def isothermal_gas_power(standard_flow: Array, depth: Array, pressure: Array) -> Array:
    """Power that rising air gives to the water.

    Parameters
    ----------
    standard_flow : float or (n,) array
        Air, US standard; taken as 20 degC in the water too. [standard m3/s]
    depth : float or (n,) array
        Submergence. [m]
    pressure : float or (n,) array
        Air pressure. [Pa]

    Returns
    -------
    float or (n,) array
        Power. [W]

    Notes
    -----
    Valid: depth >= 0. Raises: nothing. Source: by derivation (isothermal expansion).
    """
    return ATMOSPHERE * standard_flow * np.log1p(WATER_DENSITY * GRAVITY * depth / pressure)


@compiled
def destratification_air_flow(area: Array) -> Array:
    """Air flow of the areal rule for mixing a stratified lake.

    Parameters
    ----------
    area : float or (n,) array
        Of the water surface. [m2]

    Returns
    -------
    float or (n,) array
        Free air, 9.2 m3/min per km2. [m3/s]

    Notes
    -----
    Valid: lakes deeper than about 3 m. Raises: nothing. Source: lorenzen1977; from memory.
    """
    return DESTRATIFICATION_AIR * area
