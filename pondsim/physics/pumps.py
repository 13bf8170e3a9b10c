"""Pumps: head curves, affinity, power and suction."""

from __future__ import annotations

import numpy as np

from pondsim.constants import GRAVITY, WATER_DENSITY
from pondsim.jit.compiled import compiled
from pondsim.physics import Array

LEAST_SHAPE = 0.2  # keeps the generic efficiency above nothing far right of the rated flow; judgement


@compiled
def water_power(flow: Array, head: Array, efficiency: Array = 1.0, density: Array = WATER_DENSITY) -> Array:
    """Power to lift water, or its electric power.

    Parameters
    ----------
    flow : float or (n,) array
        Through the pump. [m3/s]
    head : float or (n,) array
        Lift plus friction and fittings. [m]
    efficiency : float or (n,) array, default 1
        Pump times motor, from the electric meter to the water. [1]
    density : float or (n,) array, default 998.2
        Of the water. [kg/m3]

    Returns
    -------
    float or (n,) array
        Power. [W]

    Notes
    -----
    Valid: efficiency > 0. Raises: nothing. Source: by definition.
    """
    return density * GRAVITY * flow * head / efficiency


@compiled
def affinity_head(speed_share: Array) -> Array:
    """Head of a pump at another speed, over that at full speed.

    Parameters
    ----------
    speed_share : float or (n,) array
        Speed over full speed. [1]

    Returns
    -------
    float or (n,) array
        Share of head. [1]

    Notes
    -----
    Flow goes with the speed itself. Valid: where static lift is small; else find the new operating point.
    Raises: nothing. Source: karassik2008.
    """
    return speed_share**2


@compiled
def affinity_power(speed_share: Array) -> Array:
    """Shaft power of a pump at another speed, over that at full speed.

    Parameters
    ----------
    speed_share : float or (n,) array
        Speed over full speed. [1]

    Returns
    -------
    float or (n,) array
        Share of power. [1]

    Notes
    -----
    Valid: where static lift is small; else find the new operating point. Raises: nothing.
    Source: karassik2008.
    """
    return speed_share**3


@compiled
def npsh_available(
    pressure: Array, vapour: Array, flooded_height: Array, loss: Array, density: Array = WATER_DENSITY
) -> Array:
    """Net positive suction head that the site offers the pump.

    Parameters
    ----------
    pressure, vapour : float or (n,) array
        Air pressure, and vapour pressure at the water temperature. [Pa]
    flooded_height : float or (n,) array
        Water surface above the pump; negative where the pump must suck. [m]
    loss : float or (n,) array
        In the suction line. [m]
    density : float or (n,) array, default 998.2
        Of the water. [kg/m3]

    Returns
    -------
    float or (n,) array
        Available head; the pump maker states what is needed. [m]

    Notes
    -----
    Valid: any. Raises: nothing. Source: karassik2008.
    """
    return (pressure - vapour) / (density * GRAVITY) + flooded_height - loss


def monotone_slopes(places: Array, values: Array) -> Array:
    """Slopes at the points of a curve that lets it rise or fall nowhere where its points do not.

    Parameters
    ----------
    places, values : (n,) array
        Points, places rising, n at least 2.

    Returns
    -------
    (n,) array
        Slopes for cubic pieces: harmonic means of the neighbours, weighted by length; at the ends those
        of a parabola through three points, held so that the curve does not turn. [value per place]

    Notes
    -----
    Valid: n >= 2. Raises: nothing. Source: fritsch1984.
    """
    step, rise = np.diff(places), np.diff(values) / np.diff(places)
    if rise.size == 1:
        return np.repeat(rise, 2)
    before, after = rise[:-1], rise[1:]
    w1, w2 = 2.0 * step[1:] + step[:-1], step[1:] + 2.0 * step[:-1]
    turns = before * after <= 0.0
    safe_before, safe_after = np.where(turns, 1.0, before), np.where(turns, 1.0, after)
    inner = np.where(turns, 0.0, (w1 + w2) / (w1 / safe_before + w2 / safe_after))
    first = _end_slope(step[0], step[1], rise[0], rise[1])
    last = _end_slope(step[-1], step[-2], rise[-1], rise[-2])
    return np.concatenate([[first], inner, [last]])


def _end_slope(step: float, next_step: float, rise: float, next_rise: float) -> float:
    slope = ((2.0 * step + next_step) * rise - step * next_rise) / (step + next_step)
    if slope * rise <= 0.0:
        return 0.0
    if rise * next_rise <= 0.0 and abs(slope) > abs(3.0 * rise):
        return 3.0 * rise
    return slope


def on_curve(place: Array, places: Array, values: Array, slopes: Array | None = None) -> Array:
    """Value of a curve through points: cubic pieces between them, straight on beyond.

    Parameters
    ----------
    place : float or (m,) array
        Where it is wanted.
    places, values : (n,) array
        Points, places rising, n at least 2.
    slopes : (n,) array, optional
        Those of `monotone_slopes`, where many values of one curve are wanted.

    Returns
    -------
    float or (m,) array
        Beyond the first and the last point: on the line through the two points next to it.

    Notes
    -----
    Falls wherever its points fall. Beyond the points nobody has measured. Raises: nothing.
    Source: fritsch1984.
    """
    x = np.asarray(place, dtype=float)
    slopes = monotone_slopes(places, values) if slopes is None else slopes
    i = np.minimum(np.maximum(np.searchsorted(places, x, side="right") - 1, 0), places.size - 2)
    step = places[i + 1] - places[i]
    t = (x - places[i]) / step
    cubic = (
        values[i] * (1.0 + 2.0 * t) * (1.0 - t) ** 2
        + step * slopes[i] * t * (1.0 - t) ** 2
        + values[i + 1] * t * t * (3.0 - 2.0 * t)
        + step * slopes[i + 1] * t * t * (t - 1.0)
    )
    straight = values[i] + (values[i + 1] - values[i]) * t
    return np.where((t < 0.0) | (t > 1.0), straight, cubic)[()]


def generic_head(flow: Array, rated_flow: float, rated_head: float, shutoff_share: float) -> Array:
    """Head of a pump of which one point is known.

    Parameters
    ----------
    flow : float or (n,) array
        Through the pump. [m3/s]
    rated_flow, rated_head : float
        The point. [m3/s], [m]
    shutoff_share : float
        Head at no flow over rated head. [1]

    Returns
    -------
    float or (n,) array
        Parabola with its top at no flow through the point. [m]

    Notes
    -----
    The shape is common practice, no source: radial pumps stand at 1.2 to 1.4 of the rated head at no flow,
    axial ones at 2 and more. Only for a first idea: ask the maker for the curve. Raises: nothing.
    Source: common practice, no source.
    """
    return rated_head * (shutoff_share - (shutoff_share - 1.0) * (flow / rated_flow) ** 2)


def generic_efficiency(flow: Array, rated_flow: float, efficiency: float) -> Array:
    """Efficiency of a pump of which one point is known.

    Parameters
    ----------
    flow : float or (n,) array
        Through the pump. [m3/s]
    rated_flow : float
        Flow at which it is best. [m3/s]
    efficiency : float
        Its efficiency there. [1]

    Returns
    -------
    float or (n,) array
        Parabola through nothing at no flow. [1]

    Notes
    -----
    Shape by judgement; held up far right of the rated flow. Raises: nothing. Source: judgement.
    """
    x = flow / rated_flow
    return efficiency * x * np.maximum(2.0 - x, LEAST_SHAPE)
