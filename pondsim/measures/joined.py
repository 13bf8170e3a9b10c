"""Measures of several runs as one dataset, along a dimension of their own, and as single measures."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np

from pondsim.coordinates import indexed
from pondsim.measures.declared import Measure, declarations, measure_of, place_words

if TYPE_CHECKING:
    import xarray as xr

Array = np.ndarray[Any, Any]


def joined(runs: Sequence[xr.Dataset], dimension: str = "design") -> xr.Dataset:
    """Measures of several runs, side by side.

    Parameters
    ----------
    runs : sequence of xarray.Dataset
        From `measures_of`.
    dimension : str, default "design"
        The dimension that tells the runs apart; it comes first.

    Returns
    -------
    xarray.Dataset
        Every measure that any run has. What a run lacks, a system or a whole measure, is the declared value
        of a run without it, NaN where none is declared. Places stand in the order in which they are seen.
    """
    import xarray as xr  # noqa: PLC0415  (heavy; only where results are at hand)

    places: dict[str, list[str]] = {}
    for run in runs:
        for dim in run.dims:
            seen = places.setdefault(str(dim), [])
            seen += [place for place in map(str, run[dim].values) if place not in seen]
    data = {}
    for name, declared in declarations().items():
        model = next((run[name] for run in runs if name in run), None)
        if model is None:
            continue
        by = [declared.by] if declared.by else []
        shape = [len(runs), *(len(places[one]) for one in by)]
        values = np.full(shape, measure_of(model.attrs).absent)
        for number, run in enumerate(runs):
            if name not in run:
                continue
            if by:
                own = [places[by[0]].index(str(place)) for place in run[by[0]].values]
                values[number, own] = run[name].values
            else:
                values[number] = run[name].values
        data[name] = ((dimension, *by), values, model.attrs)
    return xr.Dataset(data, indexed(places))


def single(measures: xr.Dataset) -> Iterator[tuple[Measure, Array]]:
    """Every single measure, its key and label complete, and its values along what other dimension there is.

    Parameters
    ----------
    measures : xarray.Dataset
        From `measures_of` or `joined`.

    Yields
    ------
    Measure, array
        In the order in which they are shown: measures of one section together.
    """
    found: dict[str, list[tuple[Measure, Array]]] = {}
    for name, variable in measures.data_vars.items():
        measure, by = measure_of(variable.attrs), declarations()[str(name)].by
        kept = found.setdefault(measure.section, [])
        if not by:
            kept.append((measure, variable.values))
            continue
        for at, place in enumerate(map(str, variable[by].values)):
            own = replace(measure, key=f"{measure.key}.{place}", label=place_words(by, place))
            kept.append((own, variable.values[..., at]))
    for section in found.values():
        yield from section
