"""What the living pond does: the runs behind living_pond.md, some thirty seasons. Ten minutes."""

from __future__ import annotations

from datetime import datetime
from typing import Any

import numpy as np
import xarray as xr
from common import DESIGNS, demo, fill, table
from plausible import lines_of, numbers

from pondsim.measures import at_station, dawn_oxygen, year_numbers
from pondsim.scenario.settings import AlgaeKind, BloomCrash, Dredging, Dye, Scenario, Treatment
from pondsim.scenario.values import with_values
from pondsim.simulate import run
from pondsim.years import run_years

PAGE = "living_pond.md"
DEEP = "deep_pool"
YEARS = 4
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
    """The ranges beside the demo; a clear and a very green pond."""
    usual = computed(grown())
    fill(PAGE, "ranges", "```\n" + "\n".join(lines_of(usual)) + "\n```")
    rows = []
    for words, scenario in (
        ("clear", with_values(grown(), CLEAR)),
        ("the demo", None),
        ("very green", with_values(grown(), GREEN)),
    ):
        found = numbers(usual if scenario is None else computed(scenario))
        keys = ("total_p", "chlorophyll", "secchi", "afternoon", "swing", "dawn", "dawn_5")
        rows.append([words, *(f"{found[key][1]:.3g}" for key in keys)])
    head = [
        "pond",
        "TP ug/L",
        "chlorophyll ug/L",
        "Secchi m",
        "afternoon %",
        "swing mg/L",
        "dawn mg/L",
        "5 % mg/L",
    ]
    fill(PAGE, "three ponds", table(head, rows))


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


def years() -> None:
    """Years of air, and of dredging, on the bed."""
    dredged = Dredging(date=datetime(2025, 5, 16), zone=DEEP, depth=0.6)
    rows = []
    for words, scenario in (
        ("existing", grown()),
        ("air all day", grown("air_all_day")),
        ("deep pool dredged", grown(dredging=(dredged,))),
    ):
        found = run_years(scenario, YEARS)
        for place, what in enumerate(
            ("bed demand of the deep pool at 20 degC", "dawn oxygen 5 %", "chlorophyll")
        ):
            cells = []
            for one in found:
                year = year_numbers(one)
                bed = one["bed_demand_at_20"].sel(zone=DEEP).values[-1]
                cells.append((f"{bed:.2f}", f"{year['dawn']:.1f}", f"{year['chlorophyll']:.0f}")[place])
            rows.append([f"{words}: {what}", *cells])
    fill(PAGE, "years", table(["", *(f"year {k + 1}" for k in range(YEARS))], rows))


def first_start() -> None:
    """Air switched on in July, and from the start: lowest dawn of the ten days after."""
    days = slice("2025-07-14", "2025-07-23")
    rows = []
    late = grown("air_all_day")
    units = [f"aeration.{unit.name}.season" for unit in late.aeration]
    for words, scenario in (
        ("no air", grown()),
        ("air from May 15", late),
        ("air from July 14", with_values(late, {unit: ["07-14 to 09-30"] for unit in units})),
    ):
        found = computed(scenario).sel(time=days)
        _, low = dawn_oxygen(found)
        rows.append([words, *(f"{low[:, z].min():.1f}" for z in (1, 4))])
    fill(PAGE, "first start", table(["", "deep pool mg/L", "far arm mg/L"], rows))


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
    june = datetime(2025, 6, 1)
    dose = Treatment(start=june, dose=2000.0, binds=0.004, duration=86400.0)
    dye = tuple(Dye(start=datetime(2025, month, 1), extinction=1.0) for month in (6, 7, 8))
    kind = (AlgaeKind(name="blue-green"),)
    rows = []
    for words, scenario in (
        ("existing", grown()),
        ("2,000 kg that bind 8 kg of phosphorus, June 1", grown(treatment=(dose,))),
        ("dye of 1 per meter each month from June 1", grown(dye=dye)),
        ("with a buoyant kind", grown(algae={"mode": "grown", "kind": kind})),
        ("with a buoyant kind, air all day", grown("air_all_day", algae={"mode": "grown", "kind": kind})),
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


if __name__ == "__main__":
    for study in (three_ponds, designs, first_start, killed, people, years):
        study()
        print(study.__name__, flush=True)
