"""Every measure of one run by its key, as plain numbers with their declarations."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import TYPE_CHECKING

from pondsim.comparison.row import number
from pondsim.measures import measures_of, single
from pondsim.measures.declared import Measure

if TYPE_CHECKING:
    import xarray as xr


@dataclass(frozen=True, kw_only=True)
class Entry(Measure):
    """One measure of one run: its declaration and its value, None where there is no such number."""

    value: float | None


def entries(dataset: xr.Dataset) -> dict[str, Entry]:
    """Every measure of a run by its key, in the order they are shown."""
    names = [field.name for field in fields(Measure)]
    return {
        measure.key: Entry(**{name: getattr(measure, name) for name in names}, value=number(value))
        for measure, value in single(measures_of(dataset))
    }
