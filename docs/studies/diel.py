"""A hot week's days and nights in the pond as it is: figure and numbers of docs/behaviour.md."""

from __future__ import annotations

import numpy as np
import xarray as xr
from common import HOT_WEEK, KG_IN_LB, bottom, computed, demo, fill, label_ends, save, table, top

from pondsim.figures.style import colour, dash, dress, new_figure

DAYS = slice("2025-08-05", "2025-08-08")
ZONE = "deep_pool"


def main() -> None:
    """Run the pond, draw three days, and write what day and night do."""
    pond = computed(demo())
    figure = new_figure(5.2)
    above, below = figure.subplots(2, 1, sharex=True)
    ends = []
    for index, (series, words) in enumerate(
        [
            (top(pond, ZONE, "oxygen_saturation"), "saturation, top"),
            (top(pond, ZONE), "top meter"),
            (bottom(pond, ZONE), "near the bed"),
        ]
    ):
        part = series.sel(time=DAYS)
        above.plot(part["time"], part, color=colour(index), linestyle=dash(index), linewidth=1.5)
        ends.append((float(part[-1]), words, colour(index)))
    dress(above, "Oxygen swings by day and night at the top; near the bed there is none", "mg/L")
    label_ends(above, ends, 0.6, pond["time"].sel(time=DAYS).values[-1])
    ends = []
    for index, (series, words) in enumerate(
        [(pond["air_temperature"], "air"), (top(pond, ZONE, "water_temperature"), "top meter"),
         (bottom(pond, ZONE, "water_temperature"), "near the bed")]
    ):  # fmt: skip
        part = series.sel(time=DAYS)
        below.plot(part["time"], part, color=colour(index), linestyle=dash(index), linewidth=1.5)
        ends.append((float(part[-1]), words, colour(index)))
    dress(below, "The top follows the sun by three degrees, the water near the bed does not", "degC")
    label_ends(below, ends, 1.0, pond["time"].sel(time=DAYS).values[-1])
    save(figure, "diel")
    fill("behaviour.md", "diel", _numbers(pond))


def _numbers(pond: xr.Dataset) -> str:
    week = top(pond, ZONE).sel(time=HOT_WEEK)
    full = top(pond, ZONE, "oxygen_saturation").sel(time=HOT_WEEK)
    by_day = week.resample(time="1D")
    low, high = float(by_day.min().mean()), float(by_day.max().mean())
    hour = week["time"].dt.hour.values
    at = [int(np.median([day.values.argmin() for _, day in by_day])),
          int(np.median([day.values.argmax() for _, day in by_day]))]  # fmt: skip
    rates = pond["oxygen_rate"].sel(time=HOT_WEEK) / KG_IN_LB
    night = (hour < 6) | (hour >= 20)
    rows = []
    for line in rates["oxygen_pathway"].values:
        one = rates.sel(oxygen_pathway=line)
        rows.append(
            [
                str(line).replace("_", " "),
                f"{float(one[~night].mean()):.1f}",
                f"{float(one[night].mean()):.1f}",
            ]
        )
    total = rates.sum("oxygen_pathway")
    rows.append(["sum", f"{float(total[~night].mean()):.1f}", f"{float(total[night].mean()):.1f}"])
    words = (
        f"Hot week (3 to 9 August), deep pool, top meter: {low:.1f} mg/L at {at[0]} h, {high:.1f} mg/L at {at[1]} h "
        f"on the average day; saturation {float(full.mean()):.1f} mg/L. Oxygen budget of the whole pond by day "
        "(6 to 20 h) and by night, lb/d while it lasts:\n\n"
    )
    return words + table(["line", "day", "night"], rows)


if __name__ == "__main__":
    main()
