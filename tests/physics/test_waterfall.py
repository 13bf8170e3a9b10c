"""Oxygen over a waterfall."""

import pytest

from pondsim.physics import waterfall as w
from pondsim.physics.lip import brink_depth, critical_depth, head_over_sharp_lip
from tests.physics.tolerance import close_to

GPM = 3.785411784e-3 / 60.0  # m3/s
FOOT = 0.3048


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


def test_cascade_form():
    """Barrett 1960 in wastewater texts, 0.361 per metre: check 4.4."""
    assert w.deficit_ratio_cascade(1.8, 298.15, 0.8, 1.1) == close_to(2.2294, "0.1 %", "1")


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
    moved = w.efficiency_at_temperature(efficiency, start + 273.15, end + 273.15)
    assert moved == close_to(value, 0.002, "1")


@pytest.mark.parametrize(
    ("above", "value"), [pytest.param(3.0, 5.3684, id="4.10"), pytest.param(11.0, 9.5789, id="4.11")]
)
def test_oxygen_below(above, value):
    """By the definition of the deficit ratio; the second pond is supersaturated and loses oxygen."""
    assert w.oxygen_below(above * 1e-3, 8e-3, 1.9) * 1e3 == close_to(value, 0.002, "mg/L")


def test_deficits_multiply_over_steps():
    """Exact: check 4.12, printed to seven digits."""
    assert w.steps(1.22, 4) == close_to(2.215335, 5e-7, "1")


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
    """4 ft drop, 300 gpm over 3 ft, clean water at 20 degC; the published equations worked by hand."""
    code = getattr(w, method.upper())
    ratio = w.waterfall_deficit_ratio(code, FALL["drop"], FALL["width"], FALL["flow"], 1, 293.15, a, b, pool)
    assert 1.0 - 1.0 / ratio == close_to(efficiency, 0.01, "1")


@pytest.mark.parametrize("code", [w.GAMESON, w.AVERY_NOVAK, w.NAKASONE])
def test_waterfall_splits_its_drop_into_equal_steps(code):
    """Two steps do what one fall of half the drop does twice."""
    args = (FALL["width"], FALL["flow"])
    rest = (288.15, 1.6, 0.8, 0.5)
    half = w.waterfall_deficit_ratio(code, 0.6, *args, 1, *rest)
    assert w.waterfall_deficit_ratio(code, 1.2, *args, 2, *rest) == pytest.approx(half**2)


def test_temperature_is_counted_once():
    """Avery and Novak 1978, from memory: at its own 15 degC the form needs no correction."""
    ratio = w.waterfall_deficit_ratio(w.AVERY_NOVAK, 1.2192, 1.0, 0.0207, 1, 288.15, 1.6, 0.8, 0.6)
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
