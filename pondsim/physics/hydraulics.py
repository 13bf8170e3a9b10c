"""Weirs and orifices."""

from __future__ import annotations

import math

from pondsim.constants import GRAVITY
from pondsim.jit.compiled import compiled

FRANCIS = 3.33 * 0.3048**0.5  # m^0.5/s


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
