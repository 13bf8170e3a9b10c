"""Whether layers and hydraulic step drive the answer: the demo's designs on a finer grid, table of docs/behaviour.md."""

from __future__ import annotations

import numpy as np
import xarray as xr
from common import DESIGNS, computed, demo, fill, table

from pondsim.measures import dawn_oxygen, measures_of
from pondsim.scenario.settings import Scenario

LAYERS = 24
ZONES = ("forebay", "deep_pool", "terrace", "cove", "far_arm")


def refined(pond: Scenario) -> dict[str, dict[str, dict[str, float]]]:
    """What each case changes of a design: sections with keys."""
    third = pond.numerics.hydraulic_step / 3.0
    minutes = f"{pond.numerics.hydraulic_step / 60:.0f} min"
    layers = pond.pond.layers
    return {
        f"{layers} layers, {minutes}": {},
        f"{LAYERS} layers, {minutes}": {"pond": {"layers": LAYERS}},
        f"{layers} layers, {third / 60:.0f} min": {"numerics": {"hydraulic_step": third}},
    }


def main() -> None:
    """Run every design in every case, print and write the table."""
    rows = []
    for design in DESIGNS:
        base = None
        for words, sections in refined(demo(design)).items():
            run = computed(demo(design, **sections))
            base = run if base is None else base
            rows.append([design.replace("_", " "), words, *numbers(run, base)])
            print(*rows[-1], sep=" | ", flush=True)
    head = ["design", "layers, hydraulic step", "days failing, top", "hours below 3 mg/L, bottom",
            "dawn at the top: mean difference [mg/L]", "largest [mg/L]"]  # fmt: skip
    fill("behaviour.md", "grid", table(head, rows))


def numbers(run: xr.Dataset, base: xr.Dataset) -> list[str]:
    """Days and hours by zone, and the dawns of all days and zones against the base run."""
    measures = measures_of(run).sel(zone=list(ZONES))
    found = [
        " / ".join(f"{float(value):.0f}" for value in measures[name].values)
        for name in ("days_failing_top", "hours_below_3_bottom")
    ]
    if run is base:
        return [*found, "", ""]
    apart = dawn_oxygen(run)[1] - dawn_oxygen(base)[1]
    return [*found, f"{np.nanmean(apart):+.2f}", f"{np.nanmax(np.abs(apart)):.2f}"]


if __name__ == "__main__":
    main()
