"""The bed along the line of a trench, from the soundings."""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from pondsim.errors import Problem, ScenarioError
from pondsim.site.pond import FloatArray
from pondsim.site.soundings import SoundedPond
from pondsim.site.soundings_file import read_points


@dataclass(frozen=True, eq=False)
class LineBed:
    """The bed along a line: stations from its first point, top of muck, hard bottom, places [m]."""

    station: FloatArray
    bed: FloatArray
    hard: FloatArray | None
    x: FloatArray
    y: FloatArray
    corner_x: FloatArray
    corner_y: FloatArray


def bed_along(path: Path, pond: SoundedPond, every: float) -> LineBed:
    """The bed along a line of points in a CSV file, intake first.

    Parameters
    ----------
    path : Path
        Columns east, north (or longitude, latitude) and, for points on shore, ground: its elevation.
    pond : SoundedPond
        Where the bed comes from.
    every : float
        Between stations; the corners of the line are stations too. [m]

    Raises
    ------
    ScenarioError
        The file has faults, or an end lies off the soundings with no ground stated.
    """
    points = read_points(path, ("ground",), least=2, origin=pond.origin)
    ground = points.columns.get("ground", np.full(points.x.size, np.nan))
    reach = np.concatenate([[0.0], np.cumsum(np.hypot(np.diff(points.x), np.diff(points.y)))])
    even = np.arange(0.0, reach[-1], every)
    station = np.unique(np.round(np.concatenate([even, reach]), 6))
    x, y = np.interp(station, reach, points.x), np.interp(station, reach, points.y)
    bed = pond.bed.at(x, y)
    for place, value in zip(reach, ground, strict=True):
        if not math.isnan(value):
            bed[np.argmin(np.abs(station - place))] = value
    for end in (0, -1):
        if math.isnan(bed[end]):
            words = "lies outside the soundings; state its ground elevation, or sound there"
            raise ScenarioError(Problem(path, points.lines[end], "ground", words))
    known = ~np.isnan(bed)
    thick = None if pond.thickness is None else np.nan_to_num(pond.thickness.at(x, y), nan=0.0)
    bed = np.interp(station, station[known], bed[known])
    return LineBed(station, bed, None if thick is None else bed - thick, x, y, points.x, points.y)
