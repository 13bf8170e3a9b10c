"""What a reviewer asks for: limits, methods, sources, parameters, version and the scenario itself."""

from __future__ import annotations

from typing import Any

from pondsim.comparison.cells import limits_text
from pondsim.measures import criteria
from pondsim.reporting.blocks import (
    Block,
    Cell,
    Fold,
    Group,
    Items,
    Listing,
    Part,
    Row,
    Table,
    alike,
    note,
    said,
    words,
)
from pondsim.reporting.members import where_interval
from pondsim.reporting.sources import limits, methods, references
from pondsim.reporting.study import Study, fact, files_of
from pondsim.reporting.tables import unit_words
from pondsim.units import number_text
from pondsim.words import MARKS

WEAK = ("J", "M")  # marks of values to vary before a promise hangs on them
NO_SOURCE = ("judgement", "common practice, no source")
CRITERION_LINES = {
    "mean_30_day": "30-day mean",
    "mean_7_day": "7-day mean",
    "mean_minimum_7_day": "7-day mean minimum",
    "minimum_1_day": "1-day minimum",
}


def limits_part(study: Study) -> Part:
    """What the model does not know, and what decides the answer for this pond where that was computed."""
    found = limits()
    items = tuple((row["what"], row["words"]) for row in found["left_out"])
    rows = tuple(Row(alike(row["what"]), (words(row["why"]),)) for row in found["weak"])
    weak = Table("weak", alike("What is weakly founded"), ("what", "why"), (Group(alike(""), rows),))
    blocks: list[Block] = [said(limits_text(where_interval(study))), *_sensitivity(study), Items(items), weak]
    return Part("limits", "What the model does not know", tuple(blocks))


def _sensitivity(study: Study) -> list[Block]:
    """Which unknowns decide the difference on this pond; that it was not computed where it was not."""
    decides = study.promise.decides if study.promise else ()
    if not decides:
        return [
            note(
                "How much each unknown moves the answer for this pond was not computed for this page. Vary "
                "sediment oxygen demand and mixing first, over low to high of the table of parameters."
            )
        ]
    rows = tuple(
        Row(alike(unknown), (Cell(alike(f"{100.0 * share:.0f}"), order=share),)) for unknown, share in decides
    )
    caption = alike("What decides the difference on this pond")
    head = ("unknown", "share of the spread between members, %")
    return [Table("sensitivity", caption, head, (Group(alike(""), rows),))]


def methods_part(study: Study) -> Part:
    """Methods with their sources, parameters with their ranges."""
    rows = tuple(
        Row(alike(row["topic"]), (words(row["words"]), words(", ".join(row["sources"]) or "-")))
        for row in methods()
    )
    table = Table(
        "methods",
        alike("What is computed, and after whom"),
        ("topic", "how", "sources"),
        (Group(alike(""), rows),),
    )
    blocks: list[Block] = [table, _criterion(study), *_parameters(study)]
    return Part("methods", "Methods, parameters and sources", (*blocks, _cited(study)))


def _criterion(study: Study) -> Block:
    key = str(study.datasets[0].attrs["criterion"])
    chosen = criteria().get(key)
    if key == "own":
        return said("Criteria: limits of the user's own, as stated in the scenario.")
    if chosen is None:
        return note(f"The criterion {key} of these results is not known to this version.")
    lines = ", ".join(f"{CRITERION_LINES[line]} {limit:g} mg/L" for line, limit in chosen.limits.items())
    return said(f"Criteria: {chosen.name}: {lines}; source {chosen.source}, {MARKS[chosen.mark]}.")


def _parameters(study: Study) -> list[Block]:
    """Values as used by design; only what differs from design to design has more than one."""
    by_design = [fact(dataset, "parameters") for dataset in study.datasets]
    if not any(by_design):
        return [note("These results do not hold their parameters: run the designs again with this version.")]
    known: dict[str, dict[str, Any]] = {}
    for parameters in by_design:
        for row in parameters or []:
            known.setdefault(row["key"], row)
    values = [{row["key"]: row["value"] for row in parameters or []} for parameters in by_design]
    rows = tuple(_parameter(row, [own.get(key) for own in values]) for key, row in known.items())
    table = Table(
        "parameters",
        alike(f"Parameters as used, with the range in which the truth may lie; mark: {_marks()}"),
        ("parameter", "meaning", "used", "default", "low", "high", "unit", "source", "mark"),
        (Group(alike(""), rows),),
    )
    weak = sum(1 for row in known.values() if row["mark"] in WEAK)
    own = sum(1 for row in known.values() if row["mark"] == "S")
    text = said(
        f"{weak} of {len(known)} values rest on judgement or on a source quoted from memory: marked. "
        f"Vary them over low to high before a promise hangs on them. {own} are stated by the user."
    )
    return [text, Fold(f"All {len(known)} parameters", (table,)), *_own_sources(study)]


