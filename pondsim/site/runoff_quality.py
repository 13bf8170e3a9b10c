"""What the water of a drainage area carries to the pond, and how warm it is."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from pondsim.physics.buffer_strip import strip_removal
from pondsim.physics.quality import (
    AMMONIUM_SHARE,
    MEDIANS,
    SHARE_ON_SOLIDS,
    VARIATIONS,
    first_flush,
    lognormal_mean,
)
from pondsim.physics.runoff_temperature import paving_runoff, wet_bulb
from pondsim.scenario.settings import BufferStrip, Drainage
from pondsim.site.rain_series import storms_of
from pondsim.site.series import WeatherSeries
from pondsim.site.watershed import Runoff, arriving

FloatArray = NDArray[np.float64]

STRIP_FLOWS = 200  # flows for which the removal by a strip is computed; straight lines of log flow between


class Carried(NamedTuple):
    """Mass flow at the times of a runoff; sums times its step are loads.

    Attributes
    ----------
    solids : (m, classes) [kg/s]
    bod5, ammonium, phosphorus, dissolved_phosphorus : (m,) the last part of the one before. [kg/s]
    """

    solids: FloatArray
    bod5: FloatArray
    ammonium: FloatArray
    phosphorus: FloatArray
    dissolved_phosphorus: FloatArray


class StripRemoval(NamedTuple):
    """What a buffer strip kept back.

    Attributes
    ----------
    solids : (classes,) share of each settling class over all events, of what the area sheds. [1]
    of_all_solids : share of all classes together. [1]
    """

    solids: FloatArray
    of_all_solids: float


class Concentrations(NamedTuple):
    """Event mean concentrations of an area. [kg/m3]"""

    suspended_solids: float
    bod5: float
    ammonium: float
    phosphorus: float


def concentrations_of(area: Drainage) -> Concentrations:
    """Event mean concentrations: as given, else the national ones of the land use, median or mean."""
    median, variation = MEDIANS[area.land_use], VARIATIONS[area.land_use]
    national = {
        name: lognormal_mean(value, getattr(variation, name)) if area.concentrations == "mean" else value
        for name, value in median._asdict().items()
    }
    national["ammonium"] = AMMONIUM_SHARE * national["kjeldahl_nitrogen"]
    return Concentrations(
        *(
            national[name] if getattr(area, name) is None else getattr(area, name)
            for name in Concentrations._fields
        )
    )


def carried_by(
    runoff: Runoff, area: Drainage, class_share: Sequence[float], settling_velocity: Sequence[float]
) -> tuple[Carried, StripRemoval | None]:
    """Mass flows of a runoff, after its buffer strip if it has one.

    Parameters
    ----------
    runoff : Runoff
        From `runoff_of`.
    area : Drainage
        Land use or concentrations, first flush, strip.
    class_share : (classes,) sequence
        Share of each settling class in the solids. [1]
    settling_velocity : (classes,) sequence
        [m/s]

    Returns
    -------
    Carried
        Without a strip each event's load is its concentration times its volume, to rounding.
    StripRemoval or None
        What the strip kept.
    """
    event_mean = concentrations_of(area)
    weight = _flushed(runoff, area.first_flush, area.storm_pause)
    solids = event_mean.suspended_solids * np.outer(weight, class_share)
    dissolved = {name: getattr(event_mean, name) * weight for name in SHARE_ON_SOLIDS}
    free = area.phosphorus_dissolved * dissolved["phosphorus"]  # a strip holds only what rides on solids
    if area.buffer_strip is None:
        return Carried(solids, **dissolved, dissolved_phosphorus=free), None
    kept = _kept(runoff.flow, area.buffer_strip, settling_velocity)
    passing = solids * (1.0 - kept)
    of_all = 1.0 - _ratio(np.sum(passing, axis=1), np.sum(solids, axis=1))
    for name, share in SHARE_ON_SOLIDS.items():
        dissolved[name] = dissolved[name] * (1.0 - share * of_all)
    removal = StripRemoval(
        1.0 - _ratio(np.sum(passing, axis=0), np.sum(solids, axis=0)),
        float(1.0 - _ratio(np.sum(passing), np.sum(solids))),
    )
    free = np.minimum(free, dissolved["phosphorus"])
    return Carried(passing, **dissolved, dissolved_phosphorus=free), removal


def _ratio(part: FloatArray | float, whole: FloatArray | float) -> FloatArray:
    """Part over whole, 1 where there is nothing."""
    part, whole = np.asarray(part, dtype=float), np.asarray(whole, dtype=float)
    return np.divide(part, whole, out=np.ones_like(part), where=whole > 0.0)


def _flushed(runoff: Runoff, exponent: float, pause: float) -> FloatArray:
    """Flow, with that of each event's first water weighted up and the rest down; volumes are kept."""
    if exponent == 1.0:
        return runoff.flow
    weighted = np.zeros_like(runoff.flow)
    for begin, end in _events(runoff, pause):
        volume = np.concatenate([[0.0], np.cumsum(runoff.flow[begin:end])])
        if volume[-1] > 0.0:
            weighted[begin:end] = volume[-1] * np.diff(first_flush(volume / volume[-1], exponent))
    return weighted


