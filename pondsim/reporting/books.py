"""The books: oxygen in and out, circulation, solids and bed, mass balance."""

from __future__ import annotations

import numpy as np

from pondsim import measures
from pondsim.comparison.names import listed
from pondsim.comparison.water_age import age_text, dead_places, place_age
from pondsim.figures.ages import ages
from pondsim.figures.bed import bed_growth
from pondsim.figures.budget import oxygen_budget
from pondsim.measures.circulation import FORGOTTEN, RunningAges
from pondsim.reporting.blocks import Block, Both, Cell, Group, Part, Row, Table, alike, note, said
from pondsim.reporting.pictures import picture
from pondsim.reporting.study import Study
from pondsim.reporting.tables import measure_table
from pondsim.units import convert, number_text

BALANCES = {
    "water": "water",
    "heat": "heat",
    "oxygen": "oxygen",
    "salt": "salt",
    "solids": "solids, the worst settling class",
    "redox": "oxygen and all oxygen demand",
}
CLOSED = 1e-6  # a run with a wider gap is refused


def oxygen_part(study: Study) -> Part:
    """Where the oxygen came from and went."""
    rates = measure_table(
        study.comparison,
        "oxygen_budget",
        "Oxygen into the water, mean of the run; out of it is negative",
        lambda row: row.key.startswith("oxygen_budget."),
    )
    totals = _oxygen_totals(study)
    drawn = picture(
        "budget",
        lambda system: oxygen_budget(study.datasets, system=system),
        "Oxygen into the water (right of zero) and out of it (left), by line of the budget.",
        study.titles,
        key=True,
    )
    words = said(
        "Compare what the equipment adds with what the sediment consumes, sediment oxygen demand and bottom "
        "oxygen debt together: where it adds a small part of that, its other effects come from the water it "
        "moves."
    )
    return Part(
        "oxygen", "Where the oxygen came from and went", (words, drawn, *([rates] if rates else []), totals)
    )


def _oxygen_totals(study: Study) -> Table:
    """Pounds or kilograms over the run, by line of the budget."""
    by_design = [measures.oxygen_budget(dataset) for dataset in study.datasets]
    days = study.comparison.days
    lines = {
        row.key.partition(".")[2]: row.label
        for row in study.comparison.rows
        if row.key.startswith("oxygen_budget.")
    }
    rows = [
        Row(
            alike(words),
            tuple(
                _amount(budget.get(line, 0.0) * days, f"oxygen_total.{line}#{design}")
                for design, budget in enumerate(by_design)
            ),
        )
        for line, words in lines.items()
    ]
    caption = Both("Oxygen over the whole run, lb", "Oxygen over the whole run, kg")
    return Table("oxygen_totals", caption, ("line", *study.titles), (Group(alike(""), tuple(rows)),))


def _amount(kg: float, key: str) -> Cell:
    return Cell(Both(number_text(convert(kg, "kg", "lb")), number_text(kg)), order=kg, key=key)


def circulation_part(study: Study) -> Part:
    """Nominal turnover time against ages of the water; dead zones by name and depth."""
    comparison = study.comparison
    table = measure_table(
        comparison,
        "circulation",
        "Circulation",
        lambda row: row.key.startswith(("nominal_turnover", "renewed_share", "replaced_share", "days_since")),
    )
    blocks: list[Block] = [
        said(_dead_zones(study, design), name=title) for design, title in enumerate(study.titles)
    ]
    if any(measures.nominal_turnover_days(dataset) < np.inf for dataset in study.datasets):
        blocks.append(
            picture(
                "ages",
                lambda system: ages(study.datasets, system=system),
                "Days since the waterfall and since inflow by zone, at the run's mean flows; the tick is "
                "the nominal turnover time.",
                study.titles,
                key=True,
                alike_units=True,
            )
        )
    if table:
        said_of_turnover = (
            "Nominal turnover time is volume over pumped flow: it says nothing of where the water goes."
        )
        blocks += [table, note(said_of_turnover)]
    return Part("circulation", "Circulation: nominal turnover time and ages of the water", tuple(blocks))


def _dead_zones(study: Study, design: int) -> str:
    dataset = study.datasets[design]
    nominal = measures.nominal_turnover_days(dataset)
    if not np.isfinite(nominal):
        return "no circulation, so no water comes from a waterfall."
    words = f"nominal turnover time {number_text(nominal, 2)} d"
    mean, by_zone = measures.mean_age(dataset), measures.age_by_zone(dataset)
    if np.isfinite(mean):
        words += f", mean age since the waterfall at the run's mean flows {number_text(mean, 2)} d"
    running = study.comparison.ages[design]
    if running is not None:
        words += ", which is too young where water is stratified" if np.isfinite(mean) else ""
        return f"{words}. {_as_it_goes(running)}"
    never = [zone for zone, age in zip(study.comparison.zones, by_zone, strict=True) if np.isinf(age)]
    if never:
        words += f"; water from the waterfall never reaches {listed(never)}"
    return (
        f"{words}. Ages at mean flows are too young where water is stratified, and these results hold no "
        "others for long enough: dead zones are not judged."
    )


def _as_it_goes(running: RunningAges) -> str:
    """Dead zones by place and depth; where there is none, the place with the oldest water."""
    dead = dead_places(running)
    named = listed(place_age(one) for one in dead or running.places[:1])
    head = "Dead zones" if dead else "No dead zone; the oldest water is that of"
    return (
        f"{head}{':' if dead else ''} {named}, by the median age after the first {FORGOTTEN} days "
        f"of the run; that of the whole pond is {age_text(running.pond)}."
    )


def solids_part(study: Study) -> Part:
    """What settles, and how the bed grows."""
    table = measure_table(
        study.comparison,
        "solids_and_bed",
        "Solids captured, and growth of the bed over the run",
        lambda row: row.key.startswith(("solids_captured", "solids_removed", "bed_growth")),
    )
    drawn = picture(
        "bed",
        lambda system: bed_growth(study.datasets, system=system),
        "Growth of the bed by zone, and through the run where most settles.",
        study.titles,
        key=True,
        pointer=True,
    )
    words = note("The bed does not rise in the model: what settles is counted, the depths stay as they are.")
    return Part("solids", "Solids and bed", (*([table] if table else []), drawn, words))


def balance_part(study: Study) -> Part:
    """How well the books close, as kept with each run."""
    rows = []
    for name, words in BALANCES.items():
        gaps = [dataset.attrs.get(f"balance_{name}") for dataset in study.datasets]
        if any(gap is not None for gap in gaps):
            rows.append(Row(alike(words), tuple(_gap(gap) for gap in gaps)))
    if not rows:
        return Part("balance", "Mass balance", (note("The results hold no mass balance."),))
    table = Table(
        "mass_balance",
        alike("Error of each balance, as a share of all inputs, outputs and contents"),
        ("balance", *study.titles),
        (Group(alike(""), tuple(rows)),),
    )
    held = said(
        "The content of the pond at the end is compared with that at the start and all inputs and outputs. "
        f"A run with an error above {CLOSED:g} is refused, not reported."
    )
    return Part("balance", "Mass balance", (held, table))


def _gap(gap: object) -> Cell:
    if gap is None:
        return Cell(alike("-"))
    most = float(np.max(np.asarray(gap, dtype=float), initial=0.0))
    return Cell(alike(f"{most:.0e}"), "!" if most > CLOSED else "", order=most)
