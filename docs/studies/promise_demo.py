"""The blocks of docs/promise.md, and that of members in docs/sizing.md: members of the invented pond over five weeks.

`python docs/studies/promise_demo.py`, some 8 minutes of one processor. The season is cut to five weeks and the grid to
8 layers, so that it can be renewed on a laptop; the page says so. `--members 8 --into FOLDER` tries it with few members
and fills copies of the pages in that folder.
"""

from __future__ import annotations

import argparse
import shutil
import tempfile
import time
from pathlib import Path

from common import CAMPUS, DOCS, fill
from sessions import pondsim

PAGE, SIZING = "promise.md", "sizing.md"
FIGURE = "members.png"
CUT = (
    ('start = "2025-05-15 00:00"', 'start = "2025-06-10 00:00"'),
    ('end = "2025-09-30 00:00"', 'end = "2025-07-15 00:00"'),
    ("layers = 16", "layers = 8"),
)
DESIGN = "waterfall_night_air.toml"
MEMBERS = 64
EFFECTIVE = 20  # members that weights must be worth, where there are so many
SIZED = ("size", "air", "air_all_day.toml", "--until", "hours_below_2_bottom.deep_pool <= 200 h")
BLOCKS = (  # of the table that the page shows
    "Days below the 1-day minimum",
    "Lowest oxygen at dawn, top",
    "Hours below 3 mg/L, bottom",
)


def main() -> None:
    """Run the commands of the pages and put in what they print, each as soon as it is there."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--members", type=int, default=MEMBERS)
    parser.add_argument("--into", type=Path, default=DOCS, help="folder of the pages that are filled")
    asked = parser.parse_args()
    if asked.into != DOCS:
        (asked.into / "figures").mkdir(parents=True, exist_ok=True)
        for page in (PAGE, SIZING):
            shutil.copy(DOCS / page, asked.into)
    with tempfile.TemporaryDirectory() as name:
        folder = short_season(Path(name))
        renew(folder, asked.members, asked.into)


def short_season(folder: Path) -> Path:
    """The demo over fewer days and layers, in a folder of its own."""
    for path in CAMPUS.glob("*.*"):
        shutil.copy(path, folder)
    site = folder / "site.toml"
    text = site.read_text(encoding="utf-8")
    for old, new in CUT:
        if old not in text:
            raise SystemExit(f"{site.name} of the demo has no line {old}; change CUT")
        text = text.replace(old, new, 1)
    site.write_text(text, encoding="utf-8")
    return folder


def renew(folder: Path, members: int, pages: Path) -> None:
    """Every block in its order; a broken study leaves the blocks before it renewed."""
    start = time.monotonic()

    def put(page: str, name: str, text: str) -> None:
        fill(page, name, f"```text\n{text.strip()}\n```", pages)
        print(f"{time.monotonic() - start:4.0f} s  {page}: {name}")

    count = ("--members", str(members))
    worth = ("--effective", str(min(EFFECTIVE, members // 2)))
    told = pondsim(folder, "promise", "existing.toml", DESIGN, *count, "-o", "members.nc", "--figure", FIGURE)
    shutil.copy(folder / FIGURE, pages / "figures" / FIGURE)
    put(PAGE, "members", shortened(told))
    learnt = pondsim(folder, "calibrate", "existing_logged.toml", *count, *worth, "-o", "weights.nc")
    put(PAGE, "weights", learnt)
    put(
        PAGE,
        "weighed",
        shortened(pondsim(folder, "promise", "existing.toml", DESIGN, "--weights", "weights.nc")),
    )
    night = pondsim(folder, "tonight", "existing_logged.toml", "--now", "2025-07-08 18:00")
    put(PAGE, "tonight", night.split("Cautions:")[0])
    few = ("--weights", "weights.nc", "--members", str(min(8, members)), "--steps", "3")
    put(SIZING, "size members", pondsim(folder, *SIZED, *few).split("Cautions:")[0])


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
    if not table or not after:
        raise SystemExit("what promise printed has no table, or nothing after it; change shortened()")
    missing = [block for block in BLOCKS if not any(line.startswith(block) for line in table)]
    if missing:
        raise SystemExit(f"the table of promise has no block {', '.join(missing)}; change BLOCKS")
    return "\n".join([*before, *table, *after])


if __name__ == "__main__":
    main()
