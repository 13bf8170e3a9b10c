"""Coordinates of a dataset, handed over as indexes.

Of a bare array xarray asks, by importing it, whether it belongs to pint: a quarter of a second for an answer
that is known. Of an index it does not ask.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

import numpy as np

if TYPE_CHECKING:
    import xarray as xr


def indexed(places: Mapping[str, Any]) -> xr.Coordinates:
    """Coordinates: values of a dimension by its name, variables of that dimension, or others as they are.

    Parameters
    ----------
    places : mapping
        For a dimension its values or a variable; for any other coordinate a variable or (dims, values).

    Returns
    -------
    xarray.Coordinates
        The same that a dataset would make of them.
    """
    import pandas as pd  # noqa: PLC0415  (only for those who make a dataset)
    import xarray as xr  # noqa: PLC0415
    from xarray.indexes import PandasIndex  # noqa: PLC0415

    variables: dict[Any, xr.Variable] = {}
    indexes: dict[Any, PandasIndex] = {}
    for name, given in places.items():
        one = given if isinstance(given, xr.Variable) else None
        if one is None and isinstance(given, tuple):
            one = xr.Variable(*given)
        if one is not None and one.dims != (name,):
            variables[name] = one
            continue
        values = np.asarray(given if one is None else one.values)
        text = values.dtype.kind == "U"
        index = PandasIndex(pd.Index(values, dtype=object if text else None), name, coord_dtype=values.dtype)
        indexes[name] = index
        variables |= index.create_variables(None if one is None else {name: one})
    return xr.Coordinates(variables, indexes)
