"""Remarks of several runs, told once with the designs they are of."""

from __future__ import annotations

from pondsim.comparison.notes import remarks_by_design
from tests.results.ponds import small_pond


def test_remarks_name_their_designs_where_they_are_not_of_all():
    """Two storms of two designs: four runs, two titles."""
    told = ("until June 27", "until June 26", "until June 27", "until June 26")
    runs = [small_pond(remarks=f"Ice lay.\n{text}\n") for text in told]
    assert list(remarks_by_design(runs, ["old", "new", "old", "new"])) == [
        "Ice lay.",
        '"old": until June 27',
        '"new": until June 26',
    ]
    assert list(remarks_by_design(runs[:1], ["old"])) == ["Ice lay.", "until June 27"]
