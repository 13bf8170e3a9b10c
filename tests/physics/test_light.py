"""Light in the water."""

import math

import numpy as np
import pytest

from pondsim.physics import light
from tests.physics.tolerance import close_to
from tests.published.light import mean_light_fraction, smith_layer_mean


def test_extinction():
    """Riley 1956 with 0.052 per mg/L of Di Toro 1978, from memory: 50 ug/L, 10 mg/L, check 14.9."""
    assert light.light_extinction(0.04, 50e-6, 10e-3, 0.0) == close_to(1.7329, "0.2 %", "1/m")


def test_detritus_dims_by_0_174_per_mg():
    """Di Toro 1978, from memory, not verified."""
    assert light.light_extinction(0.5, 0.0, 0.0, 2e-3) == pytest.approx(0.5 + 0.348)


def test_mean_light():
    """Beer-Lambert, exact: check 14.10."""
    assert mean_light_fraction(0.9 * 2.0) == close_to(0.463723, "0.01 %", "1")
    assert mean_light_fraction(0.0) == pytest.approx(1.0)


@pytest.mark.parametrize("thickness", [1e-6, 0.99e-4, 1.01e-4, 0.01, 0.7, 5.0, 30.0])
@pytest.mark.parametrize("top", [1e-9, 0.2, 1.0, 12.0])
def test_layer_mean_is_the_mean_of_smiths_curve(thickness, top):
    """Midpoint sum of x/sqrt(1 + x^2), Smith 1936, through a layer of exponentially fading light."""
    through = (np.arange(20000) + 0.5) / 20000.0
    x = top * np.exp(-thickness * through)
    mean = np.mean(x / np.sqrt(1.0 + x * x))
    value = smith_layer_mean(180.0 * top, 180.0 * top * math.exp(-thickness), 180.0, thickness)
    assert value == pytest.approx(mean, rel=1e-6)


def test_nothing_grows_in_the_dark():
    assert smith_layer_mean(0.0, 0.0, 180.0, 1.0) == 0.0
    assert smith_layer_mean(0.0, 0.0, 180.0, 0.0) == 0.0


def test_secchi_depth():
    """Rule 1.7/k, Poole and Atkins 1929, from memory."""
    assert light.secchi_depth(1.7) == pytest.approx(1.0)
