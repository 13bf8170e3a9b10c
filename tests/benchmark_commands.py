"""What commands, compiling and members take, as multiples of the kernel of reference_kernel.py.

`python tests/benchmark_commands.py [--page]` measures them on the demo as version 0.2.0 had it (8 layers,
levels and flows renewed every hour, algae given, the laws of then) and on the demo of today; `--page` writes
docs/benchmark.md. Times are of the processor, user time of all threads, warm: what is compiled once, byte
code of Python too, is compiled before. `--package FOLDER` measures another tree of pondsim on that tree's
own demo in the same way: so the figures of 0.2.0 below were found.
"""

from __future__ import annotations

import argparse
import os
import re
import shutil
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from benchmark_cases import CAMPUS, perturbed
from engine.scipy_integrate import marched, prepared
from reference_kernel import kernel_seconds

from pondsim.ensemble.member import run_members
from pondsim.ensemble.runner import processors
from pondsim.scenario.read import read_scenario

ROOT = Path(__file__).parents[1]
PAGE = ROOT / "docs" / "benchmark.md"
DESIGNS = ("existing", "waterfall", "waterfall_night_air", "air_all_day")
FULL = "waterfall_night_air"
MEMBERS, SEED = 24, 2025
CHLOROPHYLL = (20, 20, 25, 30, 35, 45, 60, 70, 55, 35, 25, 20)  # ug/L by month, given in 0.2.0's demo
AS_THEN = f"""
[algae]
mode = "given"
chlorophyll = [{", ".join(f'"{c} ug/L"' for c in CHLOROPHYLL)}]
respiration_theta = 1.04

[gas_transfer]
law = "wind"
schmidt_number = "1992"

[numerics]
hydraulic_step = "1 h"
"""
MIXING_THEN = '[mixing]\ndissipation = "0 m2/s^3"\ncooling_entrainment = 0\ndiffusivity_floor = "1e-6 m2/s"'
SINCE = re.compile(r"^(\[phosphorus\]|bound_start|dissolved_phosphorus|chlorophyll|wind_reduction).*\n", re.M)


@dataclass(frozen=True)
class Row:
    """A line of the table: words, what was measured of 0.2.0 then [s] and in kernels, steps of the aim."""

    words: str
    then: str
    kernels: float | None
    aim: tuple[float, ...]


# What the order for this work had measured of 0.2.0, and its multiple of the kernel, measured with
# `--package` on 0.2.0's own tree and demo, beside the kernel; aims are shares of 0.2.0. That of members
# had two steps: 250 s, then 90 s.
ROWS = {
    "run": Row("`pondsim run`, warm", "7.5", 17.1, (0.35,)),
    "march": Row("of it the time loop", "1.6", 5.3, (0.35,)),
    "compare": Row("`pondsim compare` of four, with `--save`", "30", 60.0, (0.3,)),
    "report": Row("`pondsim report` of four", "17", 24.2, (0.4,)),
    "size": Row("`pondsim size flow`", "39", 94.0, (0.3,)),
    "compile": Row("first run after an edit: compiling", "25", 93.5, (0.5,)),
    "members": Row("1,000 members, two processors", "1745", None, (0.143, 0.052)),
}


def campus_as_then(folder: Path) -> Path:
    """The demo with the grid, steps, algae and laws of version 0.2.0, in a folder."""
    shutil.copytree(CAMPUS, folder)
    site = folder / "site.toml"
    text = SINCE.sub("", site.read_text(encoding="utf-8"))
    text = re.sub(r"^layers = \d+", "layers = 8", text, flags=re.M).replace("[mixing]", MIXING_THEN)
    site.write_text(text + AS_THEN, encoding="utf-8")
    return folder


# `python -m pondsim` without Dask, an extra, and PyYAML, which comes with it: where they are installed xarray
# and numba read them at each start.
START = (
    "import sys, runpy; sys.modules |= {'dask': None, 'distributed': None, 'yaml': None};"
    "runpy.run_module('pondsim', run_name='__main__')"
)


@dataclass(frozen=True)
class Commands:
    """Commands of the package of a folder, whose byte code is kept between them, as it is for any user."""

    package: Path
    work: Path

    def seconds(self, arguments: list[str], cache: Path | None = None) -> float:
        """Processor time of `pondsim ARGUMENTS`, all its processes and threads together [s]."""
        places = {"PYTHONPATH": str(self.package), "PYTHONPYCACHEPREFIX": str(self.work / "byte_code")}
        places |= {"PONDSIM_CACHE": str(cache)} if cache else {}
        own = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
        before = os.times().children_user
        command, nowhere = [sys.executable, "-c", START, *arguments], subprocess.DEVNULL
        subprocess.run(
            command, cwd=self.package, env=own | places, stdout=nowhere, stderr=nowhere, check=True
        )
        return os.times().children_user - before

    def warm(self, arguments: list[str]) -> float:
        """The least of two runs after one that compiles what it needs, byte code too [s]."""
        self.seconds(arguments)
        return min(self.seconds(arguments) for _ in range(2))


