"""Chromium for tests of pages: windows of a phone and a desk, pages of paper."""

from __future__ import annotations

import base64
import os
import re
import shutil

import pytest

PHONE, DESK = 390, 1280  # px
PAPERS = {"letter": (8.5, 11.0), "A4": (8.27, 11.69)}  # in
FLAGS = (
    *("--headless=new", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run"),
    *("--disable-background-networking", "--disable-component-update", "--disable-sync"),
)


def opened(profile):
    """A browser; the test is skipped where there is none, unless PONDSIM_BROWSER is "required"."""
    program = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
    driver = shutil.which("chromedriver")
    if not program or not driver:
        words = "no Chromium with its driver is installed"
        if os.environ.get("PONDSIM_BROWSER") == "required":
            pytest.fail(words)
        pytest.skip(words)
    from selenium import webdriver  # noqa: PLC0415
    from selenium.webdriver.chrome.service import Service  # noqa: PLC0415

    options = webdriver.ChromeOptions()
    options.binary_location = program
    for flag in (*FLAGS, f"--user-data-dir={profile}"):
        options.add_argument(flag)
    options.set_capability("goog:loggingPrefs", {"browser": "ALL", "performance": "ALL"})
    return webdriver.Chrome(options=options, service=Service(driver))


def open_page(browser, address, width):
    """Open the page in a window of that width."""
    size = {"width": width, "height": 900, "deviceScaleFactor": 1, "mobile": width < 500}
    browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", size)
    browser.get(address)


def printed_pages(browser, paper):
    """How many pages the open page prints on that paper."""
    wide, tall = PAPERS[paper]
    options = {"paperWidth": wide, "paperHeight": tall, "printBackground": False}
    pdf = base64.b64decode(browser.execute_cdp_cmd("Page.printToPDF", options)["data"])
    assert pdf.startswith(b"%PDF")
    return len(re.findall(rb"/Type /Page\b", pdf))
