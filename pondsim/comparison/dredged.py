"""Zones whose bed lies elsewhere than in the existing pond: below the top meter they are another place.

Values read there are shown, and held against the existing pond nowhere: not as a difference, a tie, the best
or the worse of a row, nor in what members say. This file has the one rule; `notes.beds_text` says it.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from pondsim.measures import lowest_bed

if TYPE_CHECKING:
    import xarray as xr

    from pondsim.measures.declared import Measure

ALIKE = 0.01  # m: beds no farther apart count as one (judgement)
SET_BY_BED = (
    "_mid.",
    "_bottom.",
)  # in the key of a measure read at an elevation that the bed of its zone sets
Moved = dict[str, float]  # zone: by how much its bed lies above that of the existing pond [m]


def moved_beds(datasets: Sequence[xr.Dataset]) -> tuple[Moved, ...]:
    """By how much the deepest bed of each zone that moved lies above that of the first design. [m]"""
    zones = [str(zone) for zone in datasets[0]["zone"].values]
    return moved_from([lowest_bed(dataset) for dataset in datasets], zones)


def moved_from(beds: Sequence[np.ndarray[Any, Any]], zones: Sequence[str]) -> tuple[Moved, ...]:
    """The same of the deepest beds of each design by zone. [m]"""
    return tuple(
        {name: float(by) for name, by in zip(zones, bed - beds[0], strict=True) if abs(by) > ALIKE}
        for bed in beds
    )


def is_elsewhere(measure: Measure, moved: Moved) -> bool:
    """Whether a measure of a design is read at another elevation than that of the existing pond."""
    return measure.label in moved and any(station in measure.key for station in SET_BY_BED)
