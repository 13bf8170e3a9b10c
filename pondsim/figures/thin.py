"""Fewer points where the paper cannot show more; what is highest and lowest stays."""

from __future__ import annotations

from typing import Any

import numpy as np

Array = np.ndarray[Any, Any]
COLUMNS = 900  # pixels across a page-wide panel


def thin(times: Array, values: Array, columns: int = COLUMNS) -> tuple[Array, Array]:
    """A line with at most the lowest and highest point of each column of pixels, and both its ends.

    Parameters
    ----------
    times : (n,) array
        Increasing, about even.
    values : (n,) array
        The line; a column of missing values only stays a gap.
    columns : int
        Columns of pixels.

    Returns
    -------
    times, values : arrays
        The points kept, in order.
    """
    count = len(values)
    if count <= 2 * columns:
        return times, values
    edges = np.linspace(0, count, columns + 1).astype(int)
    first, end = edges[:-1, None], edges[1:, None]
    places = first + np.arange(int(np.diff(edges).max()))
    parts = np.where(places < end, values[np.minimum(places, count - 1)], np.nan)
    missing = np.isnan(parts)
    lowest = np.where(missing, np.inf, parts).argmin(axis=1)
    highest = np.where(missing, -np.inf, parts).argmax(axis=1)
    order = np.unique([0, count - 1, *(edges[:-1] + lowest), *(edges[:-1] + highest)])
    return times[order], values[order]
