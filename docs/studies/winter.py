"""A cold pond over a year, with and without air in winter and salt: figure and numbers of docs/winter.md."""

from __future__ import annotations

from dataclasses import replace

import xarray as xr
from common import DOCS, bottom, computed, fill, save, table

from pondsim.figures.ice import ice_and_oxygen
from pondsim.measures import at_station
from pondsim.measures.winter import days_with_ice, lowest_under_ice, thickest_ice
from pondsim.scenario.read import read_scenario

COLD = DOCS.parent / "scenarios" / "cold_pond"
ZONE = "basin"
EARLY = ("2025-11-20", "2025-12-20")  # the first month under ice, before oxygen is short
WINTER = slice("2025-11-15", "2026-04-30")
SPRING = slice("2026-03-25", "2026-06-30")
FED = 4.0  # mg/L near the bed, which tells that the pond has turned over
M_IN_INCH = 0.0254


def main() -> None:
    """Run the pond as it is, with air in summer, with air all year, and without salt; draw and count."""
    existing = read_scenario(COLD / "existing.toml")
    runs = {
        "existing": computed(existing),
        "air May to October": computed(read_scenario(COLD / "air_in_summer.toml")),
        "air all year": computed(read_scenario(COLD / "air_all_year.toml")),
        "existing, no road salt": computed(replace(existing, inflow=())),
    }
    designs = [runs[name] for name in ("existing", "air May to October", "air all year")]
    save(ice_and_oxygen(designs, start="2025-11-01", end="2026-05-15"), "winter")
    fill("winter.md", "designs", _designs(runs))
    fill("winter.md", "words", _words(runs))


def _day(series: xr.DataArray) -> str:
    """First day on which something holds, from the part of the run that is given."""
    found = series["time"].values[series.values]
    return "never" if not found.size else f"{found[0].astype('datetime64[D]').item():%-d %B}"


def _designs(runs: dict[str, xr.Dataset]) -> str:
    rows = []
    for name, pond in runs.items():
        place = [str(zone) for zone in pond["zone"].values].index(ZONE)
        january = float(bottom(pond, ZONE, "water_temperature").sel(time="2026-01").mean())
        fed = bottom(pond, ZONE).sel(time=SPRING).rolling(time=24).min() > FED
        salt = float(bottom(pond, ZONE, "salinity").sel(time="2026-04-01").mean())
        above = float(at_station(pond, "salinity", "top").sel(zone=ZONE, time="2026-04-01").mean())
        rows.append(
            [
                name,
                f"{days_with_ice(pond)[place]:.0f}",
                f"{thickest_ice(pond)[place] / M_IN_INCH:.0f}",
                f"{lowest_under_ice(pond)[place]:.1f}",
                f"{january:.1f}",
                f"{1e3 * (salt - above):.0f}",
                _day(fed),
            ]
        )
    head = [
        ZONE,
        "days with ice",
        "thickest, in",
        "lowest oxygen under ice, mean of the column, mg/L",
        "near the bed in January, degC",
        "salt near the bed over the top on 1 April, mg/L",
        f"bottom above {FED:.0f} mg/L for a day, from 25 March",
    ]
    return table(head, rows)


def _words(runs: dict[str, xr.Dataset]) -> str:
    pond, aired = runs["existing"], runs["air all year"]
    column = at_station(pond, "dissolved_oxygen", "column").sel(zone=ZONE)
    first, last = (float(column.sel(time=day).mean()) for day in EARLY)
    low = column.sel(time=WINTER)
    below = _day(low < 2.0)
    used = float(aired["power"].sel(time=slice("2025-10-16", "2026-04-30")).sum()) / 1e3
    return (
        f"The basin's oxygen falls from {first:.1f} to {last:.1f} mg/L between 20 November and 20 December, "
        f"{(first - last) / 30.0:.2f} mg/L a day, and is below 2 mg/L from {below} on. "
        f"The two diffusers use {used:.0f} kWh from 16 October to 30 April."
    )


if __name__ == "__main__":
    main()
