"""Oxygen over a waterfall."""

import math

import pytest

from pondsim.physics import waterfall as w
from pondsim.physics.lip import brink_depth, critical_depth, head_over_sharp_lip
from tests.physics.tolerance import close_to

GPM = 3.785411784e-3 / 60.0  # m3/s
FOOT, INCH = 0.3048, 0.0254


@pytest.mark.parametrize(
    ("a", "b", "drop", "celsius", "value"),
    [
        pytest.param(1.8, 0.8, 1.2192, 25, 2.242, id="4.1"),
        pytest.param(1.0, 1.0, 0.6, 15, 1.3599, id="4.2"),
        pytest.param(1.6, 0.8, 0.9144, 22, 1.8049, id="4.3"),
    ],
)
def test_gameson_form(a, b, drop, celsius, value):
    """UK Department of the Environment 1973, as given by Butts and Evans 1983."""
    assert w.deficit_ratio_gameson(drop, celsius + 273.15, a, b) == close_to(value, "0.1 %", "1")


def test_gameson_form_never_falls_with_the_drop():
    ratios = [w.deficit_ratio_gameson(drop, 293.15, 1.8, 0.8) for drop in (1.0, 3.0, 4.5, 5.0, 6.0)]
    assert ratios == sorted(ratios)


def test_avery_and_novak():
    """Avery and Novak 1978; constants from memory, not verified: check 4.5."""
    assert w.deficit_ratio_avery_novak_15C(1.2192, 0.0207) == close_to(1.9457, "0.3 %", "1")


@pytest.mark.parametrize(
    ("drop", "m2_per_h", "pool", "value"),
    [pytest.param(1.2192, 74.5, 0.6, 1.7611, id="4.6"), pytest.param(1.0, 300, 0.8, 2.112, id="4.7")],
)
def test_nakasone(drop, m2_per_h, pool, value):
    """Nakasone 1987; constants from memory, not verified."""
    assert w.deficit_ratio_nakasone_20C(drop, m2_per_h / 3600.0, pool) == close_to(value, "0.5 %", "1")


@pytest.mark.parametrize(
    ("efficiency", "start", "end", "value"),
    [pytest.param(0.486, 15, 25, 0.5603, id="4.8"), pytest.param(0.5, 20, 10, 0.4248, id="4.9")],
)
def test_efficiency_moves_with_temperature(efficiency, start, end, value):
    """Gulliver, Thene and Rindels 1990; constants from memory, not verified."""
    exponent = w.temperature_exponent(end + 273.15) / w.temperature_exponent(start + 273.15)
    assert 1.0 - (1.0 - efficiency) ** exponent == close_to(value, 0.002, "1")


@pytest.mark.parametrize(
    ("above", "value"), [pytest.param(3.0, 5.3684, id="4.10"), pytest.param(11.0, 9.5789, id="4.11")]
)
def test_oxygen_below(above, value):
    """By the definition of the deficit ratio; the second pond is supersaturated and loses oxygen."""
    assert w.oxygen_below(above * 1e-3, 8e-3, 1.9) * 1e3 == close_to(value, 0.002, "mg/L")


FALL = {"drop": 4 * FOOT, "width": 3 * FOOT, "flow": 300 * GPM}


@pytest.mark.parametrize(
    ("method", "a", "b", "pool", "efficiency"),
    [
        pytest.param("gameson", 1.8, 1.0, 0.6, 0.58, id="4.a"),
        pytest.param("gameson", 1.8, 0.8, 0.6, 0.53, id="4.b"),
        pytest.param("avery_novak", 1.8, 0.8, 0.6, 0.52, id="4.c"),
        pytest.param("nakasone", 1.8, 0.8, 0.6, 0.43, id="4.d"),
        pytest.param("nakasone", 1.8, 0.8, 0.3, 0.37, id="4.e"),
    ],
)
def test_methods_differ_for_one_design_as_computed_apart(method, a, b, pool, efficiency):
    """4 ft drop, 300 gpm over 3 ft, clean water at 20 degC; the published equations worked by hand.

    Nakasone's 4 ft count from the crest: from level to level they are 1.5 critical depths, 0.0528 m, more.
    """
    drop = FALL["drop"] + (0.0528 if method == "nakasone" else 0.0)
    rest = (FALL["width"], FALL["flow"], 1, 293.15, a, b, pool)
    ratio = w.waterfall_deficit_ratio(w.METHOD_CODES[method], drop, *rest)
    assert 1.0 - 1.0 / ratio == close_to(efficiency, 0.01, "1")


@pytest.mark.parametrize("code", [w.GAMESON, w.AVERY_NOVAK, w.NAKASONE])
def test_waterfall_splits_its_drop_into_equal_steps(code):
    """Deficits multiply, exact (check 4.12): two steps do what one fall of half the drop does twice."""
    args = (FALL["width"], FALL["flow"])
    rest = (288.15, 1.6, 0.8, 0.5)
    half = w.waterfall_deficit_ratio(code, 0.6, *args, 1, *rest)
    assert w.waterfall_deficit_ratio(code, 1.2, *args, 2, *rest) == pytest.approx(half**2)


HEAVY = 150 * GPM / FOOT  # m2/s, 150 gpm per foot of lip


