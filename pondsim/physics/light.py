"""Light in the water and what algae make of it."""

from __future__ import annotations

import math

from pondsim.jit.compiled import compiled, inlined
from pondsim.jit.elementary import at_least, log, power
from pondsim.physics import Array

LIGHT_PER_SUN = 0.45 * 4.57e-6  # mol of light per J of sunlight: share x quanta (from memory, not verified)
SECCHI_PRODUCT = 1.7  # Secchi depth times extinction


@compiled
def light_extinction(
    background: Array, chlorophyll: Array, inorganic_solids: Array, detritus: Array
) -> Array:
    """Extinction coefficient of visible light.

    Parameters
    ----------
    background : float or (n,) array
        Of the water and its color; 0.2 to 1 in ponds. [1/m]
    chlorophyll : float or (n,) array
        Chlorophyll a. [kg/m3]
    inorganic_solids : float or (n,) array
        Suspended mineral solids. [kg/m3]
    detritus : float or (n,) array
        Dead organic particles, dry mass. [kg/m3]

    Returns
    -------
    float or (n,) array
        Extinction. [1/m]

    Notes
    -----
    0.0088 C + 0.054 C^(2/3) with C in ug/L, 0.052 per mg/L mineral, 0.174 per mg/L detritus. Valid:
    chlorophyll to some 200 ug/L. Raises: nothing. Source: riley1956, ditoro1978; from memory.
    """
    ug_per_L = 1e6 * at_least(chlorophyll, 1e-30)
    algae = 0.0088 * ug_per_L + 0.054 * power(ug_per_L, 2.0 / 3.0)
    return background + algae + 52.0 * inorganic_solids + 174.0 * detritus


@inlined
def smith_integral(relative_light: float) -> float:
    """Integral of x/sqrt(1 + x^2) over ln x, from the dark up to the light given.

    Parameters
    ----------
    relative_light : float
        Light over the light Ik at which photosynthesis saturates, 0 or more. [1]

    Returns
    -------
    float
        asinh of it: differences between two depths over the optical thickness between them are means. [1]

    Notes
    -----
    Raises: nothing. Source: smith1936, talling1957.
    """
    return log(relative_light + math.sqrt(1.0 + relative_light * relative_light))


@compiled
def secchi_depth(extinction: Array) -> Array:
    """Depth at which a white disc is lost from sight.

    Parameters
    ----------
    extinction : float or (n,) array
        Of visible light. [1/m]

    Returns
    -------
    float or (n,) array
        Secchi depth. [m]

    Notes
    -----
    Valid: a rule, 1.7/extinction; the product is 1.1 to 2.8 in nature. Raises: nothing. Source: poole1929.
    """
    return SECCHI_PRODUCT / extinction
