"""Fewer points where the paper cannot show more; what is highest and lowest stays."""

from __future__ import annotations

from itertools import pairwise
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
    keep = {0, count - 1}
    for first, end in pairwise(edges):
        part = values[first:end]
        if np.all(np.isnan(part)):
            keep.add(int(first))
        else:
            keep |= {int(first + np.nanargmin(part)), int(first + np.nanargmax(part))}
    order = np.array(sorted(keep))
    return times[order], values[order]
