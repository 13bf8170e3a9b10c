"""The bloom that dies in August, and what it costs: numbers of docs/behaviour.md."""

from __future__ import annotations

import xarray as xr
from common import KG_IN_LB, computed, dawns, demo, fill, table, top

WEEK = slice("2025-08-22", "2025-08-30")
LATER = slice("2025-09-05", "2025-09-14")
ZONE = "deep_pool"


def main() -> None:
    """Run two designs with and without the crash of 22 August, and count."""
    rows = []
    for words, design in (("existing", "existing"), ("air all day", "air_all_day")):
        for dies in (True, False):
            pond = computed(demo(design) if dies else demo(design, bloom_crash=()))
            rows.append([f"{words}, {'70 % killed' if dies else 'nothing killed'}", *_numbers(pond)])
    head = ["August 22 to 30", "chlorophyll, Aug 21 / 25 ug/L", "Sep 5 to 14 ug/L", "decay lb/d", "production lb/d",
            "lowest dawn, deep pool mg/L", "far arm mg/L"]  # fmt: skip
    fill("behaviour.md", "crash", table(head, rows))


def _numbers(pond: xr.Dataset) -> list[str]:
    green = top(pond, ZONE, "chlorophyll")
    rates = pond["oxygen_rate"].sel(time=WEEK).mean("time") / KG_IN_LB
    return [
        " / ".join(f"{float(green.sel(time=day).mean()):.0f}" for day in ("2025-08-21", "2025-08-25")),
        f"{float(green.sel(time=LATER).mean()):.0f}",
        f"{-float(rates.sel(oxygen_pathway='organic_decay')):.0f}",
        f"{float(rates.sel(oxygen_pathway='photosynthesis')):.0f}",
        *(f"{float(dawns(pond, zone, WEEK).min()):.1f}" for zone in (ZONE, "far_arm")),
    ]


if __name__ == "__main__":
    main()
