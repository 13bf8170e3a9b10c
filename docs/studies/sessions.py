"""The worked sessions of the user pages: runs the commands they show and puts in what came out."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

from common import CAMPUS, fill, table

from pondsim.results import load

DESIGNS = {
    "arm.toml": """\
site = "site.toml"
title = "waterfall into the arm"

[intake]
zone = "terrace"
elevation = "636.5 ft"

[pump]
flow = "520 gpm"
total_head = "16 ft"           # a longer pipe

[waterfall]
zone = "far_arm"
drop = "4.5 ft"
width = "7 ft"
steps = 2
plunge_pool_depth = "2.5 ft"
""",
    "pump_out.toml": """\
site = "site.toml"
title = "pump out for a week"

[intake]
zone = "terrace"
elevation = "636.5 ft"

[pump]
flow = "520 gpm"
total_head = "13 ft"
season = ["05-15 to 08-13", "08-21 to 09-30"]

[waterfall]
zone = "cove"
drop = "4.5 ft"
width = "7 ft"
steps = 2
plunge_pool_depth = "2.5 ft"
""",
    "july_start.toml": """\
site = "site.toml"
title = "air from 20 July"

[[aeration]]
name = "pool_air"
zone = "deep_pool"
elevation = "630.2 ft"
diffusers = 4
air_flow = "1.5 scfm"
season = ["07-20 to 09-30"]
""",
    "finer.toml": """\
site = "site.toml"
title = "finer"

[pond]
layers = 16

[numerics]
tolerance = 0.5
""",
}
BED = {
    "forebay": 2.0,
    "deep_pool": 1.4,
    "terrace": 1.1,
    "cove": 1.0,
    "far_arm": 1.8,
}  # g/m2/d, as in site.toml


def main() -> None:
    """Run the three sessions in a folder of their own."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for path in CAMPUS.glob("*.*"):
            shutil.copy(path, folder)
        for file, text in DESIGNS.items():
            (folder / file).write_text(text)
        _designer(folder)
        _manager(folder)
        _consultant(folder)


def pondsim(folder: Path, *words: str) -> str:
    """What a command prints."""
    command = [sys.executable, "-m", "pondsim", *words]
    done = subprocess.run(command, cwd=folder, capture_output=True, text=True, check=False)
    if done.returncode:
        raise SystemExit(f"{' '.join(words)}:\n{done.stderr}")
    return done.stdout


def excerpt(output: str, *heads: str) -> str:
    """Blocks of an output that begin with the given words, each up to the next line that is not indented."""
    lines, parts = output.splitlines(), []
    for head in heads:
        first = next(i for i, line in enumerate(lines) if line.startswith(head))
        last = first + 1
        while last < len(lines) and lines[last].startswith(" "):
            last += 1
        parts.append("\n".join(lines[first:last]).rstrip())
    return "\n...\n".join(parts)


def paragraph(output: str, begin: str) -> str:
    """The paragraph that begins with the given words."""
    return next(part for part in output.split("\n\n") if part.startswith(begin))


def block(text: str, kind: str = "text") -> str:
    """A fenced block."""
    return f"```{kind}\n{text.rstrip()}\n```"


def _designer(folder: Path) -> None:
    sheet = pondsim(folder, "check", "waterfall.toml")
    fill("designer.md", "check", block(excerpt(sheet, "At normal pool", "Circulation", "Hand check")))
    compared = pondsim(
        folder, "compare", "existing.toml", "waterfall.toml", "arm.toml", "--csv", "places.csv"
    )
    fill("designer.md", "design", block(DESIGNS["arm.toml"], "toml"))
    words = [paragraph(compared, "waterfall:"), paragraph(compared, "waterfall into the arm:")]
    rows = excerpt(
        compared, "Lowest oxygen at dawn", "Circulation", "Days since the waterfall", "Electricity"
    )
    fill("designer.md", "compare", block("\n\n".join([*words, excerpt(compared, "  A ").rstrip(), rows])))


def _manager(folder: Path) -> None:
    out = pondsim(folder, "compare", "waterfall.toml", "pump_out.toml", "--save", "july")
    picked = excerpt(out, "  A ", "Lowest oxygen at dawn", "Hours below 3 mg/L, top", "Electricity")
    fill(
        "manager.md",
        "pump out",
        block('season = ["05-15 to 08-13", "08-21 to 09-30"]', "toml") + "\n\n" + block(picked),
    )
    out = pondsim(folder, "compare", "existing.toml", "july_start.toml")
    fill(
        "manager.md",
        "july start",
        block(excerpt(out, "  A ", "Lowest oxygen at dawn", "Hours below 3 mg/L, top", "Electricity")),
    )
    series = pondsim(
        folder, "export", "july/waterfall.nc", "--zone", "far_arm", "--depth", "top", "--depth", "4 ft"
    )
    head, *rows = series.splitlines()
    picked_rows = [row for row in rows if row.startswith("2025-08-07")][4:8]
    fill("manager.md", "export", block("\n".join([head, "...", *picked_rows, "..."])))


def _consultant(folder: Path) -> None:
    designs = ("existing.toml", "waterfall.toml", "waterfall_night_air.toml")
    out = pondsim(folder, "compare", *designs, "--save", "results", "--json", "table.json", "--full")
    heads = ("Days failing the criteria", "Outlet and level")
    fill("consultant.md", "full", block(excerpt(out, *heads)))
    made = load(folder / "results" / "waterfall.nc")
    gaps = {key: value for key, value in made.attrs.items() if key.startswith("balance_")}
    worst = {
        key.removeprefix("balance_"): f"{float(max(value) if hasattr(value, '__len__') else value):.0e}"
        for key, value in gaps.items()
    }
    fill("consultant.md", "balance", table(["balance", *worst], [["largest gap", *worst.values()]]))
    assert json.loads((folder / "table.json").read_text())
    out = pondsim(folder, "compare", "existing.toml", "finer.toml")
    fill("consultant.md", "finer", block(DESIGNS["finer.toml"], "toml") + "\n\n"
         + block(excerpt(out, "Days failing the criteria", "Lowest oxygen at dawn")))  # fmt: skip
    parts = []
    for words, factor in (("low", 0.5), ("high", 2.0)):
        zones = "".join(
            f'\n[[zone]]\nname = "{z}"\nbed_oxygen_demand = "{factor * d:.2f} g/m2/d"\n'
            for z, d in BED.items()
        )
        for design in ("existing", "waterfall"):
            text = (folder / f"{design}.toml").read_text() + zones
            (folder / f"{design}_{words}.toml").write_text(text)
        out = pondsim(folder, "compare", f"existing_{words}.toml", f"waterfall_{words}.toml")
        parts.append(f"bed at its {words}\n{excerpt(out, 'Lowest oxygen at dawn')}")
    fill("consultant.md", "bed", block("\n".join(parts)))


if __name__ == "__main__":
    main()
