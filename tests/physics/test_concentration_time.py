"""Travel times along a flow path."""

import pytest

from pondsim.physics import concentration_time as c
from tests.physics.tolerance import close_to

INCH, FOOT, HOUR = 0.0254, 0.3048, 3600.0


def test_worked_example_of_the_source():
    """TR-55 (1986) example 3-1, from memory, not verified: 0.30 h, 1.6 ft/s, 2.05 ft/s, in all 1.53 h."""
    sheet = c.sheet_flow_time(100 * FOOT, 0.24, 0.01, 3.6 * INCH)
    assert sheet / HOUR == close_to(0.30, 0.005, "h", check="8.a")
    shallow = c.shallow_flow_velocity(0.01, False)
    assert shallow / FOOT == close_to(1.6, 0.05, "ft/s", check="8.b")
    channel = c.channel_velocity(0.957 * FOOT, 0.005, 0.05)
    assert channel / FOOT == close_to(2.05, 0.01, "ft/s", check="8.c")
    whole = sheet + 1400 * FOOT / shallow + 7300 * FOOT / channel
    assert whole / HOUR == close_to(1.53, 0.01, "h", check="8.d")


def test_paving_is_faster():
    """TR-55 (1986) appendix F, from memory: 20.3282 against 16.1345 ft/s at slope 1."""
    assert c.shallow_flow_velocity(1.0, True) / FOOT == pytest.approx(20.3282)
    assert c.shallow_flow_velocity(1.0, False) / FOOT == pytest.approx(16.1345)
