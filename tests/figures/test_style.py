"""Colors that hold in grey, lines that keep their extremes, pictures that stand in one page."""

import re
from itertools import combinations, pairwise
from xml.etree import ElementTree

import numpy as np
import pytest
from matplotlib.colors import to_rgb

from pondsim.figures import FUNCTIONS, function, scales, style
from pondsim.figures.thin import thin
from tests.results.ponds import small_pond


def luminance(colour):
    """Relative luminance as WCAG 2 writes it."""
    parts = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in to_rgb(colour)]
    return 0.2126 * parts[0] + 0.7152 * parts[1] + 0.0722 * parts[2]


def lightness(colour):
    """CIE L*, 0 to 100: even steps look even in a grey print."""
    y = luminance(colour)
    return 116.0 * y ** (1 / 3) - 16.0 if y > (6 / 29) ** 3 else 903.3 * y


def test_luminance_of_known_colours():
    assert scales.luminance("#ffffff") == pytest.approx(1.0)
    assert scales.luminance("#ff0000") == pytest.approx(0.2126, abs=1e-4)  # WCAG 2, weight of red
    assert scales.luminance("#777777") == pytest.approx(luminance("#777777"))


def test_oxygen_is_dark_where_low_and_every_step_shows_in_grey():
    light = [lightness(colour) for colour in scales.OXYGEN_COLOURS]
    assert np.all(np.diff(light) > 4.0)
    colours, levels = scales.oxygen_scale()
    assert set(scales.OXYGEN_MARKS) <= set(levels.boundaries)
    steps = [
        light[scales.OXYGEN_LEVELS.index(m)] - light[scales.OXYGEN_LEVELS.index(m) - 1] for m in (2, 3, 5)
    ]
    assert min(steps) > 10.0
    assert colours(levels(2.9)) == pytest.approx((*to_rgb(scales.OXYGEN_COLOURS[2]), 1.0))
    assert colours(levels(14.0)) == pytest.approx((*to_rgb(scales.OXYGEN_COLOURS[-1]), 1.0))


def test_other_scales_get_darker_all_the_way():
    light = [lightness(colour) for colour in scales.LOW_TO_HIGH]
    assert np.all(np.diff(light) < -8.0)


def test_lines_in_one_panel_are_apart_in_grey():
    stations = [lightness(ink) for ink in style.STATIONS.values()]
    assert min(abs(a - b) for a, b in combinations(stations, 2)) > 15.0
    for design in range(1, 7):  # each design stands alone before the existing pond in a panel of dawns
        assert lightness(style.BEHIND) - lightness(style.ink(design)) > 20.0
    neighbours = [lightness(style.colour(design)) for design in range(1, 7)]
    assert min(abs(a - b) for a, b in pairwise(neighbours)) > 10.0


@pytest.mark.parametrize("design", range(8))
def test_names_of_designs_can_be_read_on_white(design):
    """Contrast of 4.5 to 1, WCAG 2 level AA."""
    assert 1.05 / (luminance(style.ink(design)) + 0.05) >= 4.5


@pytest.mark.parametrize(("low", "high"), [(62.5, 91.4), (0.0, 3.47), (7.0, 7.0), (-3.0, 1200.0)])
def test_levels_are_round_and_enclose(low, high):
    levels = scales.round_levels(np.array([low, high, np.nan, np.inf]))
    assert levels[0] <= low
    assert levels[-1] >= high
    if high > low:
        assert low < levels[1]
        assert high > levels[-2]
    assert 3 <= len(levels) <= 12
    step = levels[1] - levels[0]
    assert f"{step:.1e}"[:3] in ("1.0", "2.0", "2.5", "5.0")
    assert levels / step == pytest.approx(np.round(levels / step))


def test_thinning_keeps_ends_extremes_and_gaps():
    times = np.arange(20_000)
    values = np.sin(times / 50.0)
    values[7_777], values[7_778] = 9.0, -9.0
    values[3_000:6_000] = np.nan
    kept_times, kept = thin(times, values, 300)
    assert len(kept) <= 602
    assert np.nanmax(kept) == 9.0
    assert np.nanmin(kept) == -9.0
    assert kept_times[0] == 0
    assert kept_times[-1] == 19_999
    assert np.all(np.diff(kept_times) > 0)
    assert np.isnan(kept[(kept_times > 3_100) & (kept_times < 5_900)]).all()
    assert np.array_equal(values[kept_times], kept, equal_nan=True)
    assert thin(times[:500], values[:500], 300)[1] is not kept
    assert len(thin(times[:500], values[:500], 300)[1]) == 500


