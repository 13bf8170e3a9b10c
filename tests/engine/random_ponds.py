"""Random ponds from a seed: 1 to 8 zones, 1 to 24 layers, 0.02 to 50 acres, storms, draining, equipment.

python -m tests.engine.random_ponds 0 300     # run seeds 0 to 299; prints what fails, how long runs take
"""

from __future__ import annotations

import sys
import time
from datetime import timedelta

import numpy as np

from pondsim.errors import RunError
from pondsim.scenario.settings import (
    Aeration,
    Connection,
    Ground,
    Inflow,
    Intake,
    Orifice,
    Outlet,
    Period,
    Place,
    Pond,
    Pump,
    Scenario,
    Spillway,
    SyntheticWeather,
    Waterfall,
    Weather,
    Weir,
    Zone,
)
from pondsim.simulate import run
from tests.engine.ponds import BEGIN, CELSIUS_0, DAY, LEVEL

ACRE, INCH = 4046.9, 0.0254


def random_pond(seed: int) -> Scenario:
    """An invented pond, its storms, its outlet and its equipment."""
    draw = np.random.default_rng(seed)

    def between(low, high):
        return float(np.exp(draw.uniform(np.log(low), np.log(high))))

    count = int(draw.integers(1, 9))
    area, deepest = between(0.02, 50.0) * ACRE, between(0.8, 6.0)
    shares = draw.dirichlet(np.ones(count))
    zones = tuple(_zone(f"z{k}", area * max(shares[k], 0.01), deepest, k, draw) for k in range(count))
    depth = {zone.name: LEVEL - zone.stage[0] for zone in zones}
    links = []
    for k in range(1, count):
        other = f"z{int(draw.integers(0, k))}"
        sill = LEVEL - draw.uniform(0.1, 1.0) * min(depth[f"z{k}"], depth[other])
        links.append(Connection(between=(other, f"z{k}"), width=between(1.0, 40.0), sill=sill))
    names = [zone.name for zone in zones]

    def any_zone():
        return str(draw.choice(names))

    out = any_zone()
    hole = Orifice(elevation=LEVEL - draw.uniform(-0.2, 1.0) * depth[out], diameter=between(1.0, 48.0) * INCH)
    sections = {
        "outlet": Outlet(
            zone=out,
            orifice=(hole,) if draw.random() < 0.7 else (),
            weir=(Weir(crest=LEVEL + draw.uniform(-0.3, 0.3), width=between(0.3, 6.0)),),
            spillway=(Spillway(crest=LEVEL + 0.6, width=between(3.0, 12.0)),),
        ),
        "ground": Ground(seepage=draw.choice([0.0, 1.0, -1.0]) * between(0.1, 10.0) * 1e-3 / DAY),
        "inflow": tuple(
            Inflow(
                zone=any_zone(),
                start=BEGIN + timedelta(days=float(draw.uniform(0.1, 2.5))),
                duration=between(0.5, 24.0) * 3600.0,
                volume=between(0.001, 0.6) * area,
                temperature=CELSIUS_0 + draw.uniform(8.0, 32.0),
                chloride=float(draw.choice([0.0, 0.05, 1.0])),
            )
            for _ in range(int(draw.integers(0, 4)))
        ),
    }
    if draw.random() < 0.6:
        zone = any_zone()
        sections |= {
            "intake": Intake(zone=zone, elevation=LEVEL - draw.uniform(0.2, 0.9) * depth[zone]),
            "pump": Pump(flow=area * deepest / 2.0 / between(0.5, 20.0) / DAY),
            "waterfall": Waterfall(zone=any_zone(), drop=draw.uniform(0.3, 2.0), width=between(0.5, 5.0)),
        }
    units = []
    for k in range(int(draw.integers(0, 4))):
        zone = any_zone()
        height = LEVEL - draw.uniform(0.5, 1.0) * depth[zone]
        count_of = int(draw.integers(1, 7))
        units.append(Aeration(f"air{k}", zone, height, diffusers=count_of, air_flow=between(1e-4, 3e-3)))
    wind = float(draw.uniform(0.5, 5.0))
    return Scenario(
        title=f"Random pond {seed} (invented)",
        period=Period(start=BEGIN, end=BEGIN + timedelta(days=3), output_step=3600.0),
        place=Place(latitude=np.radians(40.0), longitude=np.radians(-60.0), utc_offset=-4 * 3600.0),
        pond=Pond(
            normal_pool=LEVEL, bank_top=LEVEL + 1.0, layers=int(draw.integers(1, 25)), length=area**0.5
        ),
        zone=zones,
        connection=tuple(links),
        weather=Weather(
            synthetic=SyntheticWeather(
                seed=seed,
                air_temperature=(CELSIUS_0 + 23.0,) * 12,
                daily_range=(11.0,) * 12,
                dew_point=(CELSIUS_0 + 16.0,) * 12,
                wind_speed=(wind,) * 12,
                cloud_cover=(0.4,) * 12,
            )
        ),
        aeration=tuple(units),
        **sections,
    )


def _zone(name: str, area: float, deepest: float, index: int, draw: np.random.Generator) -> Zone:
    depth = deepest if index == 0 else deepest * draw.uniform(0.1, 1.0)
    stage = (LEVEL - depth, LEVEL - 0.5 * depth, LEVEL, LEVEL + 1.0)
    low = draw.uniform(0.02, 0.9)
    share = (low, 0.5 * (1.0 + low), 1.0, 1.2)
    centre = (float(30.0 * index), float(draw.uniform(0.0, 60.0)))
    return Zone(name=name, centre=centre, stage=stage, area=tuple(float(area * x) for x in share))


def fault_of(seed: int) -> tuple[str, float, int]:
    """What is wrong with a run of a random pond, or nothing; its time [s] and its boxes."""
    pond = random_pond(seed)
    begin = time.process_time()
    try:
        results = run(pond, how_long_start_matters=False)
    except RunError as error:
        return str(error), time.process_time() - begin, 0
    spent = time.process_time() - begin
    here = np.isfinite(results["box_volume"].values)
    boxes = int(here[0].sum())
    for name in ("water_temperature", "dissolved_oxygen", "suspended_solids", "reduced_substances"):
        if not np.isfinite(results[name].values[here]).all():
            return f"{name} is not a number somewhere", spent, boxes
    solids = results["suspended_solids"].values[here]
    if solids.min() < -1e-9 * max(solids.max(), 1.0):
        return f"suspended solids of {solids.min():.2g} mg/L", spent, boxes
    widest = max(float(np.max(gap)) for name, gap in results.attrs.items() if name.startswith("balance_"))
    if widest > 1e-12:
        return f"balance open by {widest:.1e}", spent, boxes
    return "", spent, boxes


def main(first: int, last: int) -> None:
    """Print the faults of a range of seeds, and the slowest runs by box and day."""
    took = []
    for seed in range(first, last):
        fault, spent, boxes = fault_of(seed)
        took.append((spent / max(boxes, 1) / 3.0, seed, boxes))
        if fault:
            print(f"{seed}: {fault}", flush=True)
    middle = float(np.median([t for t, _, _ in took]))
    print(f"{last - first} ponds, median {1e3 * middle:.2f} ms a box-day")
    for slow, seed, boxes in sorted(took)[-5:]:
        print(f"  seed {seed}: {slow / middle:.1f} x the median, {boxes} boxes")


if __name__ == "__main__":
    main(*(int(word) for word in sys.argv[1:3]))
