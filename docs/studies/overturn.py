"""Stratification and its loss, by a storm and by a cold spell: figure and numbers of docs/behaviour.md."""

from __future__ import annotations

import xarray as xr
from common import bottom, computed, demo, fill, label_ends, note, save, table, top, without_rain

from pondsim.figures.style import colour, dash, dress, new_figure

ZONE = "deep_pool"
STORM = slice("2025-08-09", "2025-08-14")
COLD = slice("2025-09-03", "2025-09-12")
LAST = slice("2025-09-23", "2025-09-29")
SEASON = slice("2025-06-01", "2025-09-29")


def main() -> None:
    """Run the pond with and without the storm, and with a bed that keeps its debt; draw and count."""
    pond = demo()
    as_is = computed(pond)
    dry = computed(without_rain(pond, "2025-08-10"))
    no_debt = computed(demo(bed={"reduced_share": 0.0}))
    _draw(as_is)
    fill("behaviour.md", "overturn", _numbers(as_is, dry, no_debt))


def _draw(pond: xr.Dataset) -> None:
    figure = new_figure(7.2)
    heat, oxygen, debt = figure.subplots(3, 1, sharex=True)
    last = pond["time"].sel(time=SEASON).values[-1]
    for axes, name, gap in ((heat, "water_temperature", 1.4), (oxygen, "dissolved_oxygen", 1.3)):
        ends = []
        for index, (read, words) in enumerate([(bottom, "near the bed"), (top, "top meter")]):
            part = read(pond, ZONE, name).sel(time=SEASON)
            axes.plot(part["time"], part, color=colour(index + 1), linestyle=dash(index), linewidth=0.9)
            ends.append((float(part[-24:].mean()), words, colour(index + 1)))
        label_ends(axes, ends, gap, last)
    part = bottom(pond, ZONE, "reduced_substances").sel(time=SEASON)
    debt.plot(part["time"], part, color=colour(4), linewidth=1.2)
    dress(
        heat, "The deep pool stands 5 to 12 degrees apart all summer; the cold of September ends it", "degC"
    )
    dress(oxygen, "The bottom has no oxygen until the pond turns over", "mg/L")
    dress(
        debt, "Bottom oxygen debt gathers for three months and is paid in two cold spells", "mg/L of oxygen"
    )
    note(debt, part["time"].sel(time="2025-09-10T00:00").values, 12.0, "cold spell")
    save(figure, "overturn")


def _numbers(as_is: xr.Dataset, dry: xr.Dataset, no_debt: xr.Dataset) -> str:
    def low(pond: xr.Dataset, zone: str, days: slice) -> str:
        return f"{float(top(pond, zone).sel(time=days).min()):.2f}"

    rows = []
    for words, pond in (("as it is", as_is), ("without that storm", dry), ("bed lets no debt out", no_debt)):
        cells = [low(pond, zone, days) for days in (STORM, COLD, LAST) for zone in (ZONE, "far_arm")]
        rows.append([words, *cells])
    head = ["lowest oxygen of the top meter, mg/L", "storm: deep pool", "far arm", "cold spell: deep pool",
            "far arm", "end of September: deep pool", "far arm"]  # fmt: skip
    apart = top(as_is, ZONE, "water_temperature") - bottom(as_is, ZONE, "water_temperature")
    debt = bottom(as_is, ZONE, "reduced_substances")
    near = [
        float(debt.sel(time=day).mean()) for day in ("2025-09-05", "2025-09-11", "2025-09-25", "2025-09-28")
    ]
    held = (as_is["box_volume"] * as_is["reduced_substances"]).sum(("zone", "layer")) / 1e3
    kg = [
        float(held.sel(time=f"{day}T00:00"))
        for day in ("2025-08-09", "2025-09-06", "2025-09-12", "2025-09-29")
    ]
    words = (
        f"Top to bottom in the deep pool: {float(apart.sel(time='2025-08-07').mean()):.1f} degC on 7 August, "
        f"{float(apart.sel(time='2025-08-11').mean()):.1f} degC on 11 August after the storm, "
        f"{float(apart.sel(time='2025-09-09').mean()):.1f} degC on 9 September in the cold spell, "
        f"{float(apart.sel(time='2025-09-28').mean()):.1f} degC on 28 September. Debt near the bed falls from {near[0]:.1f} to {near[1]:.1f} mg/L between 5 and 11 "
        f"September, and from {near[2]:.1f} to {near[3]:.1f} mg/L between 25 and 28 September. The whole pond held "
        f"{kg[0]:.0f} kg of it on 9 August, {kg[1]:.0f} kg on 6, {kg[2]:.1f} kg on 12 and {kg[3]:.1f} kg on 29 "
        "September.\n\n"
    )
    return words + table(head, rows)


if __name__ == "__main__":
    main()
