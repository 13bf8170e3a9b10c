"""The largest storm and the hottest week of made-up series, whose place is known beforehand."""

from __future__ import annotations

import numpy as np

from pondsim.measures import hottest_week, largest_storm
from tests.results.ponds import small_pond


def with_series(days=40, **series):
    dataset = small_pond(days=days)
    return dataset.assign({name: ("time", values) for name, values in series.items()})


def moments(window):
    return tuple(str(moment)[:13] for moment in window)


def test_the_storm_with_most_water_is_found_not_the_one_with_the_highest_peak():
    flow = np.full(24 * 40 + 1, 0.002)  # base flow
    flow[100:102] = 0.5  # ends of steps: 1 June 03:00 + 4 d; 2 h x 0.498 m3/s
    flow[300:306] = 0.3  # 6 h x 0.298 m3/s, begins 13 June 11:00
    flow[309:310] = 0.1  # after a pause of 3 h, so of the same storm
    assert moments(largest_storm(with_series(inflow=flow))) == ("2025-06-13T11", "2025-06-13T21")


def test_without_inflow_the_rain_on_the_pond_is_taken():
    rain = np.zeros(24 * 40 + 1)
    rain[50:53] = 1e-6
    assert moments(largest_storm(with_series(rain_intensity=rain))) == ("2025-06-03T01", "2025-06-03T04")


def test_no_storm_where_nothing_but_base_flow_comes():
    assert largest_storm(with_series(inflow=np.full(24 * 40 + 1, 0.002))) is None
    assert largest_storm(small_pond()) is None


def test_a_storm_that_the_file_names_is_taken():
    dataset = small_pond(event_start="2025-06-05T10:00:00", event_end="2025-06-05T16:00:00")
    assert moments(largest_storm(dataset)) == ("2025-06-05T10", "2025-06-05T16")


def test_the_hottest_week_is_that_of_the_highest_mean():
    warmth = np.full(24 * 40 + 1, 20.0)
    warmth[24 * 12 : 24 * 19 + 1] = 25.0  # from 13 June for seven days
    warmth[24 * 30 : 24 * 31] = 35.0  # one hot day is no hot week
    assert moments(hottest_week(with_series(air_temperature=warmth))) == ("2025-06-13T00", "2025-06-20T00")


def test_a_run_shorter_than_a_week_is_taken_whole():
    short = with_series(days=3, air_temperature=np.linspace(10, 20, 24 * 3 + 1))
    assert moments(hottest_week(short)) == ("2025-06-01T00", "2025-06-04T00")
    assert hottest_week(small_pond()) is None
