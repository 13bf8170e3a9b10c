"""Rain and the water of drainage areas over any steps of time: nothing lost, nothing made."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from pondsim.scenario.settings import Drainage, Solids
from pondsim.site.rain_series import RainSeries
from pondsim.site.runoff_quality import Carried, StripRemoval, carried_by, runoff_temperature
from pondsim.site.series import WeatherSeries
from pondsim.site.watershed import Runoff, runoff_of

FloatArray = NDArray[np.float64]

# Columns of what the water of an area carries; one for each settling class from the last on.
TEMPERATURE, BOD5, AMMONIUM, DISSOLVED_P, SOLIDS_P, FIRST_SOLIDS = range(6)
# Columns of the totals of an area, and after them the share of each settling class its buffer strip keeps.
RAIN, RUNOFF, LOSSES, PEAK, SOLIDS, BOD5_LOAD, AMMONIUM_LOAD, PHOSPHORUS, STRIP = range(9)
NO_WATER = 1e-12  # of the peak: less than this is rounding
NOTABLE = 0.01  # of the peak: above this the hydraulic steps are short,
HIGH, FINER = 0.2, 3  # and above this so many times shorter


class AreaWater(NamedTuple):
    """Water of one drainage area over the period.

    Attributes
    ----------
    area : the settings
    runoff : its water
    carried : mass flows at the times of the runoff, after its buffer strip
    strip : what the strip kept, if there is one
    temperature : at the times of the runoff. [K]
    """

    area: Drainage
    runoff: Runoff
    carried: Carried
    strip: StripRemoval | None
    temperature: FloatArray


def water_of(
    areas: Sequence[Drainage], rain: RainSeries, weather: WeatherSeries, solids: Solids
) -> tuple[AreaWater, ...]:
    """Water of each drainage area, with what it carries and how warm it is."""
    found = []
    for area in areas:
        runoff = runoff_of(area, rain)
        carried, strip = carried_by(runoff, area, solids.share, solids.settling_velocity)
        found.append(AreaWater(area, runoff, carried, strip, runoff_temperature(runoff, weather)))
    return tuple(found)


def mean_over(edges: FloatArray, first: float, step: float, values: FloatArray) -> FloatArray:
    """Means of a series of straight lines between edges of time, exact.

    Parameters
    ----------
    edges : (n + 1,) array
        Rising. [s]
    first, step : float
        Time of the first value and distance between values. [s]
    values : (m,) or (m, k) array
        Nothing before the first and after the last.

    Returns
    -------
    (n,) or (n, k) array
        Mean of each span; times their lengths they add up to the integral between the first and last edge.
    """
    if len(values) < 2:
        return np.zeros((edges.size - 1, *values.shape[1:]))
    whole = np.concatenate([0.0 * values[:1], np.cumsum(0.5 * step * (values[1:] + values[:-1]), axis=0)])
    place = np.clip((edges - first) / step, 0.0, len(values) - 1.0)
    row = np.minimum(place.astype(np.int64), len(values) - 2)
    tail = (...,) + (None,) * (values.ndim - 1)
    share = (place - row)[tail]
    total = whole[row] + step * share * (values[row] + 0.5 * share * (values[row + 1] - values[row]))
    means: FloatArray = np.diff(total, axis=0) / np.diff(edges)[tail]
    return means


def rain_over(edges: FloatArray, rain: RainSeries) -> FloatArray:
    """Mean rain between edges of time, even within the steps of the series. [m/s]"""
    fallen = np.concatenate([[0.0], np.cumsum(rain.depth)])
    times = rain.first + rain.step * np.arange(fallen.size)
    means: FloatArray = np.diff(np.interp(edges, times, fallen)) / np.diff(edges)
    return means


def flow_over(edges: FloatArray, water: AreaWater) -> FloatArray:
    """Mean flow of an area between edges of time. [m3/s]"""
    runoff = water.runoff
    flow = mean_over(edges, runoff.first, runoff.step, runoff.flow)
    return np.where(flow > NO_WATER * runoff.peak, flow, 0.0)


def carried_over(edges: FloatArray, water: AreaWater) -> FloatArray:
    """Temperature [K] and concentrations [kg/m3] of an area's water between edges of time.

    Returns
    -------
    (n, 5 + classes) array
        Columns as named above, so that flow times concentration is the load; where no water runs the
        temperature is NaN and all else nothing.
    """
    runoff, carried = water.runoff, water.carried
    loads = np.concatenate(
        [
            np.stack(
                [
                    *(runoff.flow * water.temperature, carried.bod5, carried.ammonium),
                    *(carried.dissolved_phosphorus, carried.phosphorus - carried.dissolved_phosphorus),
                ],
                axis=1,
            ),
            carried.solids,
        ],
        axis=1,
    )
    flow = flow_over(edges, water)[:, None]
    mean: FloatArray = np.maximum(mean_over(edges, runoff.first, runoff.step, loads), 0.0)
    held = np.divide(mean, flow, out=np.zeros_like(mean), where=flow > 0.0)
    held[flow[:, 0] <= 0.0, TEMPERATURE] = np.nan
    return held


def storm_edges(water: AreaWater, end: float, step: float) -> FloatArray:
    """Multiples of `step` up to `end` between which an area sheds a notable flow, finer near its peak. [s]"""
    found = []
    for share, length in ((NOTABLE, step), (HIGH, step / FINER)):
        edges = length * np.arange(math.ceil(end / length - 1e-9) + 1, dtype=np.float64)
        wet = np.flatnonzero(flow_over(edges, water) > share * water.runoff.peak)
        found.append(edges[np.union1d(wet, wet + 1)])
    together: FloatArray = np.union1d(*found)
    return together


def totals_of(water: AreaWater) -> FloatArray:
    """Totals of an area, columns as named above. [m3], [m3/s], [kg], [1]"""
    runoff, carried = water.runoff, water.carried
    classes = carried.solids.shape[1]
    masses = (carried.solids, carried.bod5, carried.ammonium, carried.phosphorus)
    loads = [np.sum(mass) * runoff.step for mass in masses]
    kept = np.zeros(classes) if water.strip is None else water.strip.solids
    return np.array([runoff.rain_volume, runoff.volume, runoff.losses, runoff.peak, *loads, *kept])
