"""Weirs, orifices, pipes and pumps."""

from __future__ import annotations

import math

from pondsim.compiled import compiled
from pondsim.constants import GRAVITY, WATER_DENSITY
from pondsim.physics import Array

FRANCIS = 3.33 * 0.3048**0.5  # m^0.5/s


@compiled
def weir_rehbock(width: float, head: float, crest_height: float) -> float:
    """Flow over a sharp-crested weir across the whole channel.

    Parameters
    ----------
    width : float
        Of the crest. [m]
    head : float
        Over the crest, four heads upstream; below 0 gives no flow. [m]
    crest_height : float
        Of the crest above the bed. [m]

    Returns
    -------
    float
        Flow. [m3/s]

    Notes
    -----
    Valid: head 0.03 to 0.75 m, crest above 0.3 m, head below crest height, ventilated. Raises: nothing.
    Source: rehbock1929.
    """
    if head <= 0.0:
        return 0.0
    coefficient = 0.602 + 0.083 * head / crest_height
    return 2.0 / 3.0 * math.sqrt(2.0 * GRAVITY) * coefficient * width * (head + 0.0012) ** 1.5


@compiled
def weir_francis(width: float, head: float, contractions: int = 2) -> float:
    """Flow over a sharp-crested rectangular weir.

    Parameters
    ----------
    width : float
        Of the crest. [m]
    head : float
        Over the crest; below 0 gives no flow. [m]
    contractions : int, default 2
        Ends at which the sheet narrows.

    Returns
    -------
    float
        Flow. [m3/s]

    Notes
    -----
    Valid: width above three heads. Raises: nothing. Source: francis1868.
    """
    if head <= 0.0:
        return 0.0
    return FRANCIS * max(width - 0.1 * contractions * head, 0.0) * head**1.5


@compiled
def broad_crested_weir(width: float, head: float, coefficient: float = 1.705) -> float:
    """Flow over a level crest.

    Parameters
    ----------
    width : float
        Of the crest. [m]
    head : float
        Over the crest, of the energy line; below 0 gives no flow. [m]
    coefficient : float, default 1.705
        1.705 for critical flow without loss, times 0.85 to 1. [m^0.5/s]

    Returns
    -------
    float
        Flow. [m3/s]

    Notes
    -----
    Valid: not drowned from below. Raises: nothing. Source: chow1988.
    """
    if head <= 0.0:
        return 0.0
    return coefficient * width * head * math.sqrt(head)


@compiled
def orifice_flow(coefficient: float, diameter: float, head: float) -> float:
    """Flow through a round hole in an upright wall, also partly filled.

    Parameters
    ----------
    coefficient : float
        Discharge coefficient, 0.60 to 0.62 for a sharp edge. [1]
    diameter : float
        Inside. [m]
    head : float
        Water surface over the centre of the hole, or over the tailwater when that drowns it. [m]

    Returns
    -------
    float
        Flow. [m3/s]

    Notes
    -----
    Below the crown the flow with the surface at the crown is multiplied by u^2 (0.88 + 1.24 u - 1.12 u^2),
    u the share of the diameter under water: 0 at the invert, no jump and no kink at the crown, and
    at half depth the flow of the strips summed. Within 6 % of the crown's flow of that sum everywhere.
    Raises: nothing.
    Source: chow1988 (full), by derivation (partly filled).
    """
    area = 0.25 * math.pi * diameter * diameter
    if head >= 0.5 * diameter:
        return coefficient * area * math.sqrt(2.0 * GRAVITY * head)
    u = head / diameter + 0.5
    if u <= 0.0:
        return 0.0
    share = u * u * (0.88 + u * (1.24 - 1.12 * u))
    return coefficient * area * math.sqrt(GRAVITY * diameter) * share


@compiled
def drowned_orifice_flow(coefficient: float, diameter: float, head: float) -> float:
    """Flow through a round hole under water on both sides.

    Parameters
    ----------
    coefficient : float
        Discharge coefficient. [1]
    diameter : float
        Inside. [m]
    head : float
        Water surface over the tailwater; below 0 gives no flow. [m]

    Returns
    -------
    float
        Flow; it goes with the head itself below 1 cm, where the root law is infinitely steep. [m3/s]

    Notes
    -----
    The lesser of this and `orifice_flow` serves at any tailwater. Raises: nothing. Source: chow1988.
    """
    if head <= 0.0:
        return 0.0
    area = 0.25 * math.pi * diameter * diameter
    return coefficient * area * math.sqrt(2.0 * GRAVITY) * head / math.sqrt(max(head, 0.01))


@compiled
def drowned_weir_share(head: float, tailwater_head: float) -> float:
    """Share of its free flow that a weir drowned from below passes.

    Parameters
    ----------
    head, tailwater_head : float
        Water above the crest, up and downstream. [m]

    Returns
    -------
    float
        (1 - (h2/h1)^1.5)^0.385; 1 with the tailwater below the crest. [1]

    Notes
    -----
    Measured at sharp crests; broad ones are drowned later, so it is on the side of high water. Nothing flows
    back. Raises: nothing. Source: villemonte1947.
    """
    if tailwater_head <= 0.0:
        return 1.0
    if head <= tailwater_head:
        return 0.0
    free = 1.0 - (tailwater_head / head) ** 1.5
    return free / max(free, 1e-3) ** 0.615


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
def pipe_velocity(flow: Array, diameter: Array) -> Array:
    """Mean velocity in a full round pipe.

    Parameters
    ----------
    flow : float or (n,) array
        Through the pipe. [m3/s]
    diameter : float or (n,) array
        Inside. [m]

    Returns
    -------
    float or (n,) array
        Velocity. [m/s]

    Notes
    -----
    Valid: any. Raises: nothing. Source: by definition.
    """
    return flow / (0.25 * math.pi * diameter * diameter)


@compiled
def minimum_submergence(diameter: Array, velocity: Array) -> Array:
    """Water needed over an intake so that it draws no air through a vortex.

    Parameters
    ----------
    diameter : float or (n,) array
        Of the bell or pipe inlet. [m]
    velocity : float or (n,) array
        Through it. [m/s]

    Returns
    -------
    float or (n,) array
        D (1 + 2.3 V/sqrt(g D)). [m]

    Notes
    -----
    Measured to the rim of a bell facing down. For a pipe facing sideways the reference is not verified: to
    the top of the pipe is safe, to its centre line is the milder reading. Raises: nothing. Source: hi98.
    """
    return diameter * (1.0 + 2.3 * velocity / (GRAVITY * diameter) ** 0.5)


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
