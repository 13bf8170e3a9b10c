"""Beside pondsim.physics.light: published forms that serve tests alone."""

from __future__ import annotations

import math

import numpy as np

from pondsim.physics import Array
from pondsim.physics.light import smith_integral


def mean_light_fraction(optical_thickness: Array) -> Array:
    """Mean light of a layer over the light at its top.

    Parameters
    ----------
    optical_thickness : float or (n,) array
        Extinction times thickness. [1]

    Returns
    -------
    float or (n,) array
        (1 - exp(-x))/x; 1 at 0. [1]

    Notes
    -----
    Valid: any x >= 0. Raises: nothing. Source: by definition (Beer-Lambert).
    """
    x = np.maximum(optical_thickness, 1e-12)
    return -np.expm1(-x) / x


def smith_layer_mean(
    light_top: float, light_bottom: float, light_saturation: float, optical_thickness: float
) -> float:
    """Mean over a layer of photosynthesis relative to its light-saturated rate.

    Parameters
    ----------
    light_top, light_bottom : float
        Light at the top and at the bottom of the layer, in the unit of `light_saturation`.
    light_saturation : float
        Ik, light at which the rising line meets the saturated rate.
    optical_thickness : float
        Extinction times thickness; must agree with both lights. [1]

    Returns
    -------
    float
        Depth mean of x/sqrt(1 + x^2), x = light/Ik; 0 in the dark, below 1 always. [1]

    Notes
    -----
    Exact for light fading exponentially: (asinh(x_top) - asinh(x_bottom))/optical_thickness. Does not know
    damage by strong light. Raises: nothing. Source: smith1936, talling1957.
    """
    top = light_top / light_saturation
    bottom = light_bottom / light_saturation
    if optical_thickness < 1e-4:  # the difference below would be rounding error
        middle = 0.5 * (top + bottom)
        return middle / math.sqrt(1.0 + middle * middle)
    return (smith_integral(top) - smith_integral(bottom)) / optical_thickness
