"""The blocks of docs/promise.md: members of the invented pond over five weeks, in a folder of their own.

`python docs/studies/promise_demo.py`, some 15 minutes. The season is cut to five weeks and the grid to 8 layers, so that
it can be renewed on a laptop; the page says so.
"""

from __future__ import annotations

import shutil
import tempfile
from pathlib import Path

from common import CAMPUS, DOCS, fill
from sessions import pondsim

PAGE = "promise.md"
CUT = (
    ('start = "2025-05-15 00:00"', 'start = "2025-06-10 00:00"'),
    ('end = "2025-09-30 00:00"', 'end = "2025-07-15 00:00"'),
    ("layers = 12", "layers = 8"),
)
DESIGN = "waterfall_night_air.toml"
MEMBERS = ("--members", "64")
BLOCKS = (  # of the table that the page shows
    "Days below the 1-day minimum",
    "Lowest oxygen at dawn, top",
    "Hours below 3 mg/L, bottom",
)


def main() -> None:
    """Run the commands of the page and put in what they print."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for path in CAMPUS.glob("*.*"):
            shutil.copy(path, folder)
        site = folder / "site.toml"
        text = site.read_text(encoding="utf-8")
        for old, new in CUT:
            assert old in text, old
            text = text.replace(old, new, 1)
        site.write_text(text, encoding="utf-8")
        told = pondsim(
            folder, "promise", "existing.toml", DESIGN, *MEMBERS, "-o", "members.nc", "--figure", "m.png"
        )
        shutil.copy(folder / "m.png", DOCS / "figures" / "members.png")
        fill(PAGE, "members", f"```text\n{shortened(told)}\n```")
        learnt = pondsim(folder, "calibrate", "existing_logged.toml", *MEMBERS, "-o", "weights.nc")
        fill(PAGE, "weights", f"```text\n{learnt.strip()}\n```")
        again = pondsim(folder, "promise", "existing.toml", DESIGN, "--weights", "weights.nc")
        fill(PAGE, "weighed", f"```text\n{shortened(again)}\n```")
        night = pondsim(folder, "tonight", "existing_logged.toml", "--now", "2025-07-08 18:00")
        fill(PAGE, "tonight", f"```text\n{night.split('Cautions:')[0].strip()}\n```")


def shortened(output: str) -> str:
    """Some blocks of the table, then all that is said; what is left out becomes a line of three dots."""
    before, table, after = [], [], []
    part = before
    kept = False
    for line in output.rstrip().split("\n"):
        if line.lstrip().startswith("A  ") and line.rstrip().endswith("meets %"):
            part = table
            table.append(line)
            kept = True
            continue
        if part is table and not line:
            part = after
        if part is table and not line.startswith("  "):
            kept = line.startswith(BLOCKS)
            if not kept and table[-1] != "...":
                table.append("...")
        if part is not table or kept:
            part.append(line)
    return "\n".join([*before, *table, *after])


if __name__ == "__main__":
    main()
