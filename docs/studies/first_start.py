"""The first start of aerators over oxygen-poor bottom water: figure and numbers of docs/behaviour.md."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

import xarray as xr
from common import bottom, computed, demo, fill, label_ends, limit_line, save, table, top

from pondsim.figures.style import colour, dash, dress, new_figure
from pondsim.physics.water import water_density
from pondsim.scenario.settings import Scenario

sys.path.insert(0, str(Path(__file__).parents[2]))
from tests.published.mixing import schmidt_stability

DAYS = slice("2025-07-19T12:00", "2025-07-24T12:00")
HOUR = 3600.0
SHORT_HOURS = (0.25, 0.5, 1, 1, 2, 2, 4, 4, 8, 8, 12, 24)  # h on each day from 20 July
NOON = 10 * HOUR


def started(month: int, day: int) -> Scenario:
    """All-day air from a day on to the end of September."""
    pond = demo("air_all_day")
    return replace(pond, aeration=tuple(replace(u, season=((month, day, 9, 30),)) for u in pond.aeration))


def started_slowly() -> Scenario:
    """The same from 20 July with a few hours more each day, from 10 h on."""
    pond = demo("air_all_day")
    units = []
    for unit in pond.aeration:
        for place, hours in enumerate(SHORT_HOURS):
            day = (7, 20 + place)
            last = (9, 30) if hours == 24 else day
            span = (0.0, 24 * HOUR) if hours == 24 else (NOON, NOON + hours * HOUR)
            units.append(replace(unit, name=f"{unit.name} {place}", season=((*day, *last),), hours=(span,)))
    return replace(pond, aeration=tuple(units))


def main() -> None:
    """Run four designs and the one without debt; draw the first days; count."""
    at_once = started(7, 20)
    runs = {
        "no air": computed(demo()),
        "air from 20 July, all day": computed(at_once),
        "air from 20 July, slowly": computed(started_slowly()),
        "air all day since 15 May": computed(demo("air_all_day")),
    }
    no_debt = computed(replace(at_once, bed=replace(at_once.bed, reduced_share=0.0)))
    _draw(runs)
    fill("behaviour.md", "first start", _numbers(runs, no_debt))


def _draw(runs: dict[str, xr.Dataset]) -> None:
    figure = new_figure(5.6)
    above, below = figure.subplots(2, 1, sharex=True)
    last = runs["no air"]["time"].sel(time=DAYS).values[-1]
    for axes, name, gap in ((above, "dissolved_oxygen", 0.55), (below, "reduced_substances", 1.6)):
        ends = []
        for index, (words, pond) in enumerate(runs.items()):
            read = top if name == "dissolved_oxygen" else bottom
            part = read(pond, "deep_pool", name).sel(time=DAYS)
            axes.plot(part["time"], part, color=colour(index), linestyle=dash(index), linewidth=1.5)
            ends.append((float(part[-1]), words, colour(index)))
        label_ends(axes, ends, gap, last)
    limit_line(above, 3.0, "3 mg/L")
    dress(above, "Six hours after a first start in July the top of the deep pool is at its lowest", "mg/L")
    dress(below, "Bottom oxygen debt near the bed is what took it", "mg/L of oxygen")
    save(figure, "first_start")


def _stability(pond: xr.Dataset) -> float:
    """Energy that mixes the deep pool, which stands still until then, at midnight of the start. [J]"""
    then = pond.sel(time="2025-07-20T00:00", zone="deep_pool")
    above, below = then["layer_top_elevation"].values, then["layer_bottom_elevation"].values
    depth = above.max() - 0.5 * (above + below)
    density = water_density(then["water_temperature"].values + 273.15)
    area = float(then["zone_area"])
    volume = then["box_volume"].values
    return area * float(schmidt_stability(depth, volume, density, area))


def _numbers(runs: dict[str, xr.Dataset], no_debt: xr.Dataset) -> str:
    def held(pond: xr.Dataset, name: str, when: str) -> float:
        return float((pond["box_volume"] * pond[name]).sum(("zone", "layer")).sel(time=when)) / 1e3

    rows = []
    for words, pond in {**runs, "air from 20 July, bed lets no debt out": no_debt}.items():
        cells = []
        for days in (slice("2025-07-20", "2025-07-21"), slice("2025-07-22", "2025-07-31")):
            cells += [f"{float(top(pond, z).sel(time=days).min()):.2f}" for z in ("deep_pool", "far_arm")]
        rows.append([words, *cells])
    once = runs["air from 20 July, all day"]
    first = top(once, "deep_pool").sel(time="2025-07-20")
    at = first["time"].values[int(first.argmin("time"))]
    change = [held(once, name, when) for name in ("reduced_substances", "dissolved_oxygen")
              for when in ("2025-07-20T00:00", "2025-07-20T12:00")]  # fmt: skip
    words = (
        f"Started at midnight on 20 July, the top meter of the deep pool falls to {float(first.min()):.1f} mg/L at "
        f"{str(at)[11:16]}. Within twelve hours the pond's debt falls from {change[0]:.1f} to {change[1]:.1f} kg of "
        f"oxygen, and its oxygen from {change[2]:.1f} to {change[3]:.1f} kg. The deep pool's stability before is "
        f"{_stability(runs['no air']) / 1e3:.0f} kJ.\n\n"
    )
    head = [
        "lowest oxygen of the top meter, mg/L",
        "20-21 July: deep pool",
        "far arm",
        "22-31 July: deep pool",
        "far arm",
    ]
    return words + table(head, rows)


if __name__ == "__main__":
    main()
