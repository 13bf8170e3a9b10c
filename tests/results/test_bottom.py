"""What a design changes at the bottom is said, in both directions; what never ran is no cheaper way."""

from dataclasses import replace

import numpy as np
import pytest

from pondsim.comparison import compare
from pondsim.comparison.bottom import bottom_text
from pondsim.comparison.findings import harm_text
from pondsim.comparison.verdict import verdict
from pondsim.reporting import report
from pondsim.reporting.summary import summary
from tests.report.page_reader import Page
from tests.results.ponds import four, small_pond


def deep(title, **hours):
    """A pond of 8 mg/L whose bottom lies at 1 mg/L in so many first hours of each zone."""
    oxygen = np.full((24 * 40 + 1, 2, 3), 8.0)
    for zone, lowest in (("pool", 0), ("arm", 1)):
        last = hours[zone] + 1 if hours[zone] else 0
        oxygen[:last, ("pool", "arm").index(zone), lowest] = 1.0
    return small_pond(oxygen, title=title)


@pytest.mark.parametrize(
    ("design", "said"),
    [
        ({"pool": 10, "arm": 190}, "cuts the hours below 3 mg/L in pool (800 to 10 h)"),
        (
            {"pool": 10, "arm": 20},
            "cuts the hours below 3 mg/L in 2 of 2 zones, most in pool (800 to 10 h)",
        ),
        ({"pool": 800, "arm": 600}, "raises the hours below 3 mg/L in arm (200 to 600 h)"),
        (
            {"pool": 0, "arm": 300},
            "cuts the hours below 3 mg/L in pool (800 to 0 h) and raises them in arm (200 to 300 h)",
        ),
        (  # half of 40 d is 480 h
            {"pool": 700, "arm": 600},
            "cuts the hours below 3 mg/L in pool (800 to 700 h) and raises them in arm (200 to 600 h); "
            "with it pool and arm lie below 3 mg/L for more than half of the time",
        ),
        (
            {"pool": 490, "arm": 200},
            "cuts the hours below 3 mg/L in pool (800 to 490 h); "
            "with it pool lies below 3 mg/L for more than half of the time",
        ),
        ({"pool": 470, "arm": 200}, "cuts the hours below 3 mg/L in pool (800 to 470 h)"),
        ({"pool": 790, "arm": 205}, ""),  # within the tenth that is a tie
    ],
)
def test_the_bottom_is_told_though_every_limit_near_the_surface_is_met(design, said):
    """The top stays at 8 mg/L, so that by the limits nothing changes; hours are those put in."""
    ponds = [deep("existing", pool=800, arm=200), deep("air", **design)]
    comparison = compare(ponds)
    text = verdict(comparison)
    assert text.startswith("Every design meets the oxygen criteria")
    assert (f'At the bottom, "air" {said}.' in text) if said else ("At the bottom" not in text)
    page, sheet = (" ".join(Page(made).text.split()) for made in (report(ponds).html, summary(ponds)))
    assert (
        (said in page) and (f"At the bottom, it {said}." in sheet) if said else "At the bottom" not in sheet
    )
    assert bottom_text(comparison, 0) == ""


@pytest.mark.parametrize(
    ("hours", "said"),
    [
        ([(20, 0), (800, 790)], ""),
        ([(0, 20), (790, 800)], ""),
        ([(200, 178), (800, 730)], ""),  # 22 h, and 70 h of 800
        ([(20, 0), (30, 0)], "cuts the hours below 3 mg/L in b (30 to 0 h)"),
        ([(0, 20), (0, 30)], "raises the hours below 3 mg/L in b (0 to 30 h)"),
        (
            [(960, 960), (900, 890), (960, 500), (960, 0)],
            "cuts the hours below 3 mg/L in 2 of 4 zones, most in d (960 to 0 h); "
            "with it 3 of 4 zones lie below 3 mg/L for more than half of the time",
        ),
    ],
)
def test_an_hour_is_told_by_no_measured_band_however_narrow(hours, said):
    """A grid check may find 1.2 h; less than a day or a tenth of the hours is not told all the same."""
    comparison = compare([deep("existing", pool=800, arm=200), deep("air", pool=800, arm=200)])
    row = comparison.row("hours_below_3_bottom.pool")
    rows = tuple(
        replace(row, key=f"hours_below_3_bottom.{zone}", label=zone, values=pair, tie=1.2, tie_share=0.0)
        for zone, pair in zip("abcd", hours, strict=False)
    )
    text = bottom_text(replace(comparison, rows=rows), 1)
    assert text == (f'At the bottom, "air" {said}.' if said else "")


