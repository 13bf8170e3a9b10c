"""The page in a browser: opened from the disk, on a phone and on a desk, printed, used.

Needs Chromium and its driver; skipped where they are missing, unless PONDSIM_BROWSER is "required".
"""

from __future__ import annotations

import itertools
import json

import pytest

from tests.report.browser import DESK, PAPERS, PHONE, open_page, opened, printed_pages

pytestmark = pytest.mark.browser

MOST_PAGES = 17  # of the appendix of two runs of the small pond
FIGURES = 10  # drawn on the page of the small pond with one design


@pytest.fixture(scope="module")
def browser(tmp_path_factory):
    found = opened(tmp_path_factory.mktemp("profile"))
    yield found
    found.quit()


@pytest.fixture(scope="module")
def address(made, tmp_path_factory):
    path = tmp_path_factory.mktemp("page") / "report.html"
    path.write_text(made.html, encoding="utf-8")
    return path.as_uri()


def requests(browser, address):
    """What the page asked for since the last look, but for what is written in it."""
    messages = [json.loads(entry["message"])["message"] for entry in browser.get_log("performance")]
    sent = [m["params"] for m in messages if m["method"] == "Network.requestWillBeSent"]
    asked = [one["request"]["url"] for one in sent if one["documentURL"] == address]
    return [url for url in asked if not url.startswith("data:")]


@pytest.mark.parametrize("width", [PHONE, DESK])
def test_page_opens_without_errors_requests_or_overflow(browser, address, width):
    requests(browser, address)
    open_page(browser, address, width)
    assert [entry for entry in browser.get_log("browser") if entry["level"] != "INFO"] == []
    assert requests(browser, address) == [address]
    wide, window = browser.execute_script("return [document.documentElement.scrollWidth, window.innerWidth]")
    assert wide <= window
    assert window == width
    script = """
        document.querySelectorAll('details').forEach((one) => { one.open = true; });
        return [...document.querySelectorAll('figure')].map((figure) => {
            const shown = [...figure.querySelectorAll('svg')].filter((svg) => svg.getClientRects().length);
            const box = shown.length ? shown[0].getBoundingClientRect() : {width: 0, height: 0};
            const title = shown[0]?.querySelector('title')?.textContent;
            return [figure.id, shown.length, box.width, box.height, title];
        });"""
    figures = browser.execute_script(script)
    assert len(figures) >= FIGURES
    for name, count, across, down, title in figures:
        assert count == 1 and across > 300 and down > 100, name
        assert across <= window, name  # nothing slides sideways
        assert title and title.strip(), name


def test_headings_are_in_order(browser, address):
    open_page(browser, address, DESK)
    levels = browser.execute_script(
        "return [...document.querySelectorAll('h1, h2, h3, h4')].map((one) => Number(one.tagName[1]))"
    )
    assert levels[0] == 1 and levels.count(1) == 1
    assert all(after - before <= 1 for before, after in itertools.pairwise(levels))


def test_units_switch_changes_every_number_that_has_two(browser, address):
    open_page(browser, address, DESK)
    shown = "return document.querySelector('[data-key=\"outlet_peak#0\"] .value').innerText.trim()"
    before = browser.execute_script(shown)
    button = browser.find_element("css selector", '[data-units="si"]')
    assert button.is_displayed()
    button.click()
    assert button.get_attribute("aria-pressed") == "true"
    after = browser.execute_script(shown)
    assert float(after) == pytest.approx(float(before) * 28.3168, rel=0.02)  # cfs to L/s, both rounded
    hidden = """return [...document.querySelectorAll('.us')]
        .filter((one) => one.getClientRects().length).length"""
    assert browser.execute_script(hidden) == 0
    browser.find_element("css selector", '[data-units="us"]').click()
    assert browser.execute_script(shown) == before


def test_sorting_by_a_head_moves_rows_within_their_block(browser, address):
    open_page(browser, address, DESK)
    button = browser.find_element("css selector", "#table-hours_below thead th:nth-child(2) button")
    read = """return [...document.querySelectorAll('#table-hours_below tbody')].map((part) =>
        [...part.querySelectorAll('tr:not(.group):not(.last) td:nth-child(2)')]
            .map((cell) => Number(cell.dataset.order)))"""
    original = browser.execute_script(read)
    heads = browser.find_elements("css selector", "#table-hours_below thead th")
    for direction, sign in (("ascending", 1), ("descending", -1)):
        browser.execute_script("arguments[0].scrollIntoView({block: 'center'})", button)
        button.click()
        assert heads[1].get_attribute("aria-sort") == direction
        for block, was in zip(browser.execute_script(read), original, strict=True):
            assert block == sorted(was, key=lambda value: sign * value)
    assert len(original) > 1 and any(len(set(block)) > 1 for block in original)
    last = """return [...document.querySelectorAll('#table-hours_below tbody .last')]
        .every((row) => row.nextElementSibling === null)"""
    assert browser.execute_script(last)


def test_pointer_reads_the_values_of_the_lines(browser, address, runs):
    open_page(browser, address, DESK)
    moved = """
        const figure = document.querySelector('#figure-dawn');
        const drawing = figure.querySelector('.drawing');
        const svg = drawing.querySelector('svg').getBoundingClientRect();
        const panel = JSON.parse(figure.querySelector('.readings').textContent).us.panels[0];
        const x = svg.left + svg.width * (panel.box[0] + panel.box[2]) / 2;
        const y = svg.top + svg.height * (panel.box[1] + panel.box[3]) / 2;
        drawing.dispatchEvent(new PointerEvent('pointermove', {clientX: x, clientY: y, bubbles: true}));
        return figure.querySelector('.reading').textContent;"""
    said = browser.execute_script(moved)
    assert said.startswith("2025-07-0")
    assert "as it is" in said and "Waterfall and night air (invented)" in said
    values = [float(word.rstrip(",")) for word in said.split() if word.rstrip(",").replace(".", "").isdigit()]
    most = max(float(run["dissolved_oxygen"].max()) for run in runs)
    assert values and all(0.0 <= value <= most + 0.1 for value in values[-2:])


def test_without_scripts_the_page_shows_us_units_and_every_fold(browser, address):
    browser.execute_cdp_cmd("Emulation.setScriptExecutionDisabled", {"value": True})
    try:
        open_page(browser, address, DESK)
        summary = browser.find_element("css selector", "details")
        assert summary.get_attribute("open") is not None
        assert not browser.find_element("css selector", ".switch").is_displayed()
        assert browser.find_element("css selector", ".us").is_displayed()
    finally:
        browser.execute_cdp_cmd("Emulation.setScriptExecutionDisabled", {"value": False})


def test_page_prints_with_every_fold_open_and_nothing_cut(browser, address):
    open_page(browser, address, DESK)
    counts = [printed_pages(browser, paper) for paper in PAPERS]
    assert min(counts) > 5 and max(counts) <= MOST_PAGES, counts
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "print"})
    paper = {"width": 720, "height": 1000, "deviceScaleFactor": 1, "mobile": False}  # letter less its margins
    browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", paper)
    try:
        cut = browser.execute_script(
            """document.querySelectorAll('details').forEach((one) => { one.open = true; });
            return [...document.querySelectorAll('table, svg, pre')]
                .filter((one) => one.getBoundingClientRect().right > window.innerWidth + 1)
                .map((one) => one.id)"""
        )
        assert cut == []
        assert not browser.find_element("css selector", "nav").is_displayed()
    finally:
        browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": ""})
