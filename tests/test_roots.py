"""Roots against SciPy's, whose method is the same."""

import math

import pytest
from scipy.optimize import brentq

from pondsim.roots import root_between


@pytest.mark.parametrize(
    ("function", "low", "high"),
    [
        (lambda x: x**3 - 2.0 * x - 5.0, 2.0, 3.0),
        (lambda x: math.cos(x) - x, 0.0, 1.0),
        (lambda x: math.exp(-10.0 * x) - 1e-8, 0.0, 10.0),
        (lambda x: math.copysign(abs(x - 0.3) ** 0.2, x - 0.3), -1.0, 2.0),
        (lambda x: x, 0.0, 4.0),
    ],
)
def test_roots_agree_with_another_library(function, low, high):
    found = root_between(function, low, high)
    assert found == pytest.approx(brentq(function, low, high), rel=1e-14, abs=1e-15)
    assert abs(found - root_between(function, low, high, within=0.01)) <= 0.01


def test_ends_of_one_sign_have_no_root():
    with pytest.raises(ValueError, match="no change of sign"):
        root_between(lambda x: x * x + 1.0, -1.0, 2.0)
