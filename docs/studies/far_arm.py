"""Days since the waterfall and oxygen in the blind arm: figure and numbers of docs/behaviour.md."""

from __future__ import annotations

import numpy as np
import xarray as xr
from common import HOT_WEEK, changed, computed, dawns, demo, fill, label_ends, save, table

from pondsim.figures.style import colour, dash, dress, new_figure
from pondsim.measures import age_by_zone, renewed_share

CASES = {
    "as it is": {},
    "no gravity exchange": {"gravity_exchange": 0.0},
    "no dispersion": {"dispersion_multiplier": 0.0},
    "neither": {"gravity_exchange": 0.0, "dispersion_multiplier": 0.0},
    "gravity exchange at its high": {"gravity_exchange": 0.25},
}


def main() -> None:
    """Run the waterfall design with exchanges on and off."""
    pond = demo("waterfall")
    runs = {words: computed(changed(pond, mixing=keys)) for words, keys in CASES.items()}
    rows = []
    for words, run in runs.items():
        ages = dict(zip(run["zone"].values, age_by_zone(run), strict=True))
        rows.append(
            [words, *(f"{float(ages[z]):.2f}" for z in ("cove", "deep_pool", "forebay", "far_arm")),
             *(f"{float(dawns(run, z).mean()):.2f}" for z in ("deep_pool", "far_arm"))]
        )  # fmt: skip
    head = ["waterfall design", "days since the waterfall: cove", "deep pool", "forebay", "far arm",
            "dawn oxygen, hot week: deep pool [mg/L]", "far arm [mg/L]"]  # fmt: skip
    fill("behaviour.md", "far arm", table(head, rows))
    _bottom(runs["as it is"])


def _bottom(run: xr.Dataset) -> None:
    """The steady age of the deepest water against the age as it goes."""
    moving = run["age_since_waterfall"].sel(zone="deep_pool")
    figure = new_figure(3.0)
    axes = figure.subplots()
    ends = []
    layers = run.sizes["layer"]
    places = ((layers - 1, "top layer"), (layers // 2 - 1, "half depth"), (0, "deepest layer"))
    for index, (layer, words) in enumerate(places):
        series = moving.sel(layer=layer)
        axes.plot(run["time"], series, color=colour(index), linestyle=dash(index), linewidth=1.2)
        ends.append((float(series[-200:].mean()), words, colour(index)))
    dress(axes, "Under the thermocline the loop's water is two weeks old", "days since the waterfall")
    label_ends(axes, ends, 1.4, run["time"].values[-1])
    save(figure, "far_arm")
    summer = slice("2025-06-15", "2025-08-31")
    volume = run["box_volume"].sel(time=summer)
    young = float((volume * (run["age_since_waterfall"].sel(time=summer) < 3.0)).sum() / volume.sum())
    steady = run["steady_age_since_waterfall"].sel(zone="deep_pool")
    text = (
        f"Deepest layer of the deep pool: steady age at the run's mean flows {float(steady[0]):.1f} d, age as it goes "
        f"{float(moving.sel(layer=0, time=HOT_WEEK).mean()):.1f} d in the hot week. Share of the water younger than 3 "
        f"days: {100 * float(np.asarray(renewed_share(run))):.0f} % by the steady ages, {100 * young:.0f} % by the ages "
        "as they went from 15 June to 31 August."
    )
    fill("behaviour.md", "steady age", text)


if __name__ == "__main__":
    main()
