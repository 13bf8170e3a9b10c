"""Random ponds run one after the other: what fails, how well they close, how long they take.

python -m tests.engine.random_ponds --seeds 300     # prints two tables; exit code 1 if a pond has a fault
python -m tests.engine.random_ponds --first 46 --seeds 1
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
import xarray as xr

from pondsim.errors import PondsimError
from pondsim.scenario.settings import Scenario
from pondsim.simulate import run
from tests.engine.ponds import LEVEL
from tests.engine.random_pond import DAYS, random_pond

CLOSES = 1e-12
FINITE = (
    "water_temperature",
    "dissolved_oxygen",
    "suspended_solids",
    "reduced_substances",
    "carbonaceous_bod",
    "ammonium",
    "salinity",
    "chlorophyll",
)
SLOW = 10.0  # times the median of CPU by box and day


@dataclass
class Found:
    """What one pond did."""

    seed: int
    spent: float  # s of CPU
    boxes: int = 0
    faults: list[str] = field(default_factory=list)
    balances: dict[str, float] = field(default_factory=dict)
    solids: float = 0.0  # least of them over the most, or over 1 mg/L if that is more
    kinds: frozenset[str] = frozenset()

    @property
    def pace(self) -> float:
        """CPU by box and day [s]."""
        return self.spent / max(self.boxes, 1) / DAYS


def kinds_of(pond: Scenario, results: xr.Dataset) -> frozenset[str]:
    """What this pond puts to the test, by what it has and by what happened to it."""
    level = results["water_surface_elevation"].values
    water = np.atleast_2d(level.T)  # (zones or one, time)
    bed = np.array([zone.stage[0] for zone in pond.zone])[:, None]
    dry = water <= bed + 0.02
    marks = {
        "one zone": len(pond.zone) == 1,
        "one layer": pond.pond.layers == 1,
        "less than 0.1 acre": sum(zone.area[2] for zone in pond.zone) < 0.1 * 4046.9,
        "algae grown, with phosphorus": pond.algae.mode == "grown",
        "waterfall": pond.waterfall is not None,
        "air": bool(pond.aeration),
        "storms": bool(pond.inflow),
        "dredged": bool(pond.dredging),
        "winter, with ice": pond.ice is not None,
        "a zone dry at the start": bool(dry[:, 0].any()),
        "a zone fell dry": bool((dry[:, 1:] & ~dry[:, :1]).any()),
        "drained by half a meter": bool((water[:, 0] - water.min(axis=1)).max() > 0.5),
        "water over the bank": bool(water.max() > LEVEL + 1.0),
    }
    return frozenset(name for name, here in marks.items() if here)


def look_at(seed: int) -> Found:
    """Run the pond of a seed and say what is wrong with it."""
    pond = random_pond(seed)
    begin = time.process_time()
    try:
        results = run(pond, how_long_start_matters=False)
    except PondsimError as error:
        return Found(seed, time.process_time() - begin, faults=[str(error)])
    found = Found(seed, time.process_time() - begin, kinds=kinds_of(pond, results))
    here = np.isfinite(results["box_volume"].values)
    found.boxes = int(here[0].sum())
    for name in FINITE:
        if not np.isfinite(results[name].values[here]).all():
            found.faults.append(f"{name} is not a number somewhere")
    solids = results["suspended_solids"].values[here]
    found.solids = float(solids.min() / max(solids.max(), 1.0))
    if found.solids < -1e-9:
        found.faults.append(f"suspended solids of {solids.min():.2g} mg/L")
    found.balances = {
        name.removeprefix("balance_").replace("_", " "): float(np.max(gap))
        for name, gap in results.attrs.items()
        if name.startswith("balance_")
    }
    found.faults += [f"{book} open by {gap:.1e}" for book, gap in found.balances.items() if gap > CLOSES]
    return found


def middle_pace(all_found: Sequence[Found]) -> float:
    """Median of CPU by box and day [s]."""
    return float(np.median([found.pace for found in all_found if found.boxes]))


def tables(all_found: Sequence[Found]) -> str:
    """Two tables: what was put to the test with its faults, and what the worst of all did."""
    middle = middle_pace(all_found)
    lines = ["| ponds | of them | with a fault | slowest, in medians |", "|---|---:|---:|---:|"]
    names = sorted({name for found in all_found for name in found.kinds})
    for name in ("all", *names):
        those = [found for found in all_found if name == "all" or name in found.kinds]
        faulty = sum(bool(found.faults) for found in those)
        slowest = max(found.pace for found in those) / middle
        lines.append(f"| {name} | {len(those)} | {faulty} | {slowest:.1f} |")
    lines += ["", "| worst of all | | seed |", "|---|---:|---:|"]
    for book in sorted({book for found in all_found for book in found.balances}):
        worst = max(all_found, key=lambda found: found.balances.get(book, 0.0))
        lines.append(f"| balance of {book} open by | {worst.balances[book]:.1e} | {worst.seed} |")
    least = min(all_found, key=lambda found: found.solids)
    lines.append(f"| suspended solids, least over most | {least.solids:.1e} | {least.seed} |")
    slow = max(all_found, key=lambda found: found.pace)
    lines.append(f"| CPU by box and day over the median | {slow.pace / middle:.1f} | {slow.seed} |")
    return "\n".join(lines)


def main(words: Sequence[str] | None = None) -> int:
    """Run a range of seeds; 1 if one of them has a fault."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--first", type=int, default=0, help="first seed")
    parser.add_argument("--seeds", type=int, default=300, help="how many")
    given = parser.parse_args(words)
    all_found = []
    for seed in range(given.first, given.first + given.seeds):
        all_found.append(look_at(seed))
        for fault in all_found[-1].faults:
            print(f"seed {seed}: {fault}", file=sys.stderr, flush=True)
    for at, found in enumerate(all_found[:1]):  # the first has compiled the loop: again
        all_found[at] = look_at(found.seed)
    middle = middle_pace(all_found)
    for found in sorted(all_found, key=lambda found: -found.pace):
        if found.pace > SLOW * middle:
            print(
                f"seed {found.seed}: {found.pace / middle:.1f} x the median, {found.boxes} boxes",
                file=sys.stderr,
            )
    print(f"{len(all_found)} ponds of {DAYS} days, median {1e3 * middle:.1f} ms of CPU by box and day\n")
    print(tables(all_found))
    return int(any(found.faults for found in all_found))


if __name__ == "__main__":
    sys.exit(main())