def _own_sources(study: Study) -> list[Block]:
    """Where the user says that values of his come from, parameters and all others."""
    given: dict[str, str] = {}
    for dataset in study.datasets:
        given |= fact(dataset, "sources") or {}
    if not given:
        return []
    items = tuple((key, f" {text}") for key, text in given.items())
    return [Fold("Sources stated with the values", (Items(items),))]


def _parameter(row: dict[str, Any], used: list[Any]) -> Row:
    texts = dict.fromkeys(_value(value) for value in used if value is not None)
    value = row["value"]
    mark = "!" if row["mark"] in WEAK else ""
    return Row(
        alike(row["key"]),
        (
            words(row.get("about", "")),
            Cell(alike("; ".join(texts)), order=None if isinstance(value, list) else value),
            *(_number(row.get(name)) for name in ("default", "low", "high")),
            words(unit_words(row["unit"])),
            words(row["source"]),
            Cell(alike(row["mark"]), mark, order=row["mark"], number=False),
        ),
    )


def _marks() -> str:
    return "; ".join(f"{mark} {text}" for mark, text in MARKS.items())


def _value(value: Any) -> str:
    if isinstance(value, list):
        low, high = min(value), max(value)
        return number_text(low) if low == high else f"{number_text(low)} to {number_text(high)} by month"
    return number_text(float(value))


def _number(value: float | None) -> Cell:
    return Cell(alike("-" if value is None else number_text(float(value))), order=value)


def _cited(study: Study) -> Block:
    """Every source named in this part, as a list."""
    keys = {key for row in methods() for key in row["sources"]}
    for dataset in study.datasets:
        keys |= {row["source"] for row in fact(dataset, "parameters") or [] if row["mark"] != "S"}
    chosen = criteria().get(str(study.datasets[0].attrs["criterion"]))
    keys |= {chosen.source} if chosen else set()
    known = references()
    items = []
    for key in sorted(keys - set(NO_SOURCE)):
        source = known.get(key)
        text = (
            source.citation + (f" [{source.note}]" if source.note else "")
            if source
            else "not in this version"
        )
        items.append((key, f" {text}"))
    return Fold(f"The {len(items)} sources", (Items(tuple(items)),))


def scenario_part(study: Study) -> Part:
    """Version, numerics, and the text of the scenario files, each file once."""
    rows = []
    for name, text in (
        ("pondsim_version", "version of pondsim"),
        ("results_format", "results format"),
        ("tolerance", "numerics.tolerance"),
        ("hydraulic_step_s", "hydraulic step, s"),
        ("start_dependence_days", "days on which the start still shows"),
    ):
        given = [dataset.attrs.get(name) for dataset in study.datasets]
        if any(value is not None for value in given):
            rows.append(Row(alike(text), tuple(Cell(alike(_attribute(value))) for value in given)))
    table = Table("runs", alike("The runs"), ("of the run", *study.titles), (Group(alike(""), tuple(rows)),))
    files: dict[tuple[str, str], list[str]] = {}
    for title, dataset in zip(study.titles, study.datasets, strict=True):
        for file in files_of(dataset):
            files.setdefault(file, []).append(title)
    listings = tuple(
        Listing(
            name if len(titles) == len(study.titles) > 1 else f"{name} ({', '.join(titles)})",
            without_comments(text),
        )
        for (name, text), titles in files.items()
    )
    again = said(
        "The results files hold these files whole, with their comments and tables: pondsim export "
        "FILE.nc --scenario FOLDER writes them, to run again number for number. Comment lines are left out."
    )
    blocks: list[Block] = [table]
    if listings:
        blocks += [again, Fold("The scenario files", listings)]
    else:
        blocks.append(note("The results hold no scenario text."))
    blocks.insert(1, _grid_check(study))
    return Part("scenario", "Version and scenario", tuple(blocks))


def _grid_check(study: Study) -> Block:
    """Whether anybody looked at what layers and steps add to the answer, and what was found."""
    bands = study.comparison.bands
    if bands is None:
        return note(
            "No grid check was given: ties are differences within assumed bands. Made with pondsim gridcheck "
            "--json and read with --bands, it shows how far layers, steps and zones move every measure."
        )
    minimum = study.comparison.day_minimum
    held = [study.comparison.in_worst_zone(name) for name in ("days_failing_top", "dawn_lowest_top")]
    moved = [
        f"{words} {number_text(one.moved, 2)} {one.unit}"
        for words, one in zip(
            (f"days below the {minimum} in the worst zone", "the minimum dawn oxygen"), held, strict=True
        )
    ]
    return said(
        f"Grid check ({', '.join(bands.designs)}): {'; '.join(bands.ways)}. "
        f"Largest moves: {', '.join(moved)}. Ties and printed digits follow it."
    )


def without_comments(text: str) -> str:
    """A TOML file without its empty lines and those that are comment alone; strings of several lines stay."""
    quoted = '"""' in text or "'''" in text
    lines = text.splitlines()
    kept = lines if quoted else [line for line in lines if line.strip() and not line.lstrip().startswith("#")]
    return "\n".join(kept)


def _attribute(value: Any) -> str:
    if value is None:
        return "-"
    return value if isinstance(value, str) else number_text(float(value))
