"""Where two published ranges pull apart: what the other one would do. Table of living_pond.md; five minutes."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from typing import Any

import numpy as np
from common import changed, computed, demo, fill, table

from pondsim.measures import at_station, dawn_oxygen
from pondsim.measures.living import SECCHI_PRODUCT
from pondsim.scenario.settings import Scenario
from pondsim.scenario.values import with_value

PAGE = "living_pond.md"
ZONE = "deep_pool"
TURNS: tuple[tuple[str, str, str, dict[str, str]], ...] = (
    (
        "largest growth at 20 degC: 2.09 1/d (Eppley 1972) or 2.86 (Bissinger et al. 2008), envelopes of all algae",
        "1.8 1/d: under both, with no nutrient short",
        "2.0 1/d",
        {"algae.growth": "2.0 1/d"},
    ),
    (
        "light at which growth saturates: 80 to 350 umol/m2/s (from memory)",
        "180 umol/m2/s",
        "80 umol/m2/s",
        {"algae.growth_light": "80 umol/m2/s"},
    ),
    (
        "self-shading: 0.014 (Atlas and Bannister 1980), 0.03 with what comes with algae (from memory)",
        "0.02 m2/mg",
        "0.014 m2/mg",
        {"light.algae_extinction": "0.014 m2/mg"},
    ),
    ("", "", "0.03 m2/mg", {"light.algae_extinction": "0.03 m2/mg"}),
    (
        "sinking of algae: 0.1 to 0.3 m/d of greens, 0 of small flagellates (from memory)",
        "0.1 m/d",
        "0 m/d",
        {"algae.sinking": "0 m/d"},
    ),
    ("", "", "0.3 m/d", {"algae.sinking": "0.3 m/d"}),
    (
        "mixing under a thermocline: 2e-8 to 3.4e-7 m2/s (Lake 227), 1.4e-7 of molecular heat, 1e-6 as once taken",
        "6e-7 m2/s: lower ones leave the bottom too cold",
        "1.4e-7 m2/s",
        {"mixing.diffusivity_floor": "1.4e-7 m2/s"},
    ),
    ("", "", "1e-6 m2/s", {"mixing.diffusivity_floor": "1e-6 m2/s"}),
    (
        "gas in calm: 1.6 (MacIntyre et al. 2010, warming) or 4.0 cm/h at 1 m/s (cooling); 0.55 to 2.8 in a pond (Xiao et al. 2014)",
        "2.07 cm/h, more while it cools",
        "wind alone",
        {"gas_transfer.law": "wind"},
    ),
    (
        "fast pool of fresh matter: 24 +- 4 1/a (Westrich and Berner 1984, from memory); mud of Lake Apopka a hundredth of it",
        "24 1/a",
        "20 1/a",
        {"bed.fast_decay": "0.0548 1/d"},
    ),
    (
        "warmth of the bed: 1.065 for the whole flux, 1.10 to 1.15 for its pools (from memory)",
        "1.065",
        "1.10",
        {"bed.oxygen_demand_theta": "1.10"},
    ),
    (
        'release without oxygen: "high" in ponds, "negligible" with oxygen (Taguchi et al. 2018); 5 to 40 mg/m2/d in lakes (from memory)',
        "0.01 1/d of what is bound",
        "0.003 1/d",
        {"phosphorus.bound_release": "0.003 1/d"},
    ),
    ("", "", "0.03 1/d", {"phosphorus.bound_release": "0.03 1/d"}),
)


def summer(**sections: Any) -> Scenario:
    """The existing pond in July and August, on eight layers."""
    pond = changed(demo("existing"), **sections)
    period = replace(pond.period, start=datetime(2025, 7, 1), end=datetime(2025, 9, 1))
    return replace(pond, period=period, pond=replace(pond.pond, layers=8))


def numbers(scenario: Scenario) -> list[str]:
    """Dawns, their lowest 5 %, clarity, chlorophyll, and warmth near the bed."""
    pond = computed(scenario)
    _, low = dawn_oxygen(pond)
    zone = [str(one) for one in pond["zone"].values].index(ZONE)
    found = {
        name: at_station(pond, name, place).sel(zone=ZONE).values
        for name, place in (
            ("chlorophyll", "top"),
            ("light_extinction", "top"),
            ("water_temperature", "bottom"),
        )
    }
    return [
        f"{low[:, zone].mean():.1f}",
        f"{np.quantile(low[:, zone], 0.05):.1f}",
        f"{np.median(SECCHI_PRODUCT / found['light_extinction']):.2f}",
        f"{np.median(found['chlorophyll']):.0f}",
        f"{found['water_temperature'].mean():.1f}",
    ]


def main() -> None:
    """Run each turn and write the table."""
    pond = summer()
    rows = [["", "as it is", "", *numbers(pond)]]
    for about, taken, other, values in TURNS:
        turned = pond
        for key, value in values.items():
            turned = with_value(turned, key, value)
        rows.append([about, taken, other, *numbers(turned)])
        print(rows[-1], flush=True)
    head = ["what pulls apart", "taken", "turned to", "dawn mg/L", "dawn 5 %", "Secchi m", "chlorophyll ug/L"]
    fill(PAGE, "two ranges", table([*head, "near the bed degC"], rows))


if __name__ == "__main__":
    main()
