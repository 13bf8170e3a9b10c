"""What `pondsim size` finds on the demo pond: runs the commands of sizing.md, designer.md and manager.md."""

from __future__ import annotations

import re
import shutil
import tempfile
from pathlib import Path

from common import CAMPUS, DOCS, fill
from sessions import block, paragraph, pondsim

SHARE = ("--until", "replaced_share >= 80 %")
PAIRS = "terrace>cove, deep_pool>far_arm, terrace>far_arm, cove>far_arm, terrace>forebay"


def main() -> None:
    """Run all in a folder that holds the demo as the pages name it."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        shutil.copytree(CAMPUS, folder / "scenarios" / "campus")
        (folder / "pumps.toml").write_text(_list_of_the_page(), encoding="utf-8")
        _flow(folder)
        _air_and_hours(folder)
        _map_and_places(folder)


def _design(name: str) -> str:
    return f"scenarios/campus/{name}.toml"


def _list_of_the_page() -> str:
    text = (DOCS / "sizing.md").read_text(encoding="utf-8")
    found = re.search(r"<!-- list -->\n```toml\n(.*?)```", text, re.DOTALL)
    if found is None:
        raise SystemExit("sizing.md: the list of pumps is not found")
    return found[1]


def _upto(output: str, begin: str) -> str:
    """An output up to the end of the paragraph that begins with the given words."""
    part = paragraph(output, begin)
    return output[: output.index(part) + len(part)]


def _answer(output: str) -> str:
    """The paragraph that names the size found."""
    return next(part for part in output.split("\n\n") if " meets it: " in part.replace("\n", " "))


def _flow(folder: Path) -> None:
    out = pondsim(folder, "size", "flow", _design("waterfall"), *SHARE)
    table = next(part for part in out.split("\n\n") if " runs; " in part and " tolerance " in part)
    fill("sizing.md", "size flow", block(_upto(out, table[:40]) + "\n..."))
    fill("designer.md", "size flow", block(_answer(out)))
    listed = pondsim(folder, "size", "flow", _design("waterfall"), *SHARE, "--catalogue", "pumps.toml")
    fill("sizing.md", "size catalogue", block(paragraph(listed, "The smallest on the list")))


def _air_and_hours(folder: Path) -> None:
    wish = "mean_minimum_7_day_bottom.deep_pool >= 4 mg/L"
    out = pondsim(folder, "size", "air", _design("air_all_day"), "--until", wish)
    fill("designer.md", "size air", block(f"{_answer(out)}\n...\n{paragraph(out, 'Standard air of')}"))
    out = pondsim(
        folder, "size", "hours", _design("waterfall"), "--middle", "03:00",
        "--until", "dawn_lowest_top.deep_pool >= 3.2 mg/L",
    )  # fmt: skip
    fill("manager.md", "hours", block(_answer(out)))


def _map_and_places(folder: Path) -> None:
    out = pondsim(
        folder, "size", "flow,air", _design("waterfall_night_air"),
        "--until", "dawn_lowest_top >= 3 mg/L", "--steps", "4",
    )  # fmt: skip
    shown = _upto(out, "Cost [").split("\n\n", 1)[1]  # without the line that repeats what was wanted
    fill("sizing.md", "size map", block(shown + "\n..."))
    out = pondsim(folder, "size", "places", _design("waterfall"), "--pairs", PAIRS)
    table = next(part for part in out.split("\n\n") if "longest since" in part)
    fill("sizing.md", "size places", block(_upto(out, table[:60]) + "\n..."))


if __name__ == "__main__":
    main()
