"""Solids held back by a strip of grass between a lot and the pond."""

from __future__ import annotations

import numpy as np

from pondsim.physics import Array

GRASS_ROUGHNESS = 0.012  # s/m^(1/3), Manning's number of flow between stems, on the spacing radius
STEM_SPACING = 0.016  # m, of mown grass; 0.02 for bunch grass
DEEPEST = 0.5  # m, well over any grass that still stands


def spacing_radius(depth: Array, spacing: Array) -> Array:
    """Hydraulic radius of flow between stems.

    Parameters
    ----------
    depth : float or (n,) array
        Of the sheet. [m]
    spacing : float or (n,) array
        Between stems. [m]

    Returns
    -------
    float or (n,) array
        s d / (2 d + s). [m]

    Notes
    -----
    Valid: grass not under water. Raises: nothing. Source: tollner1976; from memory, not verified.
    """
    return spacing * depth / (2.0 * depth + spacing)


def sheet_depth(flow_per_width: Array, slope: Array, spacing: Array = STEM_SPACING) -> Array:
    """Depth of a sheet of water between stems.

    Parameters
    ----------
    flow_per_width : float or (n,) array
        Across the strip. [m2/s]
    slope : float or (n,) array
        Of the strip. [1]
    spacing : float or (n,) array, default 0.016
        Between stems. [m]

    Returns
    -------
    float or (n,) array
        Depth at which d Rs^(2/3) slope^(1/2) / 0.012 is the flow; 0.5 m at most. [m]

    Notes
    -----
    By bisection. Valid: grass not under water. Raises: nothing. Source: tollner1976; from memory, not
    verified.
    """
    flow = np.asarray(flow_per_width, dtype=float)
    low, high = np.zeros_like(flow), np.full_like(flow, DEEPEST)
    for _ in range(50):
        depth = 0.5 * (low + high)
        passing = depth * spacing_radius(depth, spacing) ** (2.0 / 3.0) * slope**0.5 / GRASS_ROUGHNESS
        low, high = np.where(passing < flow, depth, low), np.where(passing < flow, high, depth)
    return 0.5 * (low + high)


def strip_removal(
    settling_velocity: Array,
    flow_per_width: Array,
    width: float,
    slope: float,
    viscosity: float = 1.0e-6,
    spacing: float = STEM_SPACING,
) -> Array:
    """Share of one settling class that a strip of grass holds back.

    Parameters
    ----------
    settling_velocity : float or (n,) array
        Of the class. [m/s]
    flow_per_width : float or (n,) array
        Water per length of the strip's edge. [m2/s]
    width : float
        Of the strip along the flow. [m]
    slope : float
        Of the strip. [1]
    viscosity : float, default 1.0e-6
        Kinematic. [m2/s]
    spacing : float, default 0.016
        Between stems. [m]

    Returns
    -------
    float or (n,) array
        exp(-0.00105 Re^0.82 Nf^-0.91) with Re = V Rs/nu and Nf = w L/(V d). [1]

    Notes
    -----
    A wider strip holds back more, a steeper one or a greater flow less; dissolved matter passes. Valid:
    water in an even sheet through standing grass; where it gathers into rills a strip does next to nothing.
    Soaking away is not counted. Raises: nothing. Source: tollner1976; from memory, not verified.
    """
    flow = np.maximum(np.asarray(flow_per_width, dtype=float), 1e-12)
    depth = sheet_depth(flow, slope, spacing)
    reynolds = flow / depth * spacing_radius(depth, spacing) / viscosity
    fall = np.maximum(settling_velocity * width / flow, 1e-12)
    return np.exp(-1.05e-3 * reynolds**0.82 * fall**-0.91)
