"""How warm runoff is: rain at the wet-bulb temperature, and pavement that has stood in the sun."""

from __future__ import annotations

import numpy as np

from pondsim.constants import WATER_DENSITY, WATER_HEAT_CAPACITY
from pondsim.jit.compiled import compiled
from pondsim.physics import Array
from pondsim.physics.water import vapour_pressure

PSYCHROMETER = 6.62e-4  # 1/K, ventilated (allen1998)
# Paving as one layer of heat, all judgement: 5 cm of asphalt of 2 MJ/m3/K, dark, in a light wind.
PAVING_HEAT = 1.0e5  # J/m2/K
PAVING_LOSS = 25.0  # W/m2/K to the air, by wind and radiation
PAVING_ABSORBS = 0.85  # share of sunlight
TAKEN_UP = 0.5  # share of the difference to the paving that water takes up on its way


def wet_bulb(air_temperature: Array, air_vapour: Array, pressure: Array) -> Array:
    """Wet-bulb temperature, which is close to that of rain.

    Parameters
    ----------
    air_temperature : float or (n,) array
        [K]
    air_vapour : float or (n,) array
        Vapour pressure of the air. [Pa]
    pressure : float or (n,) array
        Air pressure. [Pa]

    Returns
    -------
    float or (n,) array
        Temperature at which e_s(T) - 6.62e-4 p (T_air - T) is the vapour pressure. [K]

    Notes
    -----
    By bisection over 40 K below the air's temperature. Valid: -10 to 45 degC. Raises: nothing.
    Source: allen1998 (equation 15).
    """
    air = np.asarray(air_temperature, dtype=float)
    low, high = air - 40.0, air + 0.0
    for _ in range(40):
        middle = 0.5 * (low + high)
        moist = vapour_pressure(middle) - PSYCHROMETER * pressure * (air - middle)
        low = np.where(moist < air_vapour, middle, low)
        high = np.where(moist < air_vapour, high, middle)
    return 0.5 * (low + high)


@compiled
def paving_runoff(
    runoff: np.ndarray, step: float, rain: np.ndarray, air: np.ndarray, sunlight: np.ndarray
) -> np.ndarray:
    """Temperature of runoff from paving over a season.

    Parameters
    ----------
    runoff : (n,) array
        Depth that runs off the paving in each step. [m]
    step : float
        Length of each. [s]
    rain : (n,) array
        Temperature of the rain, its wet bulb. [K]
    air : (n,) array
        Temperature of the air. [K]
    sunlight : (n,) array
        On a level surface, mean of the step. [W/m2]

    Returns
    -------
    (n,) array
        Mean over the water of each step; that of the rain where none runs. [K]

    Notes
    -----
    One layer of paving: C dT/dt = 0.85 sunlight - 25 (T - air) - 0.5 rho c r (T - rain), solved exactly over
    each step; the water leaves half-way between rain and paving. Before a storm it begins in balance with
    the first hour. What the water gains the paving loses. Roofs count as paving: they hold less heat, so the
    answer is on the warm side. Raises: nothing. Source: judgement (heat balance by definition).
    """
    warm = np.empty(runoff.size)
    paving = air[0] + PAVING_ABSORBS * sunlight[0] / PAVING_LOSS if runoff.size else 0.0
    for i in range(runoff.size):
        washing = TAKEN_UP * WATER_DENSITY * WATER_HEAT_CAPACITY * runoff[i] / step
        loss = PAVING_LOSS + washing
        balance = (PAVING_ABSORBS * sunlight[i] + PAVING_LOSS * air[i] + washing * rain[i]) / loss
        rounds = loss * step / PAVING_HEAT
        left = np.exp(-rounds)
        mean = balance + (paving - balance) * (1.0 - left) / rounds
        paving = balance + (paving - balance) * left
        warm[i] = rain[i] + TAKEN_UP * (mean - rain[i]) if runoff[i] > 0.0 else rain[i]
    return warm