def commands(package: Path, campus: Path, work: Path, quick: bool) -> dict[str, float]:
    """Processor time of each command on the designs of a folder [s]."""
    run = Commands(package, work)
    files = [str(campus / f"{name}.toml") for name in DESIGNS]
    one = ["run", str(campus / f"{FULL}.toml"), "-o", str(work / "one.nc")]
    found = {"run": run.warm(one)}
    if quick:
        return found
    saved = work / "saved"
    found["compare"] = run.warm(["compare", *files, "--save", str(saved)])
    pages = [str(saved / f"{name}.nc") for name in DESIGNS]
    found["report"] = run.warm(["report", *pages, "-o", str(work / "page.html")])
    found["size"] = run.warm(["size", "flow", files[1], "--until", "replaced_share >= 80 %"])
    found["compile"] = run.seconds(one, work / "cold") - found["run"]
    return found


def members(campus: Path, number: int) -> float:
    """Seconds of two processors for a thousand members with their measures, from a few."""
    generator = np.random.default_rng(SEED)
    drawn = [perturbed(read_scenario(campus / f"{FULL}.toml"), generator) for _ in range(number)]
    began = time.process_time()
    run_members(drawn, "threads")
    return 1000.0 * (time.process_time() - began) / number / 2.0


def measured(campus: Path, work: Path, quick: bool) -> dict[str, float]:
    """Seconds of every row of the table on the designs of a folder."""
    found = commands(ROOT, campus, work, quick)
    case = prepared(read_scenario(campus / f"{FULL}.toml"))
    found["march"] = min(marched(*case, 1.0).seconds for _ in range(3))
    if not quick:
        found["members"] = members(campus, MEMBERS)
    return found


def table(now: dict[str, float], demo: dict[str, float], kernel: float) -> str:
    """The table in Markdown; ratios are of multiples of the kernel, where those of 0.2.0 are known."""
    head = (
        "",
        "0.2.0 then, s",
        "0.2.0, kernels",
        "now, s",
        "now, kernels",
        "now / 0.2.0",
        "aim",
        "demo now, s",
    )
    lines = [
        f"| {' | '.join(head)} |",
        "|---|---:|---:|---:|---:|---:|---:|---:|",
    ]
    for name, row in ROWS.items():
        if name not in now:
            continue
        kernels = now[name] / kernel
        ratio = kernels / row.kernels if row.kernels else now[name] / float(row.then)
        then = f"{row.kernels:.1f}" if row.kernels else "-"
        today = f"{demo[name]:.1f}" if name in demo else "-"
        seconds, aim = f"{now[name]:.1f}", ", then ".join(f"{step:g}" for step in row.aim)
        cells = (row.words, row.then, then, seconds, f"{kernels:.1f}", f"{ratio:.2f}", aim, today)
        lines.append(f"| {' | '.join(cells)} |")
    where = f"Kernel: {kernel:.3f} s; {processors()} processors."
    return "\n".join([*lines, "", where])


def print_commands(quick: bool, page: bool = False) -> None:
    """Measure, print the table, and write it into the page if asked."""
    kernel = kernel_seconds()
    with tempfile.TemporaryDirectory() as place:
        work = Path(place)
        now = measured(campus_as_then(work / "then"), work, quick)
        demo = {} if quick else measured(CAMPUS, work, quick=True)
    kernel = min(kernel, kernel_seconds())
    text = table(now, demo, kernel)
    print(text)
    if page:
        before = PAGE.read_text(encoding="utf-8")
        block = f"<!-- benchmark -->\n{text}\n<!-- end benchmark -->"
        found = re.sub(r"<!-- benchmark -->.*<!-- end benchmark -->", lambda _: block, before, flags=re.S)
        PAGE.write_text(found, encoding="utf-8")


def main() -> None:
    """Measure this tree, or print the seconds and multiples of another."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--page", action="store_true", help="write the table into docs/benchmark.md")
    parser.add_argument("--quick", action="store_true", help="one command only")
    parser.add_argument("--package", type=Path, help="another tree of pondsim, measured on its own demo")
    asked = parser.parse_args()
    if not asked.package:
        print_commands(asked.quick, asked.page)
        return
    kernel = kernel_seconds()
    with tempfile.TemporaryDirectory() as place:
        package = asked.package.resolve()
        found = commands(package, package / "scenarios" / "campus", Path(place), asked.quick)
    kernel = min(kernel, kernel_seconds())
    for name, seconds in found.items():
        print(f"{name:10}{seconds:8.1f} s{seconds / kernel:9.1f} kernels")


if __name__ == "__main__":
    main()
