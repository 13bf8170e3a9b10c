"""Whether grid and steps drive the answer: the demo's designs made finer, table of docs/behaviour.md.

Each design as it is and with twice and 40 layers, a tenth of the hydraulic step, a tenth of the tolerance, the deep
pool cut in two and in four: 28 runs, a quarter of an hour on an idle machine.
"""

from __future__ import annotations

from dataclasses import replace

from common import DESIGNS, KG_IN_LB, demo, fill, table

from pondsim.ensemble.finer import Finer, cut_in_two, finer
from pondsim.ensemble.gridcheck import grid_check
from pondsim.ensemble.moves import GridCheck, Moves
from pondsim.scenario.settings import Scenario

MOST_LAYERS = 40
HELD = (  # what is required, in words; measures; factor of the band where layers are most
    ("days failing, by zone [d]", ("days_failing_top.",), 2.0),
    ("mean dawn at the top, by zone [mg/L]", ("dawn_mean_top.",), 1.0),
    ("hours below 3 mg/L near the bed [h]", ("hours_below_3_bottom.",), 1.0),
    ("line of the oxygen budget [lb/d]", ("oxygen_budget.",), 1.0),
    ("days since the waterfall, by zone [d]", ("days_since_waterfall.",), 1.0),
)
DAWNS = ((1, "95 % of single dawns within [mg/L]", 0.15), (2, "every dawn within [mg/L]", 0.3))


def ways(scenario: Scenario) -> tuple[Finer, ...]:
    """The ways of `pondsim gridcheck`, and the most layers and four parts beside them."""
    pond = scenario.pond
    share = pond.layers / MOST_LAYERS
    most = replace(scenario, pond=replace(pond, layers=MOST_LAYERS, top_layer=pond.top_layer * share))
    two, (one, other) = cut_in_two(scenario, "deep_pool")
    four, first = cut_in_two(two, one)
    four, second = cut_in_two(four, other)
    by_name = {way.name: way for way in finer(scenario)}
    return (
        by_name["layers"],
        Finer("most layers", f"{MOST_LAYERS} layers instead of {pond.layers}", most),
        by_name["step"],
        by_name["tolerance"],
        by_name["zone"],
        Finer("four parts", "deep_pool cut in four", four, (*first, *second)),
    )


def over(row: Moves, way: str, factor: float) -> float:
    """Largest move of a measure in a way, over what is allowed of it."""
    found = [0.0]
    for value, moved in zip(row.values, row.finer[way], strict=True):
        if value is not None and moved is not None:
            found.append(abs(moved - value) / (factor * row.band(value, moved)))
    return max(found)


def required(check: GridCheck) -> list[list[str]]:
    """One row for each requirement: the largest move in each way, and where it is beyond the band."""
    rows = []
    for words, keys, factor in HELD:
        cells = []
        for way in check.ways:
            allowed = factor if way == "most layers" else 1.0
            held = [row for row in check.moves if row.key.startswith(keys)]
            worst = max(held, key=lambda row: row.move(way))
            beyond = [row for row in held if over(row, way, allowed) > 1.0]
            unit = KG_IN_LB if worst.unit == "kg/d" else 1.0
            cell = f"{worst.move(way) / unit:.2g}"
            cells.append(cell if not beyond else f"**{cell}** ({len(beyond)} of {len(held)})")
        rows.append([words, *cells])
    for place, words, most in DAWNS:
        moved = [check.dawns[way][place] for way in check.ways]
        rows.append([words, *(f"{x:.2f}" if x <= most else f"**{x:.2f}**" for x in moved)])
    rows.append(["differences between designs that change their sign", *(str(x) for x in turned(check))])
    return rows


def turned(check: GridCheck) -> list[int]:
    """How many differences to the existing pond that are beyond their assumed band change their sign."""
    counts = []
    for way in check.ways:
        count = 0
        for row in check.moves:
            if row.is_main and row.good:
                before, after = row.differences(row.values), row.differences(row.finer[way])
                for design, (a, b) in enumerate(zip(before, after, strict=True)):
                    if design and a is not None and b is not None and row.values[0] is not None:
                        count += abs(a) > row.band(row.values[0], row.values[0] + a) and a * b < 0.0
        counts.append(count)
    return counts


def days(check: GridCheck) -> str:
    """Days failing by zone of every design in every way."""
    rows = []
    zones = [row for row in check.moves if row.key.startswith("days_failing_top.")]
    for design, title in enumerate(check.titles):
        for words, pick in (("as it is", None), *((words, way) for way, words in check.ways.items())):
            values = [(row.values if pick is None else row.finer[pick])[design] for row in zones]
            rows.append([title, words, *(f"{value:.3g}" for value in values if value is not None)])
    return table(["design", "run", *(row.label for row in zones)], rows)


def main() -> None:
    """Run every design in every way, print and write the tables."""
    check = grid_check([demo(design) for design in DESIGNS], ways_of=ways, report=lambda x: print(f"{x:.2f}"))
    head = ["largest move of any design", *(words.split(" instead")[0] for words in check.ways.values())]
    text = "\n\n".join([table(head, required(check)), days(check)])
    print(text)
    fill("behaviour.md", "grid", text)


if __name__ == "__main__":
    main()
