"""Pictures of many runs: room for every headline, and no more runs beside each other than can be named."""

import pytest

from pondsim.figures.ages import ages
from pondsim.figures.bed import bed_growth
from pondsim.figures.budget import oxygen_budget
from pondsim.figures.comparison import comparison_figure
from pondsim.figures.dawn import dawn_by_zone
from pondsim.figures.power import electricity
from pondsim.figures.water import level_and_outflow
from tests.results.ponds import small_pond, with_old_water

NOT_DRAWN = "Not drawn for want of room: the last 22 of 31 runs."


@pytest.fixture(scope="module")
def ponds():
    return [
        with_old_water(small_pond(5.0 - 0.1 * k, days=16, title=f"design {k} of a long name", pumped=0.01))
        for k in range(31)
    ]


@pytest.mark.parametrize("draw", [dawn_by_zone, level_and_outflow, comparison_figure])
def test_of_many_runs_those_that_have_room_are_drawn_and_the_others_told(ponds, draw):
    """Warnings of a picture that has no room fail here, as any warning does."""
    figure = draw(ponds)
    figure.draw_without_rendering()
    assert NOT_DRAWN in " ".join(figure.get_supxlabel().split())
    assert "Not drawn" not in draw(ponds[:9]).get_supxlabel()


@pytest.mark.parametrize("draw", [ages, bed_growth, oxygen_budget, electricity])
@pytest.mark.parametrize("count", [6, 31])
def test_a_long_headline_leaves_the_panels_their_room(ponds, draw, count):
    figure = draw(ponds[:count])
    figure.draw_without_rendering()
    heights = [axes.get_window_extent().height / figure.dpi for axes in figure.axes]
    assert max(heights) > 0.8  # in
