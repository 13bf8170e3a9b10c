# ruff: noqa: E501 (docstrings carry the sums by hand)
"""The construction sheet: an inch of paper is what its scales say, and every elevation stands at its height."""

from __future__ import annotations

import re

import pytest

from pondsim.cli.trench import growth_of_run
from pondsim.design.elevations import drawing_of, schedule
from pondsim.errors import ScenarioError
from pondsim.figures.paper import scale_for
from pondsim.figures.section import section_sheet
from pondsim.figures.style import write_figure
from pondsim.scenario.read import read_scenario
from tests.cli.common import DEMO, call
from tests.line_for_tests import line_scenario
from tests.results.ponds import small_pond

FT = 0.3048


@pytest.fixture(scope="module")
def sheet():
    return section_sheet(drawing_of(read_scenario(DEMO / "waterfall.toml")))


@pytest.mark.parametrize(("name", "scales"), [("profile", (10.0, 4.0)), ("plan", (150.0, 150.0))])
def test_an_inch_of_paper_is_what_the_scale_says(sheet, name, scales):
    """By the figure's own transform, at 72 points to the inch."""
    axes = sheet.axes[1 if name == "profile" else 2]
    here, there = (
        axes.transData.transform(p) / sheet.dpi for p in ((0.0, 640.0), (scales[0], 640.0 + scales[1]))
    )
    assert there - here == pytest.approx([1.0, 1.0], abs=1e-9)
    words = " ".join(text.get_text() for text in sheet.texts)
    assert f"1 in = {scales[0]:g} ft" in words and f"1 in = {scales[1]:g} ft" in words


def test_page_has_its_size(sheet, tmp_path):
    write_figure(sheet, tmp_path / "sheet.svg")
    head = (tmp_path / "sheet.svg").read_text(encoding="utf-8")[:900]
    assert 'width="1224pt" height="792pt"' in head  # 17 by 11 in at 72 points
    write_figure(sheet, tmp_path / "sheet.pdf")
    box = re.search(rb"/MediaBox \[ ?0 0 (\d+) (\d+)", (tmp_path / "sheet.pdf").read_bytes())
    assert box is not None and [int(one) for one in box.groups()] == [1224, 792]


def test_a_title_in_another_script_is_drawn_without_a_word(tmp_path):
    """Warnings are errors here: the font's missing letters are no news to a user."""
    design = tmp_path / "design.toml"
    text = (DEMO / "waterfall.toml").read_text(encoding="utf-8")
    text = text.replace('title = "waterfall"', 'title = "\u6ef1 <b> $5 & $6"')
    design.write_text(text.replace('"site.toml"', f'"{(DEMO / "site.toml").as_posix()}"'), encoding="utf-8")
    result = call("trench", design, "--drawing", tmp_path / "sheet.png")
    assert result.exit_code == 0, result.output
    assert "Glyph" not in result.output


def test_levels_are_drawn_where_they_are(sheet):
    """Normal pool, low pool and floats of the demo, as its file states them."""
    lines = {round(float(line.get_ydata()[0]), 4) for line in sheet.axes[1].lines}
    assert {640.0, 638.7, 636.6, 637.4, 638.2} <= lines


def test_schedule_of_the_demo():
    """From the file: 636.5 ft and a 12 in SDR 41 bore of 12.13 in less half gives the invert; base 10 in, stone 12 in."""
    marks = {
        f"{m.part}, {m.what}": m.elevation / FT for m in schedule(read_scenario(DEMO / "waterfall.toml"))
    }
    assert marks["gravity line, invert at the intake"] == pytest.approx(636.5 - 12.13 / 24, abs=0.005)
    assert marks["well, underside of the base"] == pytest.approx(631 - 10 / 12)
    assert marks["well, underside of the stone"] == pytest.approx(631 - 22 / 12)
    assert marks["well, lower edge of the pipe's opening"] == pytest.approx(635.4)
    assert marks["intake, floor of the sump"] == pytest.approx(634.0)
    assert list(marks.values()) == sorted(marks.values(), reverse=True)


def test_scales_of_the_trade():
    assert scale_for(70.0, 10.0, "us").words == "1 in = 8 ft"
    assert scale_for(20.0, 10.0, "si").words == "1 : 100"


def test_a_design_without_profile_or_plan_is_drawn(tmp_path):
    figure = section_sheet(drawing_of(line_scenario(tmp_path)), system="si")
    assert any("write [layout]" in axes.get_title() for axes in figure.axes)


def test_the_command(tmp_path):
    result = call("trench", DEMO / "waterfall.toml", "--growth", "1 in/yr", "--drawing", tmp_path / "a.pdf")
    assert result.exit_code == 0, result.output
    assert (tmp_path / "a.pdf").read_bytes().startswith(b"%PDF")
    for words in ("Trench walls kill", "factor against floating", "buried", "Elevations"):
        assert words in result.output


def test_growth_of_the_bed_is_taken_from_a_run(tmp_path, monkeypatch):
    """The invented results grow by 1 cm in 40 days in their first zone."""
    dataset = small_pond().assign_coords(zone=["deep pool", "cove"])
    monkeypatch.setattr("pondsim.results.load", lambda path: dataset)
    growth = growth_of_run(tmp_path / "any.nc", line_scenario(tmp_path))
    assert growth == pytest.approx(0.01 / (40 * 86400))
    other = small_pond()
    monkeypatch.setattr("pondsim.results.load", lambda path: other)
    with pytest.raises(ScenarioError, match="knows no zone deep pool"):
        growth_of_run(tmp_path / "any.nc", line_scenario(tmp_path))


def test_what_the_trench_page_finds_wanting_is_explained_there():
    """Demo: muck at 4 to 1 and 28 degrees; tan 28 x 0.45 x 4 = 0.957, and 1 at 4.18 to 1. Starts go as 1/volume."""
    text = call("trench", DEMO / "waterfall.toml").output
    assert re.search(r"drawn down fast +0.96\n +below 1 it slides: .* or dig 4.2 to 1 and flatter", text)
    band, starts, most, least = map(
        float,
        re.search(
            r"floats +(\d+) gal\n.*inflow +(\d+) an hour\n +more than (\d+) an hour .*; (\d+) gal", text
        ).groups(),
    )
    assert most == 6  # 10 min from start to start, EI 11C201
    assert least == pytest.approx(band * starts / most, rel=0.02)
    assert "counts where the line is blocked" in text and max(map(len, text.splitlines())) <= 80


@pytest.mark.parametrize(
    ("args", "message"),
    [
        ((DEMO / "existing.toml",), "has no intake with a gravity line"),
        ((DEMO / "waterfall.toml", "--drawing", "a.jpg"), "a drawing ends in .pdf, .svg or .png"),
        ((DEMO / "waterfall.toml", "--growth", "1 in"), '"1 in" is a length'),
        ((DEMO / "waterfall.toml", "--growth", "-1 in/yr"), "is too low"),
        (
            (DEMO / "waterfall.toml", "--growth", "1 in/yr", "--results", DEMO / "waterfall.toml"),
            "stands beside",
        ),
    ],
)
def test_faults_of_the_command(args, message):
    result = call("trench", *args)
    assert result.exit_code == 2
    assert message in result.output
