"""The demo's loop in profile with its pump, and a part of its sheet: picture and block of docs/equipment.md."""

from __future__ import annotations

from click.testing import CliRunner
from common import CAMPUS, demo, fill, save

from pondsim.cli import main as pondsim
from pondsim.design.circulation import line_sheet
from pondsim.design.cut import cut_of
from pondsim.figures.hardware import hardware_figure

DESIGN = "waterfall"
SHOWN = ("Circulation", "The line at each level", "Design limits")
LIMITS_SHOWN = 14  # lines of the limits


def excerpt(output: str) -> str:
    """The blocks of the sheet that the page shows, the last of them cut short."""
    blocks = output.split("\n\n")
    tally = next(block for block in blocks if " pass." in block)
    shown = [next(block for block in blocks if block.startswith(begin)) for begin in SHOWN]
    shown[-1] = "\n".join(shown[-1].splitlines()[:LIMITS_SHOWN])
    return "\n...\n".join([tally, *shown]) + "\n..."


def main() -> None:
    """Draw, and fill the page."""
    scenario = demo(DESIGN)
    sheet, cut = line_sheet(scenario), cut_of(scenario)
    assert sheet is not None and cut is not None
    save(hardware_figure(sheet, cut), "hardware")
    result = CliRunner().invoke(pondsim, ["check", str(CAMPUS / f"{DESIGN}.toml")])
    fill("equipment.md", "sheet", f"```text\n{excerpt(result.output)}\n```")


if __name__ == "__main__":
    main()
