"""Volumes of earth and water: triangulated beds, trenches, bedding."""

from __future__ import annotations

import numpy as np

from pondsim.physics import Array

LEVEL_FACET = 1e-12  # m, height within which corners count as one


def facet_area_below(corners: Array, area: Array, level: float) -> Array:
    """Plan area of plane triangles that lies below a level.

    Parameters
    ----------
    corners : (n, 3) array
        Elevations of the corners. [m]
    area : (n,) array
        Plan area of each; negative ones count as taken away. [m2]
    level : float
        Elevation. [m]

    Returns
    -------
    (n,) array
        Area under water up to `level`. [m2]

    Notes
    -----
    Exact for planes. Raises: nothing. Source: by derivation.
    """
    low, middle, high, rising, falling = _spans(corners)
    under = np.maximum(np.minimum(level, middle) - low, 0.0)
    over = np.maximum(high - np.maximum(level, middle), 0.0)
    share = np.where(level < middle, under**2 / rising, 1.0 - over**2 / falling)
    share = np.where(level <= low, 0.0, np.where(level >= high, 1.0, share))
    return np.asarray(area * share)


def facet_volume_below(corners: Array, area: Array, level: float) -> Array:
    """Water over plane triangles up to a level.

    Parameters
    ----------
    corners : (n, 3) array
        Elevations of the corners. [m]
    area : (n,) array
        Plan area of each; negative ones count as taken away. [m2]
    level : float
        Water surface elevation. [m]

    Returns
    -------
    (n,) array
        Volume between the triangle and the water, 0 where it stands above. [m3]

    Notes
    -----
    The integral of `facet_area_below` over the level, exact for planes. Raises: nothing.
    Source: by derivation.
    """
    low, middle, high, rising, falling = _spans(corners)
    under = np.maximum(np.minimum(level, middle) - low, 0.0)
    over = np.maximum(high - np.maximum(level, middle), 0.0)
    whole = level - (low + middle + high) / 3.0
    depth = np.where(level < middle, under**3 / (3.0 * rising), whole + over**3 / (3.0 * falling))
    depth = np.where(level <= low, 0.0, np.where(level >= high, whole, depth))
    return np.asarray(area * depth)


def _spans(corners: Array) -> tuple[Array, Array, Array, Array, Array]:
    """Corners in order, and the products that the two halves of a cut triangle are divided by."""
    low, middle, high = np.sort(np.asarray(corners, dtype=float), axis=1).T
    rising = np.maximum((middle - low) * (high - low), LEVEL_FACET)
    falling = np.maximum((high - low) * (high - middle), LEVEL_FACET)
    return low, middle, high, rising, falling


def end_area_volume(station: Array, area: Array) -> float:
    """Volume of a trench by the average end area, the way it is paid.

    Parameters
    ----------
    station : (n,) array
        Along the line, rising. [m]
    area : (n,) array
        Of the cross-section there. [m2]

    Returns
    -------
    float
        Volume. [m3]

    Notes
    -----
    On the high side where the section changes: 1 % for a trench that goes from 4 to 6 ft deep.
    Raises: nothing. Source: by definition.
    """
    return float(np.trapezoid(area, station))


def prismoidal_volume(station: Array, area: Array, middle_area: Array) -> float:
    """Volume of a trench by the prismoidal rule, exact where its floor or the ground falls evenly.

    Parameters
    ----------
    station : (n,) array
        Along the line, rising. [m]
    area : (n,) array
        Of the cross-section there. [m2]
    middle_area : (n - 1,) array
        Half way between neighbours. [m2]

    Returns
    -------
    float
        Volume. [m3]

    Notes
    -----
    Raises: nothing. Source: by definition.
    """
    area = np.asarray(area)
    return float(np.sum(np.diff(station) / 6.0 * (area[:-1] + 4.0 * np.asarray(middle_area) + area[1:])))


def trench_section(bottom: Array, firm: Array, muck: Array, firm_slope: float, muck_slope: float) -> Array:
    """Cross-section of a trench through muck into firm soil, sides sloped by what they stand in.

    Parameters
    ----------
    bottom : float or (n,) array
        Width of the floor. [m]
    firm, muck : float or (n,) array
        Depth dug in firm soil, and in the muck over it. [m]
    firm_slope, muck_slope : float
        Horizontal to 1 vertical. [1]

    Returns
    -------
    float or (n,) array
        Area. [m2]

    Notes
    -----
    With one slope z all through it is d (b + z d). Raises: nothing. Source: by derivation.
    """
    shoulder = bottom + 2.0 * firm_slope * firm
    return firm * (bottom + firm_slope * firm) + muck * (shoulder + muck_slope * muck)


def bedding_section(width: float, outside: float, below: float, over: float | None) -> float:
    """Stone around a pipe, for each length of a trench with upright sides.

    Parameters
    ----------
    width : float
        Of the trench's floor. [m]
    outside : float
        Outside diameter of the pipe. [m]
    below : float
        Stone under it. [m]
    over : float or None
        Stone over its top; None: to half its height. [m]

    Returns
    -------
    float
        Area. [m2]

    Notes
    -----
    Raises: nothing. Source: by derivation.
    """
    pipe = 0.25 * np.pi * outside**2
    if over is None:
        return float(width * (below + 0.5 * outside) - 0.5 * pipe)
    return float(width * (below + outside + over) - pipe)