@pytest.mark.parametrize(("steps", "efficiency"), [(1, 0.4798), (4, 0.3479)])
def test_nakasone_counts_the_head_over_the_crest_once(steps, efficiency):
    """Z = D + 1.5 Hc is the drop from level to level: ln r = 0.0785 Z^1.31 q^0.428 H^0.310, and for Z > 1.2 m
    0.0861 Z^0.816: by hand for 4 ft at 150 gpm/ft over 2 ft of water, 20 degC, clean water.

    One fall, Z 1.2192 m: ln r = 0.0861 x 1.17554 x 7.5286 x 0.85776 = 0.6536. Four falls of 0.3048 m:
    ln r = 4 x 0.0785 x 0.21089 x 7.5286 x 0.85776 = 0.4276.
    """
    ratio = w.waterfall_deficit_ratio(
        w.NAKASONE, 4 * FOOT, 1.0, HEAVY, steps, 293.15, w.CLEAN_WATER, 0.8, 2 * FOOT
    )
    drop = 4 * FOOT / steps
    low, power = (0.0785, 1.31) if drop <= 1.2 else (0.0861, 0.816)
    by_hand = steps * low * drop**power * (3600 * HEAVY) ** 0.428 * (2 * FOOT) ** 0.310
    assert 1 - 1 / ratio == pytest.approx(1 - math.exp(-by_hand), abs=1e-9)
    assert 1 - 1 / ratio == pytest.approx(efficiency, abs=6e-4)


@pytest.mark.parametrize("method", w.METHOD_CODES)
def test_polluted_water_costs_every_method_alike(method):
    """a scales the Gameson form's ratio less 1 (Butts and Evans 1983); the others are for its clean 1.8."""

    def gain(quality):
        celsius = 15 if method == "avery_novak" else 20
        args = (w.METHOD_CODES[method], 1.2, 1.0, 0.02, 1, 273.15 + celsius, quality, 0.8, 0.6)
        return w.waterfall_deficit_ratio(*args) - 1.0

    assert gain(1.0) / gain(1.8) == pytest.approx(1.0 / 1.8)


def test_depth_of_bubbles():
    """Avery and Novak 1978, from memory: 0.00433 Re^0.39 Fr^0.24 m. 4 ft at 100 gpm/ft by hand:

    q 0.020698 m2/s, Re 18172, Fr (9.80665 x 1.8123/(2 q^2))^0.25 = 12.00: 0.00433 x 45.82 x 1.816 = 0.3603 m.
    """
    assert w.bubble_penetration(4 * FOOT, 100 * GPM / FOOT) == pytest.approx(0.3603, abs=3e-4)


@pytest.mark.parametrize("method", w.METHOD_CODES)
def test_a_pool_of_four_inches_costs_every_method(method):
    """ln r goes with the pool's depth to 0.310 (Nakasone 1987): from 0.3603 m, where bubbles have room."""

    def logarithm(pool):
        args = (w.METHOD_CODES[method], 4 * FOOT, 1.0, 100 * GPM / FOOT, 1, 293.15, 1.8, 0.8, pool)
        return math.log(w.waterfall_deficit_ratio(*args))

    assert logarithm(4 * INCH) / logarithm(0.3603) == pytest.approx((4 * INCH / 0.3603) ** 0.310, abs=1e-3)
    deeper = logarithm(1.0) / logarithm(0.3603)
    assert deeper == pytest.approx((1.0 / 0.3603) ** 0.310 if method == "nakasone" else 1.0, abs=1e-3)


def test_methods_disagree_on_small_steps():
    """4.5 ft in twenty steps of 0.225 ft: by Gameson more than one fall, by the other two less."""

    def gains(code):
        one, many = (
            w.waterfall_deficit_ratio(code, 4.5 * FOOT, 1.0, 0.015, n, 293.15, 1.6, 0.8, 0.6) for n in (1, 20)
        )
        return many > one

    assert [gains(code) for code in w.METHOD_CODES.values()] == [True, False, False]


def test_temperature_is_counted_once():
    """Avery and Novak 1978, from memory: at its own 15 degC the form needs no correction."""
    ratio = w.waterfall_deficit_ratio(w.AVERY_NOVAK, 1.2192, 1.0, 0.0207, 1, 288.15, 1.8, 0.8, 0.6)
    assert ratio == close_to(1.9457, "0.3 %", "1", check="4.5b")


@pytest.mark.parametrize("code", [w.GAMESON, w.AVERY_NOVAK, w.NAKASONE])
@pytest.mark.parametrize(("drop", "flow"), [(1.2, 0.0), (0.0, 0.02)])
def test_no_water_or_no_drop_gives_no_transfer(code, drop, flow):
    assert w.waterfall_deficit_ratio(code, drop, 1.0, flow, 1, 293.15, 1.8, 0.8, 0.6) == 1.0


def test_critical_and_brink_depth():
    """Critical depth by derivation, check 11.13; brink 0.715 of it, Rouse 1936."""
    q = 300 * GPM / 1.8288
    assert critical_depth(q) * 1e3 == close_to(22.187, "0.2 %", "mm")
    assert brink_depth(q) * 1e3 == close_to(0.715 * 22.187, "0.2 %", "mm", check="11.13b")


def test_head_over_sharp_lip():
    """Francis 1868 without contractions: check 11.14."""
    assert head_over_sharp_lip(300 * GPM, 6 * FOOT) / 0.0254 == close_to(1.2459, "0.3 %", "in")
