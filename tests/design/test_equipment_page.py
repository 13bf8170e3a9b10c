"""The example of docs/equipment.md reads; its tables and numbers are what the program says."""

from __future__ import annotations

import importlib.util
from pathlib import Path

import pytest

from pondsim.design.circulation import limits, line_sheet
from pondsim.scenario.keys import keys_of
from pondsim.scenario.settings import Discharge, GravityLine, Intake, WetWell
from pondsim.units import display
from tests.cli.common import DEMO, call

DOCS = Path(__file__).parents[2] / "docs"


@pytest.fixture(scope="module")
def page():
    path = DOCS / "studies" / "equipment_table.py"
    spec = importlib.util.spec_from_file_location("equipment_table", path)
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_tables_are_what_the_program_says(page):
    text = page.PAGE.read_text(encoding="utf-8")
    assert text == page.page(text), "run python docs/studies/equipment_table.py"


def test_example_passes_everything_it_is_held_against(page):
    assert {one.verdict for one in limits(page.scenario_of(page.example()))} <= {"pass", "reported"}


def test_what_the_page_says_of_speed_and_of_two_pumps(page):
    example, text = page.example(), page.PAGE.read_text(encoding="utf-8")

    def normal(also):
        return line_sheet(page.scenario_of(example.replace("[pump]", f"[pump]\n{also}"))).normal

    full, slow, two = normal(""), normal("speed = 0.8"), normal("count = 2")
    share = slow.flow / full.flow
    words = (
        f"80 % of the speed gives {100 * share:.0f} % of the flow for "
        f"{100 * slow.electric_power / full.electric_power:.0f} % of the power, where the cube of the\nflow "
        f"would promise {100 * share**3:.0f} %"
    )
    assert words in text
    assert f"give {display(two.flow, 'flow')}, not twice {full.flow / 6.30901964e-5:.0f}" in text


def test_every_key_of_the_line_is_in_the_example_or_named_on_the_page(page):
    text = page.PAGE.read_text(encoding="utf-8")
    for section in (Intake, GravityLine, WetWell, Discharge):
        for key in keys_of(section):
            assert key in text, (section.__name__, key)


def test_the_sheet_shown_is_that_of_the_demo():
    """Every line of the block but the dots; written by docs/studies/hardware.py."""
    text = (DOCS / "equipment.md").read_text(encoding="utf-8")
    block = text.split("<!-- sheet -->")[1].split("<!-- end sheet -->")[0]
    shown = [line for line in block.strip().splitlines()[1:-1] if line and line != "..."]
    printed = call("check", DEMO / "waterfall.toml").output.splitlines()
    assert len(shown) > 30
    assert [line for line in shown if line not in printed] == [], "run python docs/studies/hardware.py"


def test_the_picture_is_small():
    assert (DOCS / "figures" / "hardware.png").stat().st_size < 120_000
