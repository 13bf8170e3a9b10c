"""Renews what docs/sizing.md shows: runs its commands in a copy of the scenarios and takes over what they print."""

from __future__ import annotations

import re
import shlex
import shutil
import tempfile
from pathlib import Path

from tutorials import DOCS, ROOT, _printed

PAGE = DOCS / "sizing.md"
FLOW = 'pondsim size flow scenarios/campus/waterfall.toml --until "replaced_share >= 80 %"'
COMMANDS = {  # block: its command, what its first shown line begins with, what follows its last
    "flow": (FLOW, "Wanted of", "\nOne run of each"),
    "catalogue": (f"{FLOW} --catalogue pumps.toml", "The smallest on the list", "\n\nThe row of"),
    "map": (
        "pondsim size flow,air scenarios/campus/waterfall_night_air.toml --until "
        '"dawn_lowest_top >= 3 mg/L" --steps 4',
        "The least electricity|No pair",
        "\n\nThe row of",
    ),
    "places": (
        "pondsim size places scenarios/campus/waterfall.toml --pairs "
        '"terrace>cove, deep_pool>far_arm, terrace>far_arm, cove>far_arm, terrace>forebay"',
        "Places for",
        "\n\nHead and power",
    ),
}


def between(output: str, first: str, after: str) -> str:
    """The part of an output from the line that begins with `first` to `after`."""
    start = re.search(rf"^(?:{first})", output, re.MULTILINE)
    if start is None:
        raise ValueError(f"not printed: {first}\n{output}")
    return output[start.start() : output.find(after, start.start())].strip("\n")


def renewed(page: str, folder: Path) -> str:
    """The page with what is printed now."""
    shutil.copytree(ROOT / "scenarios", folder / "scenarios")
    listed = re.search(r"<!-- list -->\n```toml\n(.*?)```", page, re.DOTALL)
    assert listed is not None
    (folder / "pumps.toml").write_text(listed[1], encoding="utf-8")
    for name, (line, first, after) in COMMANDS.items():
        shown = between(_printed(shlex.split(line), folder), first, after)
        block = f"<!-- size {name} -->\n```text\n{shown}\n...\n```\n<!-- end size {name} -->"
        pattern = re.compile(rf"<!-- size {name} -->.*?<!-- end size {name} -->", re.DOTALL)
        page = pattern.sub(lambda _, block=block: block, page)
    return page


def main() -> None:
    """Renew the page."""
    with tempfile.TemporaryDirectory() as folder:
        PAGE.write_text(renewed(PAGE.read_text(encoding="utf-8"), Path(folder)), encoding="utf-8")


if __name__ == "__main__":
    main()
