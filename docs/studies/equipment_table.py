"""The tables of docs/equipment.md from its own example: `python docs/studies/equipment_table.py`."""

from __future__ import annotations

import re
import shutil
import sys
from collections.abc import Callable
from pathlib import Path
from tempfile import TemporaryDirectory

from pondsim.design.circulation import limits, line_sheet
from pondsim.design.limits import Limit
from pondsim.design.line_values import AtPool
from pondsim.scenario.read import read_scenario
from pondsim.scenario.settings import Scenario
from pondsim.units import display

DOCS = Path(__file__).parents[1]
CAMPUS = DOCS.parent / "scenarios" / "campus"
PAGE = DOCS / "equipment.md"
ROWS: tuple[tuple[str, str, Callable[[AtPool], float | None]], ...] = (
    ("pond", "length", lambda pool: pool.pond_level),
    ("flow", "flow", lambda pool: pool.flow),
    ("head of the pump", "length", lambda pool: pool.head),
    ("water in the well, pump running", "length", lambda pool: pool.well_level),
    (
        "lowest in the well when the pump starts",
        "length",
        lambda pool: pool.pond_level - pool.start.fall if pool.start else None,
    ),
    ("velocity in the gravity line", "speed", lambda pool: pool.gravity_velocity),
    ("velocity in the discharge", "speed", lambda pool: pool.discharge_velocity),
    ("efficiency of the pump", "share", lambda pool: pool.efficiency),
    ("electric power", "power", lambda pool: pool.electric_power),
    ("maximum flow of the intake", "flow", lambda pool: pool.starving_flow),
)


def example() -> str:
    """The design file shown on the page."""
    found = re.search(r"<!-- design -->\n```toml\n(.*?)```", PAGE.read_text(encoding="utf-8"), re.DOTALL)
    assert found is not None
    return found[1]


def scenario_of(text: str) -> Scenario:
    """A design over the invented campus pond."""
    with TemporaryDirectory() as folder:
        for name in ("site.toml", "rain.csv"):
            shutil.copy(CAMPUS / name, folder)
        path = Path(folder) / "design.toml"
        path.write_text(text, encoding="utf-8")
        return read_scenario(path)


def levels_table(scenario: Scenario) -> str:
    """Low pool, normal pool and bank top side by side."""
    sheet = line_sheet(scenario)
    assert sheet is not None
    lines = ["| | low pool | normal pool | bank top |", "|---|---|---|---|"]
    for name, kind, value in ROWS:
        cells = [value(pool) for pool in sheet.pools]
        digits = 4 if kind == "length" and name != "head of the pump" else 3
        lines.append(
            f"| {name} | "
            + " | ".join("-" if v is None else display(v, kind, digits=digits) for v in cells)
            + " |"
        )
    return "\n".join(lines) + "\n"


def limits_table(scenario: Scenario) -> str:
    """What is judged, with its verdict."""
    lines = ["| part | what | value | limit | verdict |", "|---|---|---|---|---|"]
    for one in limits(scenario):
        if one.verdict != "reported":
            lines.append(f"| {one.part} | {one.what} | {_shown(one)} | {_wanted(one)} | {one.verdict} |")
    return "\n".join(lines) + "\n"


def _shown(one: Limit) -> str:
    return "-" if one.value is None else display(one.value, one.kind)


def _wanted(one: Limit) -> str:
    sides = [("at least", one.least), ("at most", one.most)]
    return ", ".join(f"{word} {display(value, one.kind)}" for word, value in sides if value is not None)


TABLES = {"levels": levels_table, "limits": limits_table}


def page(text: str) -> str:
    """The page with its tables made new."""
    scenario = scenario_of(example())
    for name, table in TABLES.items():
        begin, end = f"<!-- {name} -->\n", f"<!-- end {name} -->"
        before, rest = text.split(begin)
        text = before + begin + table(scenario) + end + rest.split(end, 1)[1]
    return text


if __name__ == "__main__":
    PAGE.write_text(page(PAGE.read_text(encoding="utf-8")), encoding="utf-8")
    sys.exit(0)
