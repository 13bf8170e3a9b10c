"""What the sheet says of a waterfall: its steps, its pool, one number of oxygen and the range beside it."""

import pytest

from pondsim.design.circulation import limits, line_sheet
from tests.line_for_tests import line_scenario

FOOT = 0.3048
PUMP = 'flow = "375 gpm"'  # 75 gpm per foot of lip


def sheet_limit(scenario, words):
    (found,) = (one for one in limits(scenario) if one.part == "waterfall" and words in one.what)
    return found


def with_waterfall(tmp_path, **keys):
    also = "\n".join(f"{key} = {value}" for key, value in keys.items())
    return line_scenario(tmp_path, also={"waterfall": also}, pump=PUMP)


@pytest.mark.parametrize(("steps", "verdict"), [(1, "pass"), (5, "pass"), (6, "warn"), (20, "warn")])
def test_steps_below_about_a_foot_carry_a_warning(tmp_path, steps, verdict):
    """5 ft in five steps of 1 ft pass; the limit of about 1 ft is judgement and says so."""
    found = sheet_limit(with_waterfall(tmp_path, steps=steps), "drop of one step")
    assert found.verdict == verdict
    assert found.source.startswith("judgement")
    assert ("disagree even" in found.note) == (verdict == "warn")


@pytest.mark.parametrize(("pool", "verdict"), [("4 in", "warn"), ("1 ft", "warn"), ("1.2 ft", "pass")])
def test_a_pool_shallower_than_its_bubbles_carries_a_warning(tmp_path, pool, verdict):
    """Avery and Novak 1978, from memory: 5 ft at 75 gpm/ft, 0.00433 Re^0.39 Fr^0.24 by hand 0.3470 m.

    q 0.015524 m2/s: Re 13630, Re^0.39 40.97; Fr (9.80665 x 3.5396/(2 q^2))^0.25 16.38, Fr^0.24 1.956.
    """
    scenario = with_waterfall(tmp_path, plunge_pool_depth=f'"{pool}"')
    found = sheet_limit(scenario, "for its bubbles")
    assert found.verdict == verdict
    assert found.least == pytest.approx(0.3470, abs=2e-4)


def test_a_shallow_pool_lowers_the_whole_range(tmp_path):
    deep, shallow = (
        line_sheet(with_waterfall(tmp_path, plunge_pool_depth=pool)).waterfall.efficiencies
        for pool in ('"2 ft"', '"4 in"')
    )
    assert all(less < 0.9 * more for less, more in zip(shallow, deep, strict=True))


def test_the_sheet_shows_the_method_of_the_runs_and_the_range_beside_it(tmp_path):
    scenario = with_waterfall(tmp_path)
    fall = line_sheet(scenario).waterfall
    shown = sheet_limit(scenario, "oxygen deficit")
    assert shown.source == "avery_novak"
    assert shown.value == fall.efficiency == fall.efficiencies[1]
    low, high = (f"{100 * one:.0f}" for one in (min(fall.efficiencies), max(fall.efficiencies)))
    assert f"{low} to {high} %" in shown.note


def test_a_pool_is_no_deeper_than_the_water_it_lies_in(tmp_path):
    """The cove is 5 ft deep at normal pool: 5 ft or 8 ft said of the pool give the same by every method."""
    within, beyond, less = (
        line_sheet(with_waterfall(tmp_path, plunge_pool_depth=pool)).waterfall.efficiencies
        for pool in ('"5 ft"', '"8 ft"', '"4 ft"')
    )
    assert within == pytest.approx(beyond, rel=1e-12)
    assert within[2] > less[2]
