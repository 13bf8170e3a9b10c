"""The worked sessions of the user pages: runs the commands they show and puts in what came out."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
import sys
import tempfile
import tomllib
from pathlib import Path

from common import CAMPUS, fill, table

from pondsim.results import load

ARM = (  # what arm.toml changes of waterfall.toml: part, old and new lines
    ("discharge", 'length = "320 ft"', 'length = "480 ft"              # 160 ft more trench'),
    ("waterfall", 'zone = "cove"', 'zone = "far_arm"'),
)
PUMP_OUT = """\
[[outage]]
start = "2025-08-14 00:00"
duration = "7 d"
systems = ["pump"]             # left out: the power fails, and everything stands still
"""
SENSOR = """\
hours = ["00:00-24:00"]        # in place of 21:00-08:00: the sensor decides
minimum_run = "30 min"

[aeration.set_point]
zone = "far_arm"
depth = "1.5 ft"
on_below = "4 mg/L"
off_above = "5 mg/L"
"""
DESIGNS = {
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
layers = 24

[numerics]
tolerance = 0.5
""",
}
ROWS = (  # of the sheet's operating points
    *("  pond [", "  flow [", "  head of", "  electric", "  velocity in the discharge"),
    *("  water over the top", "  water in the well"),
)
BED = {  # g/m2/d
    zone["name"]: float(zone["bed_oxygen_demand"].removesuffix(" g/m2/d"))
    for zone in tomllib.loads((CAMPUS / "site.toml").read_text(encoding="utf-8"))["zone"]
}


def main() -> None:
    """Run the three sessions in a folder of their own."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for path in CAMPUS.glob("*.*"):
            shutil.copy(path, folder)
        for file, text in DESIGNS.items():
            (folder / file).write_text(text)
        _derived(folder)
        _designer(folder)
        _manager(folder)
        _consultant(folder)


def _derived(folder: Path) -> None:
    """Designs that are copies of one that comes along with some lines changed."""
    loop = (folder / "waterfall.toml").read_text(encoding="utf-8")
    arm = loop.replace('title = "waterfall"', 'title = "waterfall into the arm"')
    for part, old, new in ARM:
        before, head, rest = arm.partition(f"\n[{part}]")
        assert old in rest, old
        arm = before + head + rest.replace(old, new, 1)
    (folder / "arm.toml").write_text(arm, encoding="utf-8")
    out = loop.replace('title = "waterfall"', 'title = "pump out for a week"')
    (folder / "pump_out.toml").write_text(f"{out}\n{PUMP_OUT}", encoding="utf-8")
    night = (folder / "waterfall_night_air.toml").read_text(encoding="utf-8")
    before, head, last = night.rpartition("[[aeration]]")  # arm_air
    timer = 'hours = ["21:00-08:00"]\n'
    assert timer in last
    by_sensor = before + head + last.replace(timer, "").rstrip() + f"\n{SENSOR}"
    by_sensor = by_sensor.replace('title = "waterfall + night air"', 'title = "sensor in the arm"')
    (folder / "sensor.toml").write_text(by_sensor, encoding="utf-8")


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
    fill("designer.md", "check", block(_sheet_parts(sheet)))
    compared = pondsim(
        folder, "compare", "existing.toml", "waterfall.toml", "arm.toml", "--csv", "places.csv"
    )
    fill("designer.md", "design", block("\n\n".join(f"[{part}]\n{new}" for part, _, new in ARM), "toml"))
    words = [paragraph(compared, '"waterfall":'), paragraph(compared, '"waterfall into the arm":')]
    rows = excerpt(
        compared, "Lowest oxygen at dawn", "Circulation", "Days since the waterfall", "Electricity"
    )
    fill("designer.md", "compare", block("\n\n".join([*words, excerpt(compared, "  A ").rstrip(), rows])))


def _sheet_parts(sheet: str) -> str:
    """The parts of a design sheet that the designer's page shows."""
    lines = sheet.splitlines()
    verdict = next(line for line in lines if re.search(r"\d+ (pass|warns?|fails?)\b", line))
    levels = excerpt(sheet, "The line at each level").splitlines()
    rows = [line for line in levels[2:] if line.startswith(ROWS)]
    parts = [verdict, excerpt(sheet, "At normal pool", "Circulation"), "\n".join([*levels[:2], *rows])]
    return "\n...\n".join([*parts, excerpt(sheet, "Hand check")])


