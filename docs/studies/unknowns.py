"""Which unknown moves the answer most: parameters at their low and their high, one at a time.

Some eighty runs of the demo with 8 layers, each pair over a bed filled by one run more: ten minutes.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any, cast

import numpy as np
from common import HOT_WEEK, bottom, computed, dawns, demo, fill, save, table

from pondsim.figures.style import EXISTING, INK, SIZE, colour, dress, new_figure
from pondsim.scenario.defaults import Parameter, default_parameters
from pondsim.scenario.settings import Scenario
from pondsim.scenario.values import with_values
from pondsim.site.runoff_quality import concentrations_of

CHEAPER = {"numerics.tolerance": 3.0, "bed.passes": 1, "pond.layers": 8}
TRIED = {  # the rest moves less, or is measured more easily than guessed
    "mixing": "diffusivity_floor wind_reduction cooling_entrainment gravity_exchange dispersion_multiplier",
    "bed": "oxygen_demand reduced_share oxygen_demand_theta anoxic_decay fast_share fast_decay debt_ceiling",
    "algae": "sinking growth mortality",
    "phosphorus": "bound_start",
    "organic_matter": "grown_settling",
    "gas_transfer": "k600_cooling k600_at_no_wind",
    "stormwater": "phosphorus",
    "aeration": "transfer_efficiency_fine",
    "light": "algae_extinction",
}
SHOWN = 9
LEAST = 0.15  # what the table leaves out
RESULTS = {
    "top of the deep pool at dawn": "mg/L",
    "top of the far arm at dawn": "mg/L",
    "deep pool near the bed": "degC",
}
GAIN = "gain of waterfall + night air, deep pool"


def varied(pond: Scenario, row: Parameter, value: float) -> Scenario | None:
    """The pond with one parameter changed; what the demo gives itself is scaled. None where it has no say."""
    section, key = row.name.split(".")
    ratio = value / row.value if row.value else 1.0
    if row.name == "bed.oxygen_demand":
        zones = (replace(z, bed_oxygen_demand=ratio * (z.bed_oxygen_demand or 0.0)) for z in pond.zone)
        return replace(pond, zone=tuple(zones))
    if section == "stormwater":
        own = (getattr(concentrations_of(area), key) for area in pond.drainage)
        areas = (replace(a, **{key: ratio * mine}) for a, mine in zip(pond.drainage, own, strict=True))
        return replace(pond, drainage=tuple(areas))
    if section == "aeration":
        kind = key.removeprefix("transfer_efficiency_")
        if kind != key:
            units = (replace(u, transfer_efficiency=value) if u.kind == kind else u for u in pond.aeration)
        else:
            units = (replace(u, **cast(dict[str, Any], {key: value})) for u in pond.aeration)
        changed = tuple(units)
        return None if changed == pond.aeration else replace(pond, aeration=changed)
    found = getattr(pond, section)
    return None if found is None else replace(pond, **{section: replace(found, **{key: value})})


def answers(pond: Scenario) -> np.ndarray:
    """The three numbers of `RESULTS`, means over the hot week."""
    run = computed(pond)
    dawn = [float(dawns(run, zone).mean()) for zone in ("deep_pool", "far_arm")]
    return np.array([*dawn, float(bottom(run, "deep_pool", "water_temperature").sel(time=HOT_WEEK).mean())])


def main() -> None:
    """Run all, draw the longest bars, and write the table."""
    ponds = [with_values(demo(name), CHEAPER) for name in ("existing", "waterfall_night_air")]
    base = [answers(pond) for pond in ponds]
    found: dict[str, np.ndarray] = {}  # name: (2 ends, 2 designs, 3 answers)
    rows = default_parameters()
    for row in (rows[f"{section}.{key}"] for section, keys in TRIED.items() for key in keys.split()):
        ends = []
        for value in (row.low, row.high):
            changed = [varied(pond, row, value) for pond in ponds]
            ends.append(
                [
                    old if pond in (None, before) else answers(pond)
                    for pond, before, old in zip(changed, ponds, base, strict=True)
                ]
            )
        found[row.name] = np.array(ends)
        print(row.name, *found[row.name].round(2).tolist(), flush=True)
    moves = {name: _moves(values) for name, values in found.items()}
    start = np.append(base[0], base[1][0] - base[0][0])
    _draw(moves, start)
    fill("behaviour.md", "unknowns", _table(moves, start))


def _moves(values: np.ndarray) -> np.ndarray:
    """(2 ends, 4 results): the three answers of the existing pond and the gain."""
    gain = values[:, 1, 0] - values[:, 0, 0]
    return np.concatenate([values[:, 0, :], gain[:, None]], axis=1)


def _order(moves: dict[str, np.ndarray], result: int, start: np.ndarray) -> list[str]:
    return sorted(moves, key=lambda name: -np.abs(moves[name][:, result] - start[result]).max())


def _draw(moves: dict[str, np.ndarray], start: np.ndarray) -> None:
    figure = new_figure(6.4)
    panels = figure.subplots(2, 2).ravel()
    rows = default_parameters()
    for result, (axes, words, unit) in enumerate(
        zip(panels, [*RESULTS, GAIN], [*RESULTS.values(), "mg/L"], strict=True)
    ):
        names = _order(moves, result, start)[:SHOWN][::-1]
        for place, name in enumerate(names):
            low, high = moves[name][:, result]
            axes.barh(place + 0.2, low - start[result], 0.38, left=start[result], color=colour(3))
            axes.barh(place - 0.2, high - start[result], 0.38, left=start[result], color=colour(2))
        axes.axvline(start[result], color=EXISTING, linewidth=1.0)
        labels = [
            f"{n.split('.')[1].replace('_', ' ')}\n{rows[n].texts[1]} - {rows[n].texts[2]}" for n in names
        ]
        axes.set_yticks(range(len(names)), labels)
        dress(axes, words[0].upper() + words[1:], "")
        axes.tick_params(axis="y", labelsize=SIZE - 3)
        axes.grid(axis="x", color="#c9d2d6", linewidth=0.6)
        axes.set_xlabel(
            f"{unit}   (light: parameter at its low, orange: at its high)", fontsize=SIZE - 1, color=INK
        )
    save(figure, "unknowns")


def _table(moves: dict[str, np.ndarray], start: np.ndarray) -> str:
    rows = default_parameters()
    head = ["at its low / at its high", "low - high", "deep pool, dawn [mg/L]", "far arm, dawn [mg/L]",
            "near the bed [degC]", "gain at dawn [mg/L]"]  # fmt: skip
    cells = [["all at their defaults", "", *(f"{value:.2f}" for value in start)]]
    for name in _order(moves, 0, start):
        if np.abs(moves[name] - start).max() < LEAST:
            continue
        ends = [f"{low:.2f} / {high:.2f}" for low, high in moves[name].T]
        cells.append([f"`{name}`", f"{rows[name].texts[1]} - {rows[name].texts[2]}", *ends])
    small = [f"`{name}`" for name in moves if np.abs(moves[name] - start).max() < LEAST]
    return table(head, cells) + f"\n\nUnder {LEAST} everywhere: {', '.join(small)}."


if __name__ == "__main__":
    main()
