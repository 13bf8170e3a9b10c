"""Switching times, worked by hand on the calendar."""

from datetime import datetime
from types import SimpleNamespace

import numpy as np
import pytest

from pondsim.site.timers import is_on, switch_times

H = 3600.0
NIGHT = ((21 * H, 32 * H),)  # 21:00-08:00


def period(start, end):
    return SimpleNamespace(start=datetime.fromisoformat(start), end=datetime.fromisoformat(end))


@pytest.mark.parametrize(
    ("hours", "season", "limits", "on", "off"),
    [
        pytest.param((), (), ("2025-06-01", "2025-06-04"), [0], [72], id="always"),
        pytest.param(
            ((0.0, 24 * H),), (), ("2025-06-01", "2025-06-04"), [0], [72], id="all day, written out"
        ),
        pytest.param(
            ((6 * H, 9 * H), (18 * H, 20 * H)),
            (),
            ("2025-06-01", "2025-06-03"),
            [6, 18, 30, 42],
            [9, 20, 33, 44],
            id="twice a day",
        ),
        pytest.param(NIGHT, (), ("2025-06-01", "2025-06-03"), [0, 21, 45], [8, 32, 48], id="past midnight"),
        pytest.param(
            NIGHT, (), ("2025-06-01 22:30", "2025-06-02 12:00"), [0], [9.5], id="begins within a night"
        ),
        pytest.param(
            ((20 * H, 24 * H), (0.0, 6 * H)),
            (),
            ("2025-06-01", "2025-06-03"),
            [0, 20, 44],
            [6, 30, 48],
            id="two spans that meet at midnight are one run",
        ),
        pytest.param(
            (),
            ((6, 2, 6, 3),),
            ("2025-06-01", "2025-06-10"),
            [24],
            [72],
            id="season, both days included",
        ),
        pytest.param(
            NIGHT,
            ((6, 2, 6, 3),),
            ("2025-06-01", "2025-06-10"),
            [45, 69],
            [56, 80],
            id="the last night of a season is run to its end",
        ),
        pytest.param(
            (),
            ((11, 15, 2, 29),),
            ("2025-02-27", "2025-11-17"),
            [0, 261 * 24],
            [48, 263 * 24],
            id="season over New Year, no leap day",
        ),
        pytest.param(
            (),
            ((12, 31, 1, 1),),
            ("2025-12-30", "2026-01-03"),
            [24],
            [72],
            id="season over New Year, run over New Year",
        ),
        pytest.param(
            (), ((6, 1, 6, 2), (6, 3, 6, 4)), ("2025-06-01", "2025-06-09"), [0], [96], id="two seasons"
        ),
        pytest.param(NIGHT, ((1, 1, 1, 31),), ("2025-06-01", "2025-06-03"), [], [], id="never on"),
    ],
)
def test_switch_times_to_the_second(hours, season, limits, on, off):
    """Counted by hand; 15 November is 261 days after 27 February in a common year."""
    got_on, got_off = switch_times(hours, season, period(*limits))
    assert got_on.tolist() == [h * H for h in on]
    assert got_off.tolist() == [h * H for h in off]


def test_is_on_from_the_switch_up_to_the_next():
    on, off = np.array([10.0, 40.0]), np.array([20.0, 50.0])
    moments = np.array([9.9, 10.0, 19.9, 20.0, 45.0, 50.0])
    assert is_on(moments, on, off).tolist() == [False, True, True, False, True, False]


def test_hours_on_add_up_over_a_season():
    """138 nights of 11 h begin; the end of the run at midnight cuts 8 h off the last."""
    on, off = switch_times(NIGHT, ((5, 15, 9, 30),), period("2025-05-15", "2025-09-30"))
    assert np.sum(off - on) == (138 * 11 - 8) * H