def _manager(folder: Path) -> None:
    out = pondsim(folder, "compare", "waterfall.toml", "pump_out.toml", "--save", "july")
    picked = excerpt(out, "  A ", "Lowest oxygen at dawn", "Hours below 3 mg/L, top", "Electricity")
    fill(
        "manager.md",
        "pump out",
        block(PUMP_OUT, "toml") + "\n\n" + block(picked),
    )
    out = pondsim(folder, "compare", "existing.toml", "july_start.toml")
    fill(
        "manager.md",
        "july start",
        block(excerpt(out, "  A ", "Lowest oxygen at dawn", "Hours below 3 mg/L, top", "Electricity")),
    )
    out = pondsim(folder, "compare", "waterfall_night_air.toml", "sensor.toml", "--full")
    heads = [
        "  A ",
        "Lowest oxygen at dawn, top",
        "Hours run",
        "Starts",
        "Electricity over",
        "Electricity cost",
    ]
    heads = [head for head in heads if f"\n{head}" in out]  # money where the site has a tariff
    fill("manager.md", "sensor", block(SENSOR, "toml") + "\n\n" + block(excerpt(out, *heads)))
    series = pondsim(
        folder, "export", "july/waterfall.nc", "--zone", "far_arm", "--depth", "top", "--depth", "4 ft"
    )
    head, *rows = series.splitlines()
    picked_rows = [row for row in rows if row.startswith("2025-08-07")][4:8]
    fill("manager.md", "export", block("\n".join([head, "...", *picked_rows, "..."])))


def _storm_parts(output: str) -> str:
    """Peaks, level, drawdown, solids and oxygen at the outlet, and what gets worse."""
    lines = output.splitlines()
    rows = ("  peak", "  highest water", "  drawdown", "  sediment out", "  oxygen of the water out")
    worse = next(i for i, line in enumerate(lines) if "Worse than" in line or "No harm" in line)
    after = [line for line in lines[worse:] if line.strip()][:1]
    return "\n".join([*(line for line in lines if line.startswith(rows)), "...", *after])


def _consultant(folder: Path) -> None:
    designs = ("existing.toml", "waterfall.toml", "waterfall_night_air.toml")
    out = pondsim(folder, "compare", *designs, "--save", "results", "--json", "table.json", "--full")
    heads = ("Days below the 1-day minimum", "30-day windows below the mean", "Outlet and level")
    fill("consultant.md", "full", block(excerpt(out, *heads)))
    storm = pondsim(folder, "storm", "waterfall.toml", "--existing", "existing.toml")
    fill("consultant.md", "storm", block(_storm_parts(storm)))
    made = load(folder / "results" / "waterfall.nc")
    gaps = {key: value for key, value in made.attrs.items() if key.startswith("balance_")}
    worst = {
        key.removeprefix("balance_"): f"{float(max(value) if hasattr(value, '__len__') else value):.0e}"
        for key, value in gaps.items()
    }
    fill("consultant.md", "balance", table(["balance", *worst], [["largest gap", *worst.values()]]))
    assert json.loads((folder / "table.json").read_text())
    out = pondsim(folder, "compare", "existing.toml", "finer.toml", "--allow-differences")
    fill("consultant.md", "finer", block(DESIGNS["finer.toml"], "toml") + "\n\n"
         + block(excerpt(out, "Days below the 1-day minimum", "30-day windows", "Lowest oxygen at dawn")))  # fmt: skip
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
