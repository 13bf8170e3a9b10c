"""Zones whose bed lies elsewhere than in the existing pond: their bottom is another place."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pondsim.measures import lowest_bed

if TYPE_CHECKING:
    import xarray as xr

ALIKE = 0.01  # m: beds no farther apart count as one (judgement)


def moved_beds(datasets: list[xr.Dataset]) -> tuple[dict[str, float], ...]:
    """By how much the deepest bed of a zone lies above that of the first design, where it moved. [m]"""
    beds = [lowest_bed(dataset) for dataset in datasets]
    names = [str(zone) for zone in datasets[0]["zone"].values]
    return tuple(
        {name: float(by) for name, by in zip(names, bed - beds[0], strict=True) if abs(by) > ALIKE}
        for bed in beds
    )
