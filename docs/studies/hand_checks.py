"""Three sums by hand beside the program: numbers of docs/behaviour.md."""

from __future__ import annotations

import math
import tempfile
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import numpy as np
from common import KG_IN_LB, M_IN_FT, computed, fill, table

from pondsim.physics.waterfall import METHOD_CODES, waterfall_deficit_ratio
from pondsim.scenario.settings import (
    Algae,
    Bed,
    Ground,
    Intake,
    Nitrogen,
    OrganicMatter,
    Period,
    Place,
    Pond,
    Profile,
    Pump,
    Scenario,
    Start,
    Waterfall,
    Weather,
    Zone,
)

ACRE = 43560 * M_IN_FT**2
BEGIN = datetime(2025, 8, 10, 20)
WARM = 273.15 + 28.0
DEPTH = 8 * M_IN_FT
DEMAND = 1.5e-3 / 86400  # kg/m2/s at 20 degC
NIGHT = 10  # h
METHOD = "avery_novak"  # by which the waterfall is given the efficiency of the sum
LINES = ("bed_demand", "bottom_debt_oxidation", "respiration", "surface_exchange")


def still_night(folder: Path, hours: int) -> Weather:
    """Moist still air of 28 degC under a closed sky: water of 28 degC keeps its heat."""
    rows = [
        "time,air_temperature [degC],dew_point [degC],wind_speed [m/s],solar_radiation [W/m2],cloud_cover [%]"
    ]
    rows += [f"{BEGIN + timedelta(hours=h):%Y-%m-%d %H:%M},28,28,0,0,100" for h in range(hours + 1)]
    file = folder / "night.csv"
    file.write_text("\n".join(rows) + "\n")
    return Weather(file=file)


def one_zone(weather: Weather, area: float, oxygen: float, hours: int, **sections: Any) -> Scenario:
    """A mixed pond with upright walls over a bed of 1.5 g/m2/d at 20 degC."""
    start = Profile(zone="pond", depth=(0.0,), temperature=(WARM,), dissolved_oxygen=(oxygen,))
    settings: dict[str, Any] = {
        "title": "hand check",
        "period": Period(start=BEGIN, end=BEGIN + timedelta(hours=hours)),
        "place": Place(latitude=math.radians(40), longitude=math.radians(-60), utc_offset=-4 * 3600.0),
        "pond": Pond(normal_pool=10.0, bank_top=12.0, layers=1),
        "zone": (Zone(name="pond", centre=(0.0, 0.0), stage=(10 - DEPTH, 12.0), area=(area, area)),),
        "weather": weather,
        "bed": Bed(oxygen_demand=DEMAND, ammonium_release=0.0, heat_conductivity=0.0),
        "ground": Ground(temperature=WARM),
        "organic_matter": OrganicMatter(bod_decay=0.0),
        "nitrogen": Nitrogen(nitrification=0.0),
        "start": Start(profile=(start,), bod5=0.0, ammonium=0.0, suspended_solids=0.0),
    }
    return Scenario(**(settings | sections))


def night_by_hand(oxygen: float, saturation: float, chlorophyll_mg: float) -> dict[str, float]:
    """Fall of oxygen over the night by each line, taken at the start's oxygen [mg/L]."""
    schmidt = 1745.1 - 124.34 * 28 + 4.8055 * 28**2 - 0.10115 * 28**3 + 0.00086842 * 28**4
    velocity = 2.07e-2 * (600 / schmidt) ** 0.5  # m/h
    bed = 1.5 * 1.065**8 * oxygen / (0.7 + oxygen) / 24 / DEPTH
    respiration = chlorophyll_mg * 0.8 * 1.08**8 * oxygen / (0.2 + oxygen)
    air = velocity * (saturation - oxygen) / DEPTH
    owed = 0.5 * bed * 0.7 / oxygen  # half of what the bed does not get leaves as debt ...
    decay = 4.0 * 1.08**8 / 24 * oxygen / (0.3 + oxygen)  # ... and is paid in the water, with a delay
    paid = owed * (NIGHT - (1 - math.exp(-decay * NIGHT)) / decay)
    return {
        "bed": -bed * NIGHT,
        "bottom oxygen debt": -paid,
        "algae": -respiration * NIGHT,
        "air": air * NIGHT,
    }


