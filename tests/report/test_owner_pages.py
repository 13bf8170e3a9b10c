"""The owner's page and the board's as files: written by commands, with sums, on one sheet each."""

from __future__ import annotations

import json

import pytest

from pondsim.records import Record, to_json
from pondsim.reporting.board import BoardEntry, board
from pondsim.reporting.costs import costs_part
from pondsim.reporting.study import study_of
from pondsim.reporting.summary import summary
from tests.cli.common import call
from tests.report.browser import DESK, PAPERS, PHONE, open_page, opened, printed_pages
from tests.report.owner import EQUIPMENT, SHEET, SUMS, ponds
from tests.report.page_reader import Page
from tests.results.ponds import givens, small_pond, with_old_water

LINES_OF_WHOLE = """return [...document.querySelectorAll("td.whole")].map(cell => {
    const range = document.createRange();
    range.selectNodeContents(cell);
    return range.getClientRects().length})"""
UNITS = 12  # aeration units of the fullest page


@pytest.mark.parametrize(
    ("known", "told"),
    [
        (
            {"electricity": True, "electricity_days": 138.0},
            "These sums count the electricity of 138 days of a year; equipment that runs all year uses more.",
        ),
        ({"electricity": True, "electricity_days": 365.0}, "These sums count the electricity of a year."),
        ({"electricity": True, "electricity_days": None}, "count electricity as stated for a year."),
        ({"electricity": True}, "of how many days of a year is not known"),  # sums of an earlier version
        ({"electricity": False}, "LEFT OUT of these sums: electricity."),
        ({}, "Whether these sums count electricity is not known"),  # sums of an earlier version
    ],
)
def test_summary_and_board_say_whether_the_sums_hold_electricity(known, told):
    existing, loop = ponds()
    sums = SUMS | known
    for page in (summary([existing, loop], sums=[sums]), board([BoardEntry("", existing, loop, sums)])):
        assert told in " ".join(Page(page).text.split())


def test_sums_of_a_title_that_both_ponds_have_are_those_of_the_design():
    existing, loop = ponds()
    page = Page(summary([existing.assign_attrs(title="loop"), loop], sums=[SUMS])).text
    assert "loop (2)" in page and "$41,200" in page and "not priced here" not in page
    twice = study_of([existing.assign_attrs(title="loop"), loop], "us")
    table = costs_part(twice, [SUMS]).blocks[0]
    assert [cell.text.us for cell in table.groups[0].rows[0].cells] == ["-", "41,200"]


def test_the_board_ranks_by_days_avoided_for_a_dollar():
    """The loop avoids the same days in both ponds; at half the cost it gains twice as much."""
    existing, loop = small_pond(1.0, title="existing"), small_pond(8.0, title="loop", pumped=0.02)
    cheap = SUMS | {"equal_yearly": SUMS["equal_yearly"] / 2.0}
    entries = [
        BoardEntry("dear", existing, loop, SUMS),
        BoardEntry("unpriced", existing, loop, None),
        BoardEntry("cheap", existing, loop, cheap),
    ]
    page = board(entries)
    places = [page.index(f"<td>{name}</td>") for name in ("cheap", "dear", "unpriced")]
    assert places == sorted(places)
    text = " ".join(Page(page).text.split())
    assert (
        "Not priced, so not ranked: unpriced." in text
        and "cheap, \u201cloop\u201d: 40 days fewer below the 1-day minimum in 40 days for $3,818 a year."
        in text
    )
    assert "3 ponds, each simulated for its own period." in text
    one = " ".join(Page(board([BoardEntry("only", loop, loop.assign_attrs(title="b"), SUMS)])).text.split())
    assert "1 pond, each simulated for its own period." in one
    assert "onlyb008.0 to 8.0" in one  # cells run together; no zone is named for days that are none


def test_commands_write_the_pages_and_refuse_in_words(files, tmp_path):
    page = tmp_path / "summary.html"
    result = call("summary", *files, "-o", page)
    assert result.exit_code == 0, result.output
    assert "To be built" in page.read_text(encoding="utf-8")
    same = call("summary", files[1], files[1], "-o", tmp_path / "x.html")
    assert same.exit_code == 0, same.output
    assert "(2)" in (tmp_path / "x.html").read_text(encoding="utf-8")  # as compare has it
    listed = tmp_path / "ponds.toml"
    listed.write_text(f'[[pond]]\nexisting = "{files[0]}"\ndesign = "{files[1]}"\n', encoding="utf-8")
    result = call("board", listed, "-o", tmp_path / "board.html")
    assert result.exit_code == 0, result.output
    listed.write_text('[[pond]]\nexisting = "no.nc"\n', encoding="utf-8")
    wrong = call("board", listed, "-o", tmp_path / "board.html")
    assert wrong.exit_code == 2 and "ponds.toml:2" in wrong.output and "file not found" in wrong.output


def fullest():
    """A page with all that can stand on it: many units and failed limits, costs, alternatives."""
    equipment = dict(EQUIPMENT)
    for number in range(UNITS):
        start = f"aeration.unit_with_a_long_name_{number}"
        equipment |= {f"{start}.zone": ["pool", ""], f"{start}.diffusers": [4, "1"]}
        equipment |= {f"{start}.kind": ["fine", ""], f"{start}.source": ["compressor", ""]}
    limit = SHEET["limits"][1] | {"what": "water over the top of the pipe against vortices at low pool"}
    sheet = SHEET | {"limits": [limit | {"part": f"part {k}", "verdict": "fail"} for k in range(20)]}
    existing, loop = ponds(givens=givens(equipment=equipment), design_sheet=json.dumps(sheet))
    start = {"numbers": {"days": (20.0, "d"), "searched": (1e7, "s")}, "times": {"until": "2025-06-21T00:00"}}
    loop = with_old_water(loop).assign_attrs(remarks=to_json([Record("start_shows", "note", **start)]))
    others = [loop.assign_attrs(title=f"another alternative {k}") for k in range(2)]
    sums = SUMS | {"not_priced": [f"an item with a long name {k}" for k in range(30)]}
    return summary([existing, loop, *others], sums=[sums])


@pytest.fixture(scope="module")
def browser(tmp_path_factory):
    found = opened(tmp_path_factory.mktemp("profile"))
    yield found
    found.quit()


@pytest.mark.browser
@pytest.mark.parametrize("make", [lambda: summary(ponds(), sums=[SUMS]), fullest], ids=["plain", "fullest"])
def test_the_summary_prints_on_one_sheet_and_fits_a_phone(browser, tmp_path, make):
    path = tmp_path / "summary.html"
    path.write_text(make(), encoding="utf-8")
    for width in (PHONE, DESK):
        open_page(browser, path.as_uri(), width)
        wide = browser.execute_script("return document.documentElement.scrollWidth")
        assert wide <= width
        if width == DESK:  # "0 all zones" is one line
            assert all(count == 1 for count in browser.execute_script(LINES_OF_WHOLE))
    assert {paper: printed_pages(browser, paper) for paper in PAPERS} == {"letter": 1, "A4": 1}
