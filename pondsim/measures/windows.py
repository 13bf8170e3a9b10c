"""Stretches of a run worth a close look: its largest storm and its hottest week, found in the results."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

if TYPE_CHECKING:
    import xarray as xr

Array = np.ndarray[Any, Any]
Window = tuple[np.datetime64, np.datetime64]

NOTABLE = 0.01  # of the highest flow over base flow: above this a storm goes on
PAUSE = 6.0  # h of less than that end it
WEEK = 7.0  # d


def largest_storm(dataset: xr.Dataset) -> Window | None:
    """First and last moment of the storm that brings most water.

    Parameters
    ----------
    dataset : xarray.Dataset
        Results; where they lack ``inflow``, rain on the pond stands for it. Base flow (the median of the
        inflow) is not counted.

    Returns
    -------
    (datetime64, datetime64) or None
        None where no storm brings any water. A storm that the file names (``event_start``) comes first.
    """
    if "event_start" in dataset.attrs and "event_end" in dataset.attrs:
        return np.datetime64(dataset.attrs["event_start"]), np.datetime64(dataset.attrs["event_end"])
    name = next((name for name in ("inflow", "rain_intensity") if name in dataset), None)
    times = dataset["time"].values
    if name is None or len(times) < 2:
        return None
    flow = np.nan_to_num(dataset[name].values)[1:]
    flow = np.maximum(flow - np.median(flow), 0.0)
    wet = np.flatnonzero(flow > NOTABLE * flow.max(initial=0.0))
    if not wet.size:
        return None
    begins, ends = times[wet], times[wet + 1]
    pauses = (begins[1:] - ends[:-1]) / np.timedelta64(1, "s") > PAUSE * 3600.0
    volume = flow * (np.diff(times) / np.timedelta64(1, "s"))
    parts = np.split(wet, np.flatnonzero(pauses) + 1)
    largest = max(parts, key=lambda part: float(volume[part].sum()))
    return times[largest[0]], times[largest[-1] + 1]


def hottest_week(dataset: xr.Dataset) -> Window | None:
    """First and last moment of the week with the highest mean air temperature.

    Returns
    -------
    (datetime64, datetime64) or None
        The whole run where it is no longer than a week; None where the results lack ``air_temperature``.
    """
    times = dataset["time"].values
    if "air_temperature" not in dataset or len(times) < 2:
        return None
    seconds = (times - times[0]) / np.timedelta64(1, "s")
    length = WEEK * 86400.0
    if seconds[-1] <= length:
        return times[0], times[-1]
    warmth = dataset["air_temperature"].values
    area = 0.5 * (warmth[1:] + warmth[:-1]) * np.diff(seconds)
    summed = np.concatenate([[0.0], np.cumsum(area)])
    starts = seconds[seconds <= seconds[-1] - length + 1e-6]
    means = np.interp(starts + length, seconds, summed) - summed[: starts.size]
    first = int(np.argmax(means))
    return times[first], times[first] + np.timedelta64(int(length), "s")
