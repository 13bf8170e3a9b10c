"""A dredged design beside the existing pond: no negative growth, no harm from a bottom elsewhere."""

import numpy as np
import pytest

from pondsim.comparison import compare
from pondsim.comparison.cells import cells, differences
from pondsim.comparison.findings import findings
from pondsim.comparison.head import head
from pondsim.measures import bed_growth
from tests.results.ponds import givens, small_pond

DEPTH = 0.6  # m
DUG = slice(240, 360)  # hours of the work
ARM = 1


def dredged(pond):
    """The bed of the arm dug by 0.6 m over five days; what settled goes on before and after."""
    done = np.clip((np.arange(pond.sizes["time"]) - DUG.start) / (DUG.stop - DUG.start), 0.0, 1.0)
    pond["layer_bottom_elevation"].values[:, ARM, 1] -= DEPTH * done
    pond["bed_thickness"].values[:, ARM] -= DEPTH * done
    return pond


def poor_bottom(mg):
    """Oxygen by (zone, layer): the lowest layer of the arm is its second."""
    return np.array([[[6.0, 6.0, 6.0], [6.0, mg, 6.0]]])


@pytest.fixture
def ponds():
    return [
        small_pond(poor_bottom(6.0), title="existing"),
        dredged(small_pond(poor_bottom(1.0), title="dug")),
    ]


def test_bed_growth_counts_what_settles(ponds):
    """2 mm settle on the arm in 40 days; those of the five days of work go with the muck."""
    assert bed_growth(ponds[0])[ARM] == pytest.approx(0.002)
    assert bed_growth(ponds[1])[ARM] == pytest.approx(0.002 * 35 / 40)


def test_a_bottom_that_lies_deeper_is_no_harm(ponds):
    """All 960 hours of the arm's bottom are below 3 mg/L after it, none before: another place, not a loss."""
    comparison = compare(ponds, allow_differences=True)
    assert comparison.value("hours_below_3_bottom.arm", 1) == pytest.approx(960.0)
    assert "Largest change for the worse" not in " ".join(findings(comparison))
    note = next(note for note in comparison.notes if "the bed lies elsewhere" in note)
    assert "in arm 2.0 ft (0.60 m) lower" in note
    same = compare([ponds[0], small_pond(poor_bottom(1.0), title="worse")])
    assert "Largest change for the worse" in " ".join(findings(same))
    assert not any("the bed lies elsewhere" in note for note in same.notes)


def test_the_head_dates_a_dredging_as_other_events(ponds):
    dug = ponds[1].assign_attrs(givens=givens(events={"dredging.1.date": ["2025-06-11 00:00", ""]}))
    assert any("dredging from 2025-06-11 00:00" in text for text in head(compare([ponds[0], dug]), "us"))


def test_a_bottom_elsewhere_is_shown_and_held_against_nothing(ponds):
    """Bottom and half depth of the arm, 0.6 m and 0.3 m lower: a value alone, no difference, tie or star.

    The pool's bed lies where it was, so the pool's rows are compared as ever.
    """
    better = [small_pond(poor_bottom(1.0), title="existing"), dredged(small_pond(6.0, title="dug"))]
    comparison = compare(better, allow_differences=True)
    for key in ("hours_below_3_bottom.arm", "minimum_1_day_bottom.arm", "longest_below_3_mid.arm"):
        row = comparison.row(key)
        assert row.values[1] is not None and row.elsewhere == (False, True)
        assert not any(row.best) and not row.ties[1] and differences(row, "si")[1] is None
        assert (cells(row, "us")[1].mark, cells(row, "us")[1].change) in (("", ""), ("!", ""))
    assert comparison.row("hours_below_3_bottom.pool").elsewhere == (False, False)
    assert comparison.row("hours_below_3_bottom.pool").ties[1]
    assert comparison.row("dawn_lowest_top.arm").elsewhere == (False, False)
    alike = small_pond(6.0, title="air")
    third = compare([*better, alike], allow_differences=True).row("hours_below_3_bottom.arm")
    assert third.best == (False, False, True)  # of those whose bed is the existing pond's
