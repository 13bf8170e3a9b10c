"""Dead zones on the page: judged by place and depth in the run, never by steady ages alone."""

from __future__ import annotations

import re

import pytest

from pondsim.cli._tables import comparison_csv, comparison_data, comparison_text
from pondsim.comparison import compare
from pondsim.reporting.books import circulation_part
from pondsim.reporting.study import study_of
from tests.results.ponds import ZONES, small_pond, with_old_water

OF_LOOP = {"nominal_turnover", "renewed_share", "replaced_share", "days_since_waterfall"} | {
    f"{stem}.{zone}" for stem in ("renewed_share", "days_since_waterfall") for zone in ZONES
}


def words_of(loop):
    days = (loop.sizes["time"] - 1) // 24
    study = study_of([small_pond(title="existing", days=days), loop], "us")
    return next(block for block in circulation_part(study).blocks if getattr(block, "name", "") == "loop")


def loop_pond(**more):
    return small_pond(pumped=0.004, title="loop", **more)


def test_old_water_at_the_bed_is_a_dead_zone_though_steady_ages_are_short():
    """Of 1500 m3, 100 are 15 d old and 1400 are 2 d: (1500 + 2800)/1500 = 2.87 d, 1.25 times that 3.6 d."""
    text = str(words_of(with_old_water(loop_pond())))
    assert "Dead zones: pool near the bed (15 d), by the median age after the first 14 days" in text
    assert "that of the whole pond is 2.9 d" in text
    assert "mean flows 3.3 d, which is too young where water is stratified" in text  # (1000*2 + 500*6)/1500


def test_the_oldest_water_is_named_where_no_zone_is_dead():
    """2.5 d are less than 1.25 times the mean of (250 + 2800)/1500 = 2.03 d."""
    text = str(words_of(with_old_water(loop_pond(), days=2.5)))
    assert "No dead zone; the oldest water is that of pool near the bed (2.5 d), by the median" in text


@pytest.mark.parametrize("loop", [loop_pond(), with_old_water(loop_pond(days=10))], ids=["older", "short"])
def test_without_ages_of_the_run_no_zone_is_judged(loop):
    text = str(words_of(loop))
    assert "dead zones are not judged" in text and "too young where water is stratified" in text
    assert "Dead zones:" not in text and "o dead zone;" not in text


def test_no_circulation_is_told_where_no_design_has_a_waterfall_loop():
    """Rows of ages, shares and turnover are of a loop: without one there is no table and no note below it."""
    still = [small_pond(title="existing"), small_pond(title="air")]
    names = [getattr(block, "name", "") for block in circulation_part(study_of(still, "us")).blocks]
    assert names == ["existing", "air"]
    text = comparison_text(compare(still), "us", full=True)
    assert not re.search("turnover|waterfall, steady|Circulation, steady", text)
    keys = {row["key"] for row in comparison_data(compare(still))["measures"]}
    lines = {line.partition(",")[0] for line in comparison_csv(compare(still)).splitlines()[1:]}
    assert lines == keys
    for idle in (small_pond(pumped=0.02), small_pond(pump_flow_m3_per_s=0.02)):  # the second never ran
        more = {row["key"] for row in comparison_data(compare([*still, idle]))["measures"]} - keys
        assert more == OF_LOOP
