"""The comparison figure: what is drawn and named, not its pixels."""

from itertools import pairwise

import numpy as np
import pytest

from pondsim.errors import ScenarioError
from pondsim.figures import style
from pondsim.figures.comparison import comparison_figure
from tests.results.ponds import small_pond


def ponds():
    low, high = np.array([[[6.0], [2.0]]]), np.array([[[6.0], [4.5]]])
    return [small_pond(low, title="existing"), small_pond(high, title="loop", pumped=0.02)]


def words_of(axes):
    return [text.get_text() for text in axes.texts]


def test_dawn_lines_are_named_and_the_existing_pond_is_grey():
    dawn, hours, budget = comparison_figure(ponds()).axes
    first, second = dawn.lines[0], dawn.lines[1]
    assert first.get_color() == style.EXISTING
    assert np.allclose(first.get_ydata(), 2.0)
    assert np.allclose(second.get_ydata(), 4.5)
    assert {"existing", "loop"} <= set(words_of(dawn))
    assert dawn.get_title(loc="left").endswith('"existing" 40, "loop" 0')
    assert dawn.get_ylabel() == "mg/L"
    assert [label.get_text() for label in hours.get_xticklabels()] == ["pool", "arm"]
    assert budget.get_ylabel() == "lb/d"


def test_bars_hold_the_numbers():
    figure = comparison_figure(ponds(), system="si")
    _, hours, budget = figure.axes
    heights = [bar.get_height() for bar in hours.patches]
    assert max(heights) == pytest.approx(960.0)
    rates = [bar.get_height() for bar in budget.patches]
    assert min(rates) == pytest.approx(-10.0)
    assert budget.get_ylabel() == "kg/d"


def test_one_zone_one_day_and_less_are_drawn():
    comparison_figure([small_pond(days=1), small_pond(days=1)])
    part = small_pond(days=1).isel(time=slice(0, 5), zone=[0])
    figure = comparison_figure([part, part])
    assert "shorter than one day" in words_of(figure.axes[0])[0]


def test_labels_are_moved_apart_in_their_order():
    moved = style.spread([1.0, 1.1, 5.0], 0.5)
    assert np.all(np.diff(moved) >= 0.5 - 1e-12)
    assert style.spread([], 1.0) == []


def test_a_picture_is_written_whole_or_not_at_all(tmp_path):
    figure = comparison_figure(ponds())
    for ending in ("png", "svg", "pdf"):
        style.write_figure(figure, tmp_path / f"a.{ending}")
        assert (tmp_path / f"a.{ending}").stat().st_size > 1000
    with pytest.raises(ScenarioError, match="could not be written"):
        style.write_figure(figure, tmp_path / "none" / "a.png")
    assert len(list(tmp_path.iterdir())) == 3


def test_designs_are_apart_in_grey():
    """Lightness of neighbouring designs differs by a tenth at least, for a grey print."""

    def lightness(colour):
        red, green, blue = (int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5))
        return 0.2126 * red + 0.7152 * green + 0.0722 * blue

    grey = [lightness(style.colour(design)) for design in range(1, 7)]
    assert min(abs(a - b) for a, b in pairwise(grey)) > 0.1
