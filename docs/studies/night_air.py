"""What air does at dawn in a hot week, and why: figure and numbers of docs/behaviour.md."""

from __future__ import annotations

from dataclasses import replace

import xarray as xr
from common import HOT_WEEK, bottom, budget, computed, dawns, demo, fill, limit_line, save, table

from pondsim.figures.style import colour, dress, hatch, new_figure
from pondsim.measures import measures_of
from pondsim.scenario.settings import Scenario

HOUR = 3600.0
ZONES = ("forebay", "deep_pool", "terrace", "cove", "far_arm")
LINES = ("surface_exchange", "waterfall", "bubbles", "photosynthesis", "respiration", "organic_decay",
         "nitrification", "bed_demand", "bottom_debt_oxidation")  # fmt: skip


def main() -> None:
    """Run the four designs and what takes one cause away at a time."""
    night = demo("waterfall_night_air").aeration
    by_day = tuple(replace(unit, hours=((8 * HOUR, 21 * HOUR),)) for unit in night)
    designs = {
        "existing": demo(),
        "waterfall": demo("waterfall"),
        "waterfall + night air": demo("waterfall_night_air"),
        "night air alone": replace(demo(), aeration=night),
        "day air alone": replace(demo(), aeration=by_day),
        "air all day": demo("air_all_day"),
    }
    runs = {name: computed(pond) for name, pond in designs.items()}
    _draw(runs)
    fill("behaviour.md", "night air", _week(runs))
    fill("behaviour.md", "night air causes", _causes(designs["existing"], designs["air all day"], runs))
    fill("behaviour.md", "night air mixing", _floors(designs, runs))


def _floors(designs: dict[str, Scenario], runs: dict[str, xr.Dataset]) -> str:
    """The verdict on air at both ends of what is known of mixing below the surface layer."""
    rows = []
    for words, floor in (("1.4e-7, molecular", 1.4e-7), ("6e-7, default", None), ("1e-6, high", 1e-6)):
        cells, failing = [], []
        for name in ("existing", "waterfall", "waterfall + night air", "air all day"):
            pond = designs[name]
            if floor is None:
                one = runs[name]
            else:
                one = computed(replace(pond, mixing=replace(pond.mixing, diffusivity_floor=floor)))
            cells.append(f"{float(dawns(one, 'deep_pool').mean()):.2f}")
            failing.append(f"{int(measures_of(one)['days_failing_top'].max())}")
        rows.append([words, *(f"{dawn} ({days} d)" for dawn, days in zip(cells, failing, strict=True))])
    return table(
        ["least diffusivity, m2/s", "existing", "waterfall", "waterfall + night air", "air all day"], rows
    )


def _draw(runs: dict[str, xr.Dataset]) -> None:
    figure = new_figure(3.4)
    axes = figure.subplots()
    wide = 0.8 / len(runs)
    for index, (name, pond) in enumerate(runs.items()):
        heights = [float(dawns(pond, zone).mean()) for zone in ZONES]
        places = [k + (index - 0.5 * (len(runs) - 1)) * wide for k in range(len(ZONES))]
        axes.bar(
            places,
            heights,
            wide * 0.92,
            color=colour(index),
            hatch=hatch(index),
            label=name,
            edgecolor="white",
        )
    axes.set_xticks(range(len(ZONES)), [zone.replace("_", " ") for zone in ZONES])
    limit_line(axes, 3.0, "3 mg/L")
    dress(
        axes,
        "In the hot week the waterfall and air all day raise dawn oxygen, air by night alone lowers it",
        "mg/L",
    )
    axes.set_ylim(0.0, 7.0)
    axes.legend(ncols=3, frameon=False, fontsize=8.0, loc="upper right")
    save(figure, "night_air")


def _week(runs: dict[str, xr.Dataset]) -> str:
    head = ["hot week, 3 to 9 August", *runs]
    rows = [
        [
            f"dawn oxygen, top of {z.replace('_', ' ')} [mg/L]",
            *(f"{float(dawns(p, z).mean()):.2f}" for p in runs.values()),
        ]
        for z in ("deep_pool", "far_arm")
    ]
    heat = (
        f"{float(bottom(p, 'deep_pool', 'water_temperature').sel(time=HOT_WEEK).mean()):.1f}"
        for p in runs.values()
    )
    rows.append(["deep pool near the bed [degC]", *heat])
    held = (
        (p["box_volume"] * p["dissolved_oxygen"]).sum(("zone", "layer")).sel(time=HOT_WEEK)
        for p in runs.values()
    )
    rows.append(["oxygen in the whole pond [kg]", *(f"{float(kg.mean()) / 1e3:.1f}" for kg in held)])
    budgets = [budget(pond) for pond in runs.values()]
    rows += [[f"{line.replace('_', ' ')} [lb/d]", *(f"{b[line]:.1f}" for b in budgets)] for line in LINES]
    return table(head, rows)


def _causes(existing: Scenario, air: Scenario, runs: dict[str, xr.Dataset]) -> str:
    def with_bed(pond: Scenario, **keys: float) -> Scenario:
        return replace(pond, bed=replace(pond.bed, **keys))

    def half(pond: Scenario) -> Scenario:
        zones = tuple(replace(z, bed_oxygen_demand=0.5 * (z.bed_oxygen_demand or 0.0)) for z in pond.zone)
        return replace(pond, zone=zones)

    tests = {
        "as it is": None,
        "bed's demand does not grow with warmth (theta 1)": lambda pond: with_bed(
            pond, oxygen_demand_theta=1.0
        ),
        "all unmet demand leaves as debt (share 1)": lambda pond: with_bed(pond, reduced_share=1.0),
        "half of the bed's demand": half,
    }
    rows = []
    for words, change in tests.items():
        pair = (runs["existing"], runs["air all day"])
        if change is not None:
            pair = (computed(change(existing)), computed(change(air)))
        values = [float(dawns(pond, "deep_pool").mean()) for pond in pair]
        rows.append([words, *(f"{v:.2f}" for v in values), f"{values[1] - values[0]:+.2f}"])
    still = replace(air, aeration=tuple(replace(unit, transfer_efficiency=1e-6) for unit in air.aeration))
    value, before = (float(dawns(pond, "deep_pool").mean()) for pond in (computed(still), runs["existing"]))
    rows.append(["bubbles that only move water", f"{before:.2f}", f"{value:.2f}", f"{value - before:+.2f}"])
    head = ["dawn oxygen, top of the deep pool, hot week [mg/L]", "existing", "air all day", "difference"]
    return table(head, rows)


if __name__ == "__main__":
    main()