def test_a_figure_as_text_of_a_page():
    pond = small_pond(5.0, title="A & B <pond>")
    one, other = (style.svg_text(function(name)([pond])) for name in ("water", "bed"))
    for text in (one, other):
        root = ElementTree.fromstring(text)  # well-formed
        assert root.tag.endswith("svg")
        assert root.get("role") == "img"
        title = root[0]
        assert title.tag.endswith("title")
        assert root.get("aria-labelledby") == title.get("id")
        assert "<?xml" not in text
        assert "<!DOCTYPE" not in text
        assert "<metadata" not in text
        assert "<style" not in text
        ids = re.findall(r'\bid="([^"]+)"', text)
        assert len(ids) == len(set(ids))
        wanted = set(re.findall(r'(?:href="#|url\(#)([^")]+)', text))
        assert wanted <= set(ids)
        assert not re.findall(r'(?:href|src)="(?!#)', text)
    assert not set(re.findall(r'\bid="([^"]+)"', one)) & set(re.findall(r'\bid="([^"]+)"', other))
    assert "The water surface moves over" in ElementTree.fromstring(one)[0].text
    named = style.svg_text(function("water")([pond]), "p1", "words & more")
    assert ElementTree.fromstring(named)[0].text == "words & more"
    assert 'id="p1-title"' in named


def test_a_letter_that_the_font_lacks_is_no_warning(tmp_path):
    """A duck in a title: it stays in the text of a page, and nobody is warned (warnings are errors here)."""
    figure = function("water")([small_pond(5.0, title="duck \N{DUCK} pond"), small_pond(4.0, title="b")])
    assert "\N{DUCK}" in style.svg_text(figure)
    style.write_figure(figure, tmp_path / "duck.png")


def test_the_same_figure_gives_the_same_bytes(tmp_path):
    pond = small_pond(5.0)
    draw = function("water")
    assert style.svg_text(draw([pond])) == style.svg_text(draw([pond]))
    for ending in ("svg", "png", "pdf"):
        files = [tmp_path / f"{number}.{ending}" for number in (1, 2)]
        for file in files:
            style.write_figure(draw([pond]), file)
        assert files[0].read_bytes() == files[1].read_bytes(), ending


def test_a_season_of_four_designs_stays_small():
    """Hourly noise over 138 days, rougher than any pond: all pictures of a page together under 3 MB."""
    noise = np.random.default_rng(1).uniform(0.0, 9.0, (24 * 138 + 1, 2, 3))
    ponds = [
        small_pond(noise, noise + 15.0, days=138, title=f"design {n}", pumped=0.01 * n) for n in range(4)
    ]
    sizes = {}
    for name in FUNCTIONS:
        if name == "ice":  # of ponds that freeze
            continue
        if name == "plan":
            figure = function(name)(ponds[1])
        elif name in ("lines", "depth"):
            figure = function(name)(ponds, "pool", "dissolved_oxygen")
        else:
            figure = function(name)(ponds)
        sizes[name] = len(style.svg_text(figure))
    assert sum(sizes.values()) < 3e6, sizes


def test_a_number_stays_in_one_line_with_its_unit():
    figure = style.new_figure(2.0)
    style.headline(figure, "x" * 95 + " of some 7.5 mg/L and more", "")
    assert "7.5 mg/L" in figure.get_suptitle()
    assert all(len(line) <= style.HEADLINE_LETTERS for line in figure.get_suptitle().splitlines())


def test_names_at_line_ends_stay_apart_and_inside():
    figure = style.new_figure(4.0)
    axes = figure.subplots()
    axes.set_ylim(0.0, 10.0)
    names = ["existing", "a very long title that needs several lines beside the panel", "air", "loop"]
    style.name_ends(axes, [9.9, 9.9, 0.0, 0.1], names, ["k"] * 4)
    figure.draw_without_rendering()
    boxes = sorted((text.get_window_extent() for text in axes.texts), key=lambda box: box.y0)
    assert all(above.y0 > below.y1 - 1.0 for below, above in pairwise(boxes))
    assert boxes[-1].y1 < axes.get_window_extent().y1 + 3.0


def test_money_is_no_mathematics():
    """Two dollar signs in one text would else turn what is between them into a formula."""
    figure = style.new_figure(2.0)
    axes = figure.subplots()
    style.dress(axes, "A uses $1190 and B $1480", "$")
    assert "A uses $1190 and B $1480" in style.svg_text(figure)
