"""What the living pond does: the runs behind living_pond.md, some forty seasons. Ten minutes."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from typing import Any

import numpy as np
import xarray as xr
from common import DESIGNS, M_IN_FT, demo, fill, table
from plausible import NAMES, RANGES, STARTER, judged

from pondsim.measures import at_station, dawn_oxygen, smell_hours, year_numbers
from pondsim.reporting.smell import smell_sentence
from pondsim.scenario.read import read_scenario
from pondsim.scenario.settings import AlgaeKind, BloomCrash, Dredging, Dye, Scenario, Treatment
from pondsim.scenario.values import with_value, with_values
from pondsim.simulate import run
from pondsim.years import run_years

PAGE = "living_pond.md"
DEEP = "deep_pool"
YEARS = 4
YEAR = 2025
DEPTH = 2 * M_IN_FT
LAWNS = "drainage.lawns.phosphorus"
DOSE = Treatment(start=datetime(YEAR, 6, 1), dose=2000.0, binds=0.004, duration=86400.0)
CLEAR = {
    "start.dissolved_phosphorus": "5 ug/L",
    "start.chlorophyll": "3 ug/L",
    "drainage.hall.phosphorus": "0.07 mg/L",
    "drainage.lawns.phosphorus": "0.07 mg/L",
    "base_flow.1.phosphorus": "10 ug/L",
    "phosphorus.bound_start": "0.1 g/m2",
} | {f"zone.{z}.bed_oxygen_demand": "0.6 g/m2/d" for z in ("forebay", DEEP, "terrace", "cove", "far_arm")}
GREEN = {
    "start.dissolved_phosphorus": "150 ug/L",
    "start.chlorophyll": "80 ug/L",
    "drainage.hall.phosphorus": "1.2 mg/L",
    "drainage.lawns.phosphorus": "1.2 mg/L",
    "phosphorus.bound_start": "3 g/m2",
}


def grown(design: str = "existing", **sections: Any) -> Scenario:
    """A design of the demo with grown algae."""
    return demo(design, **sections)


def computed(scenario: Scenario) -> xr.Dataset:
    """Results of a season."""
    return run(scenario, how_long_start_matters=False)


def three_ponds() -> None:
    """The ranges beside the demo and the starter; a clear and a very green pond."""
    usual = computed(grown())
    starter = computed(read_scenario(STARTER))
    fill(PAGE, "ranges", "```\n" + "\n".join(side_by_side(usual, starter)) + "\n```")
    rows = []
    for words, scenario in (
        ("clear", with_values(grown(), CLEAR)),
        ("the starter", None),
        ("the demo", grown()),
        ("very green", with_values(grown(), GREEN)),
    ):
        found = {key: value for key, value, *_ in judged(starter if scenario is None else computed(scenario))}
        keys = ("total_p", "chlorophyll", "secchi", "afternoon", "swing", "dawn", "dawn_5")
        rows.append([words, *(f"{found[key]:.3g}" for key in keys)])
    head = ["pond", "TP ug/L", "chlorophyll ug/L", "Secchi m", "afternoon %", "swing mg/L", "dawn mg/L"]
    fill(PAGE, "three ponds", table([*head, "5 % mg/L"], rows))


def side_by_side(usual: xr.Dataset, starter: xr.Dataset) -> list[str]:
    """The ranges with the number of the demo and of the starter."""
    demo_rows, starter_rows = judged(usual), {key: value for key, value, *_ in judged(starter)}
    lines = [f"{'':56s}{'low':>6s}{'high':>6s}{'demo':>8s}{'starter':>9s}"]
    for key, value, _, _, inside in demo_rows:
        limits = RANGES.get(key)
        words = f"{limits.item} [{limits.unit}]" if limits else NAMES[key]
        bounds = f"{limits.low:6g}{limits.high:6g}" if limits else " " * 12
        other = f"{starter_rows[key]:9.3g}" if key in starter_rows else f"{'-':>9s}"
        shown = value if abs(value) > 1e-3 else 0.0
        lines.append(f"{words:56s}{bounds}{shown:8.3g}{other}{'  outside' if inside is False else ''}")
    return lines


def designs() -> None:
    """What designs do to the green, top meter of the deep pool and of the whole pond by volume."""
    rows = []
    for design in DESIGNS:
        found = computed(grown(design))
        top = at_station(found, "chlorophyll", "top").sel(zone=DEEP).mean().item()
        column = at_station(found, "chlorophyll", "column").sel(zone=DEEP).mean().item()
        made = found["oxygen_total"].sum("zone").sel(oxygen_pathway="photosynthesis").item()
        _, dawn = dawn_oxygen(found)
        rows.append(
            [
                design,
                f"{top:.0f}",
                f"{column:.0f}",
                f"{made / 138 / 6.07:.1f}",
                f"{np.quantile(dawn[:, 1], 0.05):.1f}",
            ]
        )
    head = ["design", "top meter ug/L", "whole depth ug/L", "production g/m2/d", "dawn 5 % mg/L"]
    fill(PAGE, "designs", table(head, rows))


def dredged(zones: tuple[str, ...]) -> Scenario:
    """The pond with two feet out of some zones in the first May."""
    work = tuple(Dredging(date=datetime(YEAR, 5, 16), zone=zone, depth=DEPTH) for zone in zones)
    return grown(dredging=work)


def years() -> None:
    """What each measure of the manager does over years: green, phosphorus, dawn, and the bed."""
    every = tuple(zone.name for zone in grown().zone)
    rows = []
    for words, scenario in (
        ("as it is", grown()),
        ("lawns like other land (0.35 in place of 1.2 mg/L)", with_value(grown(), LAWNS, "0.35 mg/L")),
        ("air all day", grown("air_all_day")),
        (f"dose that binds 8 kg, June {YEAR}", grown(treatment=(DOSE,))),
        ("2 ft dredged from the deep pool", dredged((DEEP,))),
        ("2 ft dredged from all of it", dredged(every)),
    ):
        found = run_years(scenario, YEARS)
        numbers_of = [year_numbers(one) for one in found]
        bed = [one["bed_demand_at_20"].sel(zone=DEEP).values[-1] for one in found]
        cells = [
            [f"{year['chlorophyll']:.0f}" for year in numbers_of],
            [f"{year['phosphorus']:.0f}" for year in numbers_of],
            [f"{year['dawn']:.1f}" for year in numbers_of],
            [f"{value:.1f}" for value in bed],
        ]
        rows.append([words, *(" / ".join(one[k] for k in (0, 1, YEARS - 1)) for one in cells)])
        print(words, rows[-1], flush=True)
    head = ["years 1 / 2 / 4", "chlorophyll ug/L", "TP ug/L", "dawn 5 %, worst zone mg/L",
            "bed of the deep pool at 20 degC g/m2/d"]  # fmt: skip
    fill(PAGE, "years", table(head, rows))
    fill(PAGE, "phosphorus", _where_from(computed(grown())))


def _where_from(pond: xr.Dataset) -> str:
    """What brings the phosphorus of one season, and where it goes. [kg]"""
    area = pond["zone_area"]
    days = float((pond["time"].values[-1] - pond["time"].values[0]) / np.timedelta64(1, "s"))
    came, left = (float(pond[f"phosphorus_{way}_rate"][1:].mean()) * days for way in ("in", "out"))
    bound = (pond["bed_bound_phosphorus"] * area).sum("zone") / 1e3
    held = (pond["total_phosphorus"] * pond["box_volume"]).sum(("zone", "layer")) / 1e6
    return (
        f"In the demo's first season runoff and drain bring {came:.1f} kg of phosphorus and {left:.1f} kg leave. "
        f"The bed's store that lack of oxygen sets free falls from {float(bound[0]):.0f} to {float(bound[-1]):.0f} kg, "
        f"and the water holds {float(held[0]):.1f} kg on May 15 and {float(held.max()):.1f} kg at its most."
    )


def killed() -> None:
    """Algae killed in July: what is alive and the lowest dawn of the ten days after."""
    begin = datetime(2025, 7, 20)
    rows = []
    for words, share in (("nothing treated", 0.0), ("half of each zone", 0.5), ("the whole pond", 1.0)):
        crash = BloomCrash(start=begin, killed_share=0.8, pond_share=share, duration=2 * 86400.0)
        found = computed(grown(bloom_crash=(crash,) if share else ()))
        after = found.sel(time=slice("2025-07-20", "2025-07-30"))
        _, low = dawn_oxygen(after)
        green = [
            at_station(found, "chlorophyll", "top").sel(zone=DEEP).sel(time=day).mean().item()
            for day in ("2025-07-23", "2025-08-10")
        ]
        rows.append(
            [words, *(f"{value:.0f}" for value in green), *(f"{low[:, z].min():.1f}" for z in (1, 4))]
        )
    head = [
        "80 % killed on July 20 to 22",
        "July 23 ug/L",
        "August 10 ug/L",
        "lowest dawn, deep pool mg/L",
        "far arm mg/L",
    ]
    fill(PAGE, "killed", table(head, rows))


def people() -> None:
    """A dose, dye, and a buoyant kind."""
    dye = tuple(Dye(start=datetime(2025, month, 1), extinction=1.0) for month in (6, 7, 8))
    kind = (AlgaeKind(name="blue-green"),)
    rows = []
    for words, scenario in (
        ("existing", grown()),
        ("2,000 kg that bind 8 kg of phosphorus, June 1", grown(treatment=(DOSE,))),
        ("dye of 1 per meter each month from June 1", grown(dye=dye)),
        ("with a buoyant kind", grown(algae={"kind": kind})),
        ("with a buoyant kind, air all day", grown("air_all_day", algae={"kind": kind})),
    ):
        found = computed(scenario)
        summer = found.sel(time=slice("2025-06-15", "2025-09-15"))
        chlorophyll = at_station(summer, "chlorophyll", "top").sel(zone=DEEP).mean().item()
        phosphorus = at_station(summer, "total_phosphorus", "top").sel(zone=DEEP).mean().item()
        _, low = dawn_oxygen(summer)
        carbon = summer["algal_carbon"].sum(("time", "zone", "layer"))
        share = carbon[1:].sum().item() / carbon.sum().item()
        rows.append(
            [
                words,
                f"{chlorophyll:.0f}",
                f"{phosphorus:.0f}",
                f"{np.quantile(low[:, 1], 0.05):.1f}",
                f"{100 * share:.0f}" if carbon.size > 1 else "-",
            ]
        )
    head = ["June 15 to September 15", "chlorophyll ug/L", "TP ug/L", "dawn 5 % mg/L", "buoyant share %"]
    fill(PAGE, "people", table(head, rows))


def smell() -> None:
    """When bottom water reached the surface, in the words of the report."""
    started = tuple(replace(unit, season=((7, 14, 9, 30),)) for unit in demo("air_all_day").aeration)
    rows = []
    for words, scenario in (
        ("as it is", grown()),
        ("air from 14 July on", grown("air_all_day", aeration=started)),
    ):
        found = computed(scenario)
        every = smell_hours(found)
        zone = int(np.argmax(every))
        told = smell_sentence(found) or "never"
        hours = f"{every[zone]:.0f} in {found['zone'].values[zone]}" if every[zone] > 0.0 else "0"
        rows.append([words, hours, told])
    fill(PAGE, "smell", table(["", "hours, zone with most", "in the words of the report"], rows))


if __name__ == "__main__":
    for study in (three_ponds, smell, designs, killed, people, years):
        study()
        print(study.__name__, flush=True)
