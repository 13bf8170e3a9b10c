"""Dilution of jets of discharged water."""

from __future__ import annotations

import numpy as np

from pondsim.jit.compiled import compiled
from pondsim.physics import Array


@compiled
def plane_jet_dilution(distance: Array, thickness: Array) -> Array:
    """Mean dilution of a plane jet, such as a sheet of water.

    Parameters
    ----------
    distance : float or (n,) array
        From the slot. [m]
    thickness : float or (n,) array
        Of the sheet: flow per width squared over momentum per width. [m]

    Returns
    -------
    float or (n,) array
        Flow of the jet over the flow discharged, 1 at least. [1]

    Notes
    -----
    0.50 sqrt(x/thickness). Valid: free of walls and surface, same density. Raises: nothing.
    Source: fischer1979; from memory.
    """
    return np.maximum(0.5 * np.sqrt(distance / thickness), 1.0)


@compiled
def intrusion_share(reduced_gravity: Array, distance: Array, flow: Array) -> Array:
    """Share in which water at a distance takes part in a flow that leaves or enters a stratified column.

    Parameters
    ----------
    reduced_gravity : float or (n,) array
        Gravity times the difference of its density to that of the flow, as a share of density. [m/s2]
    distance : float or (n,) array
        Above or below the elevation of the flow. [m]
    flow : float or (n,) array
        Above 0. [m3/s]

    Returns
    -------
    float or (n,) array
        1 where nothing holds it back, falling to 0. [1]

    Notes
    -----
    1/(1 + x)^2 with x = g' d^5/Q^2, the ratio of buoyancy to inertia over the distance. With a constant
    buoyancy frequency N, g' = N^2 d, nine tenths of the flow lie within 0.86 (Q/N)^(1/3) each way. Valid:
    flow > 0. Raises: nothing. Error: a factor 2 in thickness. Source: the scale (Q/N)^(1/3), fischer1979; the
    shape is a judgement.
    """
    x = reduced_gravity * distance**5 / flow**2
    return 1.0 / (1.0 + x) ** 2