def metered(pond, hours):
    """The same with an aerator that ran for a share of the time."""
    share = np.full((pond.sizes["time"], 1), hours)
    return pond.assign_coords(system=["aerator"]).assign(running_share=(("time", "system"), share))


@pytest.mark.parametrize(
    ("ran", "told"), [(1.0, '192 kWh more than "air"'), (0.0, '96 kWh more than "loop"')]
)
def test_what_never_ran_is_no_cheaper_way_to_the_same(ran, told):
    """All are alike near the surface; 200, 100 and 0 W over 40 d are 192, 96 and 0 kWh. The third is the pond
    alone where its aerator never ran.
    """
    ponds = four(lows=(2.0,) * 4, bad_days=(20,) * 4, powers=(0.0, 100.0, 200.0, 0.0))
    ponds = [ponds[0], metered(ponds[1], 1.0), metered(ponds[2], 1.0), metered(ponds[3], ran)]
    said = verdict(compare(ponds))
    assert f'"loop and air" uses {told}' in said
    assert ('more than "air"' in said) == bool(ran)


@pytest.mark.parametrize(
    ("tie", "hours", "said"),
    [
        (1.2, (2, 5), ""),  # beyond what a grid check may measure, yet nothing to act on
        (1.2, (2, 20), "Few, but hours that can kill fish: below 3 mg/L near the surface pool (2 to 20 h)"),
        (
            30.0,
            (2, 20),
            "Within the band of ties, but hours that can kill fish: below 3 mg/L near the surface",
        ),
        (1.2, (2, 30), "Largest change for the worse: hours below 3 mg/L, top, in pool (2 to 30 h)."),
        (0.0, (2, 30), "Largest change for the worse: hours below 3 mg/L, top, in pool (2 to 30 h)."),
        (1.2, (400, 430), ""),  # less than a tenth of them
        (1.2, (400, 450), "Largest change for the worse: hours below 3 mg/L, top, in pool (400 to 450 h)."),
    ],
)
def test_a_few_hours_are_no_harm_by_a_measured_band_however_narrow(tie, hours, said):
    """The judgement is that of the bottom: a day in a run of 40, or a tenth of the hours."""
    comparison = compare([small_pond(title="existing"), small_pond(title="air")])
    row = replace(comparison.row("hours_below_3_top.pool"), values=hours, tie=tie, tie_share=0.0, moved=tie)
    text = harm_text(replace(comparison, rows=(row,)), 1)
    assert text.startswith(said) if said else text == ""


def test_a_day_more_is_worse_where_a_grid_check_moved_none():
    """A band of nothing holds no difference; what prints alike is no change all the same."""
    comparison = compare([small_pond(title="existing"), small_pond(title="air")])
    days, lows = (comparison.row(f"{name}.pool") for name in ("days_failing_top", "dawn_lowest_top"))
    days, lows = replace(days, values=(3.0, 4.0), tie=0.0), replace(lows, values=(3.52, 3.48), tie=0.01)
    assert "days below the 1-day minimum, 3 mg/L, top, in pool (3 to 4)" in harm_text(
        replace(comparison, rows=(days, lows)), 1
    )
    assert harm_text(replace(comparison, rows=(lows,)), 1) == ""
