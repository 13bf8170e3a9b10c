"""Rates: temperature, limitation by oxygen, decay against reaeration."""

from __future__ import annotations

import numpy as np

from pondsim.constants import DAY
from pondsim.jit.compiled import compiled, inlined
from pondsim.physics import Array

REFERENCE_TEMPERATURE = 293.15  # K
OXYGEN_PER_CARBON = 32.0 / 12.0  # kg/kg
OXYGEN_PER_NITROGEN = 64.0 / 14.0  # kg/kg, ammonium to nitrate; 4.33 with cell growth


@compiled
def temperature_factor(theta: Array, temperature: Array) -> Array:
    """Rate at a temperature over the rate at 20 degC.

    Parameters
    ----------
    theta : float or (n,) array
        Factor per kelvin. [1]
    temperature : float or (n,) array
        Water temperature. [K]

    Returns
    -------
    float or (n,) array
        theta^(T - 20 degC). [1]

    Notes
    -----
    Valid: 10 to 30 degC for most theta. Raises: nothing. Source: by definition.
    """
    return theta ** (temperature - REFERENCE_TEMPERATURE)


@inlined
def factor_near(known: float, log_theta: float, warmer: float) -> float:
    """Temperature factor near a temperature whose factor is known, without an exponential where it can be.

    Parameters
    ----------
    known : float
        The factor there. [1]
    log_theta : float
        Natural logarithm of theta. [1/K]
    warmer : float
        Temperature less that temperature. [K]

    Returns
    -------
    float
        The factor. [1]

    Notes
    -----
    Valid: warmer x log_theta up to 0.4, where the relative error is 6e-6. Raises: nothing.
    Source: Taylor's series of the exponential.
    """
    x = log_theta * warmer
    third = 1.0 + x / 3.0 * (1.0 + 0.25 * x * (1.0 + 0.2 * x))
    return known * (1.0 + x * (1.0 + 0.5 * x * third))


@compiled
def ultimate_from_bod5(bod5: Array, decay: Array) -> Array:
    """Ultimate carbonaceous demand from the five-day demand.

    Parameters
    ----------
    bod5 : float or (n,) array
        Demand in five days. [kg/m3]
    decay : float or (n,) array
        Rate in the bottle, base e, 20 degC. [1/s]

    Returns
    -------
    float or (n,) array
        Ultimate demand. [kg/m3]

    Notes
    -----
    Valid: decay > 0. Raises: nothing. Source: by definition (first-order decay).
    """
    return bod5 / -np.expm1(-5.0 * DAY * decay)
