"""The question, the answer in words, and the table that an owner reads in two minutes."""

from __future__ import annotations

from pondsim.comparison import Comparison
from pondsim.comparison import Row as Measure
from pondsim.comparison.cells import LEGEND
from pondsim.comparison.findings import paragraphs
from pondsim.comparison.head import head
from pondsim.comparison.lengths import length_text
from pondsim.comparison.verdict import verdict
from pondsim.reporting.blocks import Block, Both, Group, Part, Row, Table, alike, note, said, words
from pondsim.reporting.members import where_interval
from pondsim.reporting.study import Study, pond_name
from pondsim.reporting.tables import measure_cells, measure_table, units_of, with_unit, worst_cells
from pondsim.words import CAUTIONS

WORST = (  # measure by zone: words of the row that takes the worst zone, filled by `worst_words`
    ("days_failing_top", "days below the {minimum} of oxygen, top"),
    ("dawn_lowest_top", "lowest oxygen at dawn, top"),
    ("hours_below_3_bottom", "hours below 3 mg/L, bottom"),
)
WHOLE = (
    ("fit_for_fish_mean", "water fit for fish, of the volume, mean"),
    ("nominal_turnover", "nominal turnover time"),
    ("replaced_share", ""),
    ("oxygen_budget.waterfall", "oxygen from the waterfall"),
    ("oxygen_budget.bubbles", "oxygen from the aeration"),
    ("solids_removed", "solids captured, algae that leave counted"),
    ("outlet_oxygen_mean", "oxygen of the water that leaves, mean"),
    ("outlet_oxygen_lowest", "oxygen of the water that leaves, lowest"),
    ("outlet_peak", "water that leaves, {label}"),
    ("electricity", "electricity over the run"),
    ("cost", "cost of the electricity"),
)
SIGNS = LEGEND.replace("difference to A", "difference to the first column")


def worst_words(comparison: Comparison) -> list[tuple[str, str]]:
    """Measures by zone with the words of the row that takes the worst zone."""
    return [(key, text.format(minimum=comparison.day_minimum)) for key, text in WORST]


def heading(study: Study) -> str:
    """Name of the page."""
    name = pond_name(study.datasets[0])
    return name or study.titles[0]


def answer(study: Study) -> Part:
    """The first part of the page."""
    comparison = study.comparison
    blocks: list[Block] = [said(_question(study), "lead")]
    blocks += [
        said(Both(us, si), "warning")
        for us, si in zip(head(comparison, "us"), head(comparison, "si"), strict=True)
    ]
    blocks.append(said(verdict(comparison, where_interval(study)), "verdict"))
    by_system = [paragraphs(comparison, system) for system in ("us", "si")]
    for title, us, si in zip(study.titles, *by_system, strict=True):
        blocks.append(said(Both(us, si), "finding", title))
    glance = _glance(study)
    if glance.groups[0].rows:
        blocks += [glance, note(SIGNS)]
    blocks += [said(text, "note") for text in comparison.notes]
    blocks.append(said(CAUTIONS, "warning"))
    title = "The run in short" if study.alone else "The question and the answer"
    return Part("answer", title, tuple(blocks))


def _question(study: Study) -> str:
    comparison = study.comparison
    period = f"from {comparison.start} to {comparison.end}, {length_text(comparison.days)}"
    if study.alone:
        return f"How does the pond do with \u201c{study.titles[0]}\u201d, {period}? One run, no comparison."
    named = "; ".join(f"\u201c{title}\u201d" for title in study.titles[1:])
    many = "does this design" if len(study.titles) == 2 else "do these designs"
    pond = f"\u201c{study.titles[0]}\u201d, {period}{_alike(study)}"
    return f"What {many} change against the pond {pond}: {named}?"


def _alike(study: Study) -> str:
    """What all files share, as far as it is known."""
    if any(apart.of_pond or apart.equipment is None for apart in study.comparison.unlike):
        return ""
    events = any(apart.of_events for apart in study.comparison.unlike)
    return f", in the same pond and weather{', under other events' if events else ''}"


def _glance(study: Study) -> Table:
    """Worst zone by criterion, and the numbers of the whole pond."""
    comparison = study.comparison
    rows = []
    for prefix, text in worst_words(comparison):
        members = [row for row in comparison.rows if row.key.startswith(f"{prefix}.")]
        if len(members) == 1:
            rows.append(_whole(members[0], f"{text}, {members[0].label}"))
        elif members:
            rows.append(Row(with_unit(text, *units_of(members[0])), worst_cells(members)))
    sheets = [sheet.count if sheet else "" for sheet in comparison.sheets]
    if any(sheets):
        cells = tuple(words(count or "-", f"design_sheet#{k}") for k, count in enumerate(sheets))
        rows.append(Row(alike("design sheet"), cells))
    for key, text in WHOLE:
        measure = comparison.row(key)
        if measure is not None and any(measure.values):
            rows.append(_whole(measure, text))
    by_zone = "the worst zone by criterion, and the pond as a whole"
    caption = alike(f"At a glance: {by_zone if len(comparison.zones) > 1 else 'criteria and the pond'}")
    return Table("at_a_glance", caption, ("measure", *study.titles), (Group(alike(""), tuple(rows)),))


def _whole(measure: Measure, text: str) -> Row:
    return Row(
        with_unit(text.format(label=measure.label) or measure.label, *units_of(measure)),
        measure_cells(measure),
    )


def criteria_part(study: Study) -> Part:
    """Every criterion by zone, before and after."""
    comparison = study.comparison
    kept = (
        "days_failing_",
        "windows_failing_",
        "mean_30_day_",
        "mean_7_day_",
        "mean_minimum_7_day_",
        "minimum_1_day_",
        "dawn_",
    )
    last = "; the last row of each block names the worst zone" if len(comparison.zones) > 1 else ""
    table = measure_table(
        comparison,
        "criteria",
        f"Criteria of oxygen by zone{last}",
        lambda row: row.key.startswith(kept),
        worst=True,
    )
    hours = measure_table(
        comparison,
        "hours_below",
        "Hours below a level of oxygen by zone",
        lambda row: row.is_main and row.key.startswith("hours_below"),
        worst=True,
    )
    more = measure_table(
        comparison,
        "hours_below_all",
        "Hours below a level of oxygen and longest run below it, by zone and depth",
        lambda row: not row.is_main and row.key.startswith(("hours_below", "longest_below")),
        worst=True,
    )
    fish = measure_table(
        comparison,
        "fit_for_fish",
        "Water fit for fish: oxygen and temperature within the limits of the scenario",
        lambda row: row.key.startswith("fit_for_fish"),
        worst=True,
    )
    blocks: list[Block] = [block for block in (table, hours, fish) if block is not None]
    if table is None:
        blocks.insert(
            0, note("No criterion can be judged: it needs results at least every hour, over a whole day.")
        )
    return Part(
        "criteria",
        "Before and after, criterion by criterion",
        (*blocks, note(SIGNS)),
        (more,) if more else (),
    )
