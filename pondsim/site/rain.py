"""The rain of a run: from a file, a design storm or invented."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from pondsim.errors import Problem, ScenarioError
from pondsim.physics.unit_hydrograph import TYPE_II_SHARE, TYPE_II_TIME, rain_fallen
from pondsim.scenario.settings import DesignStorm, Period, Rain
from pondsim.site.rain_file import read_rain
from pondsim.site.rain_series import RainSeries, followed_by
from pondsim.site.synthetic_rain import synthetic_rain

FloatArray = NDArray[np.float64]


def rain_series(rain: Rain, period: Period, utc_offset: float = 0.0) -> RainSeries:
    """Rain of the run, from the source the scenario names.

    Parameters
    ----------
    rain : Rain
        A file, a design storm or the synthetic generator.
    period : Period
        Limits of the run.

    Raises
    ------
    ScenarioError
        When no source is named, or the file or the curve wants mending.
    """
    series = _given(rain, period, utc_offset)
    return series._replace(depth=series.depth * rain.multiplier)


def _given(rain: Rain, period: Period, utc_offset: float) -> RainSeries:
    storm = rain.design_storm
    if storm is not None and storm.before == "dry":
        return design_storm_rain(storm, period)
    if rain.file is not None or rain.synthetic is not None:
        given = read_rain(rain.file, period, rain, utc_offset) if rain.file else None
        if given is None and rain.synthetic is not None:
            given = synthetic_rain(rain.synthetic, period)
        if given is not None and storm is not None:
            until = (storm.start - period.start).total_seconds()
            return followed_by(given, design_storm_rain(storm, period), until)
        if given is not None:
            return given
    message = "needs a file, a section [rain.design_storm] or [rain.synthetic]"
    raise ScenarioError(Problem(None, None, "rain", message))


def design_storm_rain(storm: DesignStorm, period: Period) -> RainSeries:
    """Rain of a design storm within the period.

    Parameters
    ----------
    storm : DesignStorm
        Depth, course and length.
    period : Period
        Steps of the storm wholly outside it are left out, as those of a rain file are.

    Returns
    -------
    RainSeries
        Depths of a storm within the period add up to the storm's to rounding.

    Raises
    ------
    ScenarioError
        When an own curve does not rise from 0 to 1.
    """
    time, share = TYPE_II_TIME, TYPE_II_SHARE
    if storm.distribution == "own":
        time, share = np.array(storm.curve_time), np.array(storm.curve_share)
        _check_curve(time, share)
    count = math.ceil(storm.duration / storm.step - 1e-9)
    edges = np.minimum(storm.step * np.arange(count + 1), storm.duration)
    fallen = np.asarray(rain_fallen(edges, time, share, storm.duration))
    first = (storm.start - period.start).total_seconds()
    length = (period.end - period.start).total_seconds()
    begins = first + storm.step * np.arange(count)
    inside = np.flatnonzero((begins + storm.step > 0.0) & (begins < length))
    if not inside.size:
        return RainSeries(0.0, storm.step, np.zeros(1))
    return RainSeries(float(begins[inside[0]]), storm.step, storm.depth * np.diff(fallen)[inside])


def _check_curve(time: FloatArray, share: FloatArray) -> None:
    rises = (
        time.size == share.size >= 2
        and time[0] == share[0] == 0.0
        and abs(share[-1] - 1.0) <= 1e-9
        and bool(np.all(np.diff(time) > 0.0) and np.all(np.diff(share) >= 0.0))
    )
    if not rises:
        message = "must rise from 0 to 1, with a time for each share"
        raise ScenarioError(Problem(None, None, "design_storm.curve_share", message))
