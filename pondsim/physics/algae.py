"""Algae that grow: chlorophyll of their carbon, and what dims the light."""

from __future__ import annotations

import numpy as np

from pondsim.constants import ZERO_CELSIUS
from pondsim.jit.compiled import compiled, inlined
from pondsim.jit.elementary import at_least, at_most, exp
from pondsim.physics import Array

HOTTEST = ZERO_CELSIUS + 28.0  # K; growth rises no further
LEAST_RATIO, MOST_RATIO = 0.00625, 0.05  # chlorophyll over carbon: 160 to 20 g/g, as measured
INORGANIC_EXTINCTION = 52.0  # m2 per kg of mineral solids, as in physics.light


@inlined
def chlorophyll_to_carbon(celsius: float, light_per_day: float, nutrient_share: float) -> float:
    """Chlorophyll per carbon of algae at home in their light, warmth and nutrients.

    Parameters
    ----------
    celsius : float
        Water temperature. [degC]
    light_per_day : float
        Photosynthetic light of a day where they live. [mol/m2/d]
    nutrient_share : float
        Growth over that with all nutrients, 0 to 1. [1]

    Returns
    -------
    float
        Chlorophyll over carbon, kept from 1/160 to 1/20. [kg/kg]

    Notes
    -----
    0.003 + 0.0154 exp(0.050 T) exp(-0.059 I) mu'. Valid: marine and fresh phytoplankton, 5 to 28 degC; error
    a factor of two. Raises: nothing. Source: cloern1995; from memory, not verified. Limits: taylor1997.
    """
    ratio = 0.003 + 0.0154 * exp(0.050 * celsius - 0.059 * light_per_day) * nutrient_share
    return at_most(at_least(ratio, LEAST_RATIO), MOST_RATIO)


@compiled
def extinction_of_parts(
    background: Array, algae: Array, inorganic_solids: Array, detritus: Array, dye: Array
) -> Array:
    """Extinction of visible light as the sum of what dims it, each counted once.

    Parameters
    ----------
    background : float or (n,) array
        Of the water and its color. [1/m]
    algae : float or (n,) array
        Of the algae: chlorophyll times area per mass. [1/m]
    inorganic_solids : float or (n,) array
        Suspended mineral solids. [kg/m3]
    detritus : float or (n,) array
        Of dead organic particles. [1/m]
    dye : float or (n,) array
        Of dye. [1/m]

    Returns
    -------
    float or (n,) array
        Extinction. [1/m]

    Notes
    -----
    Linear in chlorophyll; the law with a power of 2/3 for given algae (`light_extinction`) holds the detritus
    that comes with them and must not be added to this one. Raises: nothing. Source: atlas1980 (algae).
    """
    return background + algae + INORGANIC_EXTINCTION * np.maximum(inorganic_solids, 0.0) + detritus + dye
