"""What the waterfall adds beside what the bed takes: figure and numbers of docs/behaviour.md."""

from __future__ import annotations

import numpy as np
import xarray as xr
from common import HOT_WEEK, computed, demo, fill, label_ends, save, table, top

from pondsim.figures.style import colour, dash, dress, new_figure

ZONE = "terrace"


def main() -> None:
    """Run the waterfall design; draw and count by day."""
    pond = computed(demo("waterfall"))
    rates = pond["oxygen_rate"]
    by_day = rates.resample(time="1D").mean()
    asked = asked_by_day(pond)
    figure = new_figure(3.4)
    axes = figure.subplots()
    ends = []
    lines = [
        (asked, "the bed asks"),
        (
            -by_day.sel(oxygen_pathway=["bed_demand", "bottom_debt_oxidation"]).sum("oxygen_pathway"),
            "bed and its debt take",
        ),
        (by_day.sel(oxygen_pathway="waterfall"), "the waterfall adds"),
    ]
    for index, (series, words) in enumerate(lines):
        axes.plot(by_day["time"][:-1], series[:-1], color=colour(index), linestyle=dash(index), linewidth=1.5)
        ends.append((float(series[-8:-1].mean()), words, colour(index)))
    dress(axes, "The waterfall gives less than half of what the bed takes", "kg/d of oxygen")
    axes.set_ylim(bottom=0.0)
    label_ends(axes, ends, 1.2, by_day["time"].values[-2])
    save(figure, "waterfall_oxygen")
    rows = []
    for words, days in (("whole season", slice(None)), ("hot week, 3 to 9 August", HOT_WEEK)):
        part = rates.sel(time=days)
        hour = part["time"].dt.hour.values
        night = (hour < 6) | (hour >= 20)
        fall = part.sel(oxygen_pathway="waterfall")
        taken = -part.sel(oxygen_pathway=["bed_demand", "bottom_debt_oxidation"]).sum("oxygen_pathway")
        rows.append(
            [words, f"{float(fall.mean()):.2f}", f"{float(fall[night].mean()):.2f}", f"{float(fall[~night].mean()):.2f}",
             f"{float(taken.mean()):.1f}", f"{float(asked.sel(time=days).mean()):.1f}",
             f"{100 * float((fall < 0).mean()):.0f} %"]
        )  # fmt: skip
    head = ["kg/d of oxygen", "waterfall", "by night", "by day", "sediment oxygen demand met, debt included", "full sediment oxygen demand",
            "hours in which it takes oxygen out"]  # fmt: skip
    deficit = (top(pond, ZONE, "oxygen_saturation") - top(pond, ZONE)).sel(time=HOT_WEEK)
    words = (
        f"\n\nDeficit at the top of the terrace, where the loop draws, in the hot week: {float(deficit.mean()):.1f} mg/L "
        f"on the mean, from {float(deficit.min()):.1f} to {float(deficit.max()):.1f}."
    )
    fill("behaviour.md", "waterfall oxygen", table(head, rows) + words)


def asked_by_day(pond: xr.Dataset) -> xr.DataArray:
    """What the bed asks for, met or not, by day [kg/d]."""
    asked = (pond["bed_oxygen_demand"] * pond["zone_area"]).sum("zone") / 1e3
    return asked.resample(time="1D").mean().astype(np.float64)


if __name__ == "__main__":
    main()