def night(folder: Path) -> str:
    """One acre, 8 ft deep, a still August night of ten hours."""
    weather = still_night(folder, NIGHT)
    rows = []
    for words, chlorophyll in (("no algae", 0.0), ("chlorophyll 50 ug/L", 50e-6)):
        pond = one_zone(
            weather, ACRE, 5e-3, NIGHT, algae=Algae(mode="given", chlorophyll=(chlorophyll,) * 12)
        )
        run = computed(pond)
        oxygen = run["dissolved_oxygen"].sel(zone="pond", layer=0).values
        middle = float(oxygen.mean())  # the sums by hand at mid-night oxygen
        hand = night_by_hand(middle, float(run["oxygen_saturation"].mean()), chlorophyll * 1e3)
        rate = run["oxygen_total"].sel(zone="pond") * 1e3 / float(run["box_volume"][0].sum())
        ours = [float(rate.sel(oxygen_pathway=p)) for p in LINES]
        for (name, value), own in zip(hand.items(), ours, strict=True):
            rows.append([f"{words}: {name}", f"{value:+.3f}", f"{own:+.3f}"])
        rows.append([f"{words}: all", f"{sum(hand.values()):+.3f}", f"{oxygen[-1] - oxygen[0]:+.3f}"])
    return table(["oxygen over ten hours, mg/L", "by hand", "the program"], rows)


def loop(folder: Path) -> str:
    """300 gpm at efficiency 0.45 and a deficit of 4 mg/L; 1.5 acres of bed at 28 degC."""
    gpm = 231 * 0.0254**3 / 60
    flow = 300 * gpm
    by_hand = [flow * 0.45 * 4e-3 * 86400 / KG_IN_LB, 1.5 * ACRE * 1.5e-3 * 1.065**8 / KG_IN_LB]
    ratio = 1 / (1 - 0.45)
    code, drops = METHOD_CODES[METHOD], np.linspace(0.1, 2.5, 4801)
    drop = float(
        min(
            drops,
            key=lambda d: abs(waterfall_deficit_ratio(code, d, 2.0, flow, 1, WARM, 1.6, 0.8, 0.6) - ratio),
        )
    )
    weather = still_night(folder, 2)
    pond = one_zone(
        weather, 1.5 * ACRE, 0.0, 2, algae=Algae(mode="given", chlorophyll=(0.0,) * 12),
        intake=Intake(zone="pond", elevation=9.0), pump=Pump(flow=flow),
        waterfall=Waterfall(zone="pond", drop=drop, width=2.0, method=METHOD, splash_loss=0.0),
    )  # fmt: skip
    full = float(computed(pond)["oxygen_saturation"].mean())
    start = replace(pond.start.profile[0], dissolved_oxygen=((full - 4.0) * 1e-3,))
    run = computed(replace(pond, start=replace(pond.start, profile=(start,))))
    fall = float(run["oxygen_rate"].sel(oxygen_pathway="waterfall")[1]) / KG_IN_LB
    asked = float((run["bed_oxygen_demand"] * run["zone_area"]).sum("zone")[0]) / 1e3 / KG_IN_LB
    rows = [
        ["waterfall, 300 gpm, efficiency 0.45, deficit 4 mg/L [lb/d]", f"{by_hand[0]:.2f}", f"{fall:.2f}"],
        [
            "bed, 1.5 acre, 1.5 g/m2/d at 20 degC, water of 28 degC [lb/d]",
            f"{by_hand[1]:.1f}",
            f"{asked:.1f}",
        ],
    ]
    return table(["sum", "by hand", "the program"], rows)


def main() -> None:
    """Write all."""
    with tempfile.TemporaryDirectory() as folder:
        fill("behaviour.md", "hand night", night(Path(folder)))
        fill("behaviour.md", "hand loop", loop(Path(folder)))


if __name__ == "__main__":
    main()