def _events(runoff: Runoff, pause: float) -> list[tuple[int, int]]:
    """First and last place of each event's water; an event lasts from its first rain to the next one's."""
    wet = runoff.rain._replace(depth=runoff.depth)
    starts = [storm.begin * runoff.finer for storm in storms_of(wet, pause)]
    return list(itertools.pairwise([*starts, runoff.flow.size]))


def _kept(flow: FloatArray, strip: BufferStrip, settling_velocity: Sequence[float]) -> FloatArray:
    """Share of each class that a strip keeps at every moment, (m, classes)."""
    highest = max(float(np.max(flow, initial=0.0)) * strip.runoff_share / strip.length, 1e-9)
    flows = highest * np.logspace(-6.0, 0.0, STRIP_FLOWS)
    here = np.log(np.maximum(flow * strip.runoff_share / strip.length, flows[0]))
    columns = [
        np.interp(
            here,
            np.log(flows),
            strip_removal(velocity, flows, strip.width, strip.slope, spacing=strip.stem_spacing),
        )
        for velocity in settling_velocity
    ]
    return strip.runoff_share * np.stack(columns, axis=1)


def runoff_temperature(runoff: Runoff, weather: WeatherSeries) -> FloatArray:
    """Temperature of the water at the times of a runoff.

    Parameters
    ----------
    runoff : Runoff
        From `runoff_of`.
    weather : WeatherSeries
        Of the same period.

    Returns
    -------
    (m,) array
        Rain at its wet bulb, 0 degC at least; what runs off connected paving takes heat from it. [K]

    Notes
    -----
    Every drop keeps its warmth on its way through the unit hydrograph. Source: judgement.
    """
    rain = runoff.rain
    middle = rain.first + rain.step * (np.arange(rain.depth.size) + 0.5)
    air, vapour, sunlight, pressure = (
        np.interp(middle, weather.time, column)
        for column in (
            *(weather.air_temperature, weather.vapour_pressure, weather.shortwave),
            weather.pressure,
        )
    )
    drops = np.maximum(wet_bulb(air, vapour, pressure), 273.15)
    heat = np.zeros(rain.depth.size)  # warmth shed, against the rain's
    for ground, depth in zip(runoff.grounds, runoff.excess, strict=True):
        if ground.paved:
            heat = ground.share * depth * (paving_runoff(depth, rain.step, drops, air, sunlight) - drops)
    warmer = np.divide(
        arriving(runoff, heat), runoff.flow, out=np.zeros_like(runoff.flow), where=runoff.flow > 0.0
    )
    here = np.interp(runoff.time, middle, drops)
    shed = arriving(runoff, runoff.depth * drops)
    return np.divide(shed, runoff.flow, out=here, where=runoff.flow > 0.0) + warmer
