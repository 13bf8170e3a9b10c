"""Travel times along a flow path."""

import pytest

from pondsim.physics import concentration_time as c

INCH, FOOT, HOUR = 0.0254, 0.3048, 3600.0


def test_worked_example_of_the_source():
    """TR-55 (1986) example 3-1, from memory, not verified: 0.30 h, 1.6 ft/s, 2.05 ft/s, in all 1.53 h."""
    sheet = c.sheet_flow_time(100 * FOOT, 0.24, 0.01, 3.6 * INCH)
    assert sheet / HOUR == pytest.approx(0.30, abs=0.005)
    shallow = c.shallow_flow_velocity(0.01, False)
    assert shallow / FOOT == pytest.approx(1.6, abs=0.05)
    channel = c.channel_velocity(0.957 * FOOT, 0.005, 0.05)
    assert channel / FOOT == pytest.approx(2.05, abs=0.01)
    whole = sheet + 1400 * FOOT / shallow + 7300 * FOOT / channel
    assert whole / HOUR == pytest.approx(1.53, abs=0.01)


def test_paving_is_faster():
    """TR-55 (1986) appendix F, from memory: 20.3282 against 16.1345 ft/s at slope 1."""
    assert c.shallow_flow_velocity(1.0, True) / FOOT == pytest.approx(20.3282)
    assert c.shallow_flow_velocity(1.0, False) / FOOT == pytest.approx(16.1345)
