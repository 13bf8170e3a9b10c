"""A circulation line for tests, invented, over the minimal site of scenarios_for_tests."""

from __future__ import annotations

from pathlib import Path

from pondsim.scenario.read import read_scenario
from pondsim.scenario.settings import Scenario
from tests.scenarios_for_tests import write_design

PARTS = {
    "intake": """
zone = "deep pool"
elevation = "5 ft"
grate_area = "8 ft2"
entrance = "projecting"
""",
    "gravity_line": """
nominal = "12 in"
pipe = "pvc_40"
length = "80 ft"
fittings = ["2 45 degree elbow", "gate valve"]
""",
    "wet_well": """
diameter = "6 ft"
bottom = "1 ft"
pump_off = "7 ft"
alarm = "7.5 ft"
""",
    "pump": """
curve_flow = ["0 gpm", "200 gpm", "400 gpm", "600 gpm", "800 gpm"]
curve_head = ["28 ft", "26 ft", "22.5 ft", "17 ft", "9 ft"]
curve_efficiency = ["0 %", "45 %", "65 %", "66 %", "48 %"]
""",
    "discharge": """
nominal = "6 in"
pipe = "pvc_40"
length = "150 ft"
fittings = ["4 long radius elbow", "swing check valve"]
""",
    "waterfall": """
zone = "cove"
drop = "5 ft"
width = "5 ft"
""",
}


def line_text(also: dict[str, str] | None = None, **parts: str | None) -> str:
    """The design; a part given replaces the whole of that section, None leaves it out, `also` adds keys."""
    chosen = {**PARTS, **parts}
    added = also or {}
    sections = [
        f"[{name}]\n{body.strip()}\n{added.get(name, '').strip()}\n"
        for name, body in chosen.items()
        if body is not None
    ]
    return "\n".join(['site = "site.toml"', 'title = "A line (invented)"', *sections])


def line_scenario(folder: Path, also: dict[str, str] | None = None, **parts: str | None) -> Scenario:
    """The scenario of `line_text`."""
    return read_scenario(write_design(folder, line_text(also, **parts)))
