"""The bed's stores of organic matter: their temperature factor, and what leaves as oxygen debt."""

from __future__ import annotations

import math

import numpy as np

from pondsim.jit.compiled import compiled, inlined
from pondsim.physics import Array

WARM, UNDER_ICE = 283.15, 277.15  # K; above the first theta holds, below the second the winter's share
REFERENCE = 293.15  # K


@compiled
def bed_temperature_factor(theta: float, winter_share: float, temperature: Array) -> Array:
    """Rate of the bed at a temperature over its rate at 20 degC, in summer and in winter.

    Parameters
    ----------
    theta : float
        Factor per kelvin at 10 degC and above. [1]
    winter_share : float
        Rate at 4 degC and below over that at 20 degC. [1]
    temperature : float or (n,) array
        Of the water on the bed. [K]

    Returns
    -------
    float or (n,) array
        Factor; exponential between 4 and 10 degC, continuous. [1]

    Notes
    -----
    Carried down by theta alone a bed of 2 g/m2/d would use 0.73 g/m2/d at 4 degC, where 0.23 was measured
    under the ice of eutrophic waters. Valid: 0 to 35 degC. Raises: nothing. Source: mathias1980; the form
    between is a judgement.
    """
    share = np.minimum(np.maximum((temperature - UNDER_ICE) / (WARM - UNDER_ICE), 0.0), 1.0)
    warm = share * (WARM - REFERENCE) + np.maximum(temperature - WARM, 0.0)
    return np.exp(math.log(theta) * warm + (1.0 - share) * math.log(max(winter_share, 1e-6)))


@inlined
def debt_share(share: float, debt: float, ceiling: float) -> float:
    """Share of the demand that finds no oxygen and leaves the bed as oxygen debt.

    Parameters
    ----------
    share : float
        The share into water without debt. [1]
    debt : float
        Oxygen debt of the water. [kg/m3]
    ceiling : float
        Debt at which the share is halved. [kg/m3]

    Returns
    -------
    float
        share/(1 + debt/ceiling); what does not leave is gas lost or burial. [1]

    Notes
    -----
    Without it bottom water reached a debt of 65 mg/L. Raises: nothing. Source: judgement.
    """
    return share / (1.0 + max(debt, 0.0) / ceiling)
