"""The steady age of the water."""

from __future__ import annotations

import numpy as np


def steady_age(
    volumes: np.ndarray, flows: np.ndarray, inflow: np.ndarray, reset: np.ndarray | None = None
) -> np.ndarray:
    """Mean age of the water of every box at steady flow.

    Parameters
    ----------
    volumes : (n,) array
        Of the boxes. [m3]
    flows : (n, n) array
        From box (row) to box (column), exchange included. [m3/s]
    inflow : (n,) array
        New water, of age 0, into each box. [m3/s]
    reset : (n,) array, optional
        Water that comes back into each box with age 0, such as over the waterfall; it must not be among
        `flows`. [m3/s]

    Returns
    -------
    (n,) array
        Age since inflow, or since inflow or waterfall where `reset` is given. [s]

    Notes
    -----
    Solves sum(flow in x (age there - age here)) + volume = 0; flows must balance in every box. Raises:
    numpy.linalg.LinAlgError where no box is ever renewed. Source: delhez1999.
    """
    coming = np.asarray(flows, dtype=float).T
    renewed = np.asarray(inflow, dtype=float) + (0.0 if reset is None else np.asarray(reset, dtype=float))
    matrix = np.diag(coming.sum(axis=1) + renewed) - coming
    return np.linalg.solve(matrix, np.asarray(volumes, dtype=float))
