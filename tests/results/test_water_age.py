"""The age of the water in words."""

import numpy as np
import pytest

from pondsim.comparison import compare
from pondsim.comparison.findings import findings
from pondsim.measures import running_ages
from pondsim.reporting.summary import summary
from tests.report.page_reader import Page
from tests.results.ponds import arm, small_pond, with_old_water


def test_the_age_of_the_water_is_that_of_the_run_where_results_hold_it():
    """100 m3 of 15 d and 1400 of 2 d: (1500 + 2800)/1500 = 2.87 d; one place is older than 1.5 of it."""
    loop = with_old_water(small_pond(arm(4.5), title="loop", pumped=0.02))
    ponds = [small_pond(arm(2.0), title="existing"), loop]
    said = findings(compare(ponds))[1]
    in_run = "mean water age since the waterfall is 2.9 d (median of the run)"
    assert f"{in_run}; dead zones: pool near the bed (15 d)." in said
    assert "At the run's mean flows, optimistic where water is stratified, 65 % of the water is" in said
    table = compare(ponds).row("days_since_waterfall")  # 1000 m3 of 2 d and 500 of 6 d, as flows settle
    assert table.values[1] == pytest.approx(10.0 / 3.0) and "steady" in table.section
    page = " ".join(Page(summary(ponds)).text.split())
    assert "replaced within 3 d at mean flows, optimistic where water is stratified, %" in page
    old = "Dead zones: the water of pool near the bed (15 d)"
    assert f"{old} is much older than the pond's mean, 2.9 d since the waterfall." in page
    evenly = [ponds[0], small_pond(arm(4.5), title="loop", pumped=0.02)]
    assert "Dead zones" not in Page(summary(evenly)).text


def test_a_run_that_ends_soon_after_its_first_days_judges_no_dead_zone():
    """Two weeks are left out; less than as long again tells but the time since the start."""
    loop = with_old_water(small_pond(arm(4.5), title="loop", pumped=0.02))
    days = (loop["time"].values - loop["time"].values[0]) / np.timedelta64(1, "D")
    assert running_ages(loop.isel(time=days >= 0.0)) is not None
    assert running_ages(loop.isel(time=days < 28.0)) is None
