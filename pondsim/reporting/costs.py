"""What designs cost to build and keep, from the sums that `pondsim quantities` writes."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from pondsim.errors import Problem, ScenarioError
from pondsim.measures.declared import MONEY
from pondsim.reporting.blocks import Block, Cell, Group, Part, Row, Table, alike, note
from pondsim.reporting.study import Study
from pondsim.words import electricity_of

Sums = dict[str, Any]
NUMBERS = ("first", "each_year", "without_interest", "present_worth", "equal_yearly")
PER = ("per_kg_oxygen", "per_day_of_failure_avoided")


def read_sums(path: Path) -> Sums:
    """Sums of one design, as `pondsim quantities --json` writes them; ScenarioError for another file."""
    try:
        found = json.loads(path.read_text(encoding="utf-8"))
        texts = [found["title"], found["currency"]]
        whole = all(isinstance(text, str) for text in texts)
        numbers = [found[key] for key in (*NUMBERS, *PER, "years")] + [found.get("electricity_days")]
        plain = all(value is None or isinstance(value, int | float) for value in numbers)
        counted = found.get("electricity") in (True, False, None)
        if not whole or not plain or not counted or not isinstance(found["not_priced"], list):
            raise ValueError
    except OSError as error:
        raise ScenarioError(Problem(path, None, "", f"cannot be read: {error.strerror}")) from error
    except (ValueError, KeyError, TypeError) as error:
        words = "holds no sums of a design; write it with pondsim quantities --prices ... --json"
        raise ScenarioError(Problem(path, None, "", words)) from error
    return dict(found)


def money(amount: float | None, currency: str) -> str:
    """An amount with its thousands apart: $65,378, 1,200 EUR; "-" where there is none."""
    if amount is None:
        return "-"
    return f"${amount:,.0f}" if currency == MONEY else f"{amount:,.0f} {currency}"


def electricity_text(sums: Sums) -> str:
    """Whether the sums of a design over the years hold electricity, and of how many days of a year."""
    counted = sums.get("electricity")
    if counted is None:
        return "Whether these sums count electricity is not known: write them again with pondsim quantities."
    if not counted:
        return "LEFT OUT of these sums: electricity."
    if "electricity_days" not in sums:
        return (
            "These sums count electricity, of how many days of a year is not known: write them again with "
            "pondsim quantities."
        )
    days = sums["electricity_days"]
    return f"These sums count {'electricity as stated for a year' if days is None else electricity_of(days)}."


def check_sums(study: Study, sums: list[Sums]) -> None:
    """Refuse sums of a design that is not on the page, or in another currency than the first."""
    for one in sums:
        title = str(one["title"])
        if title not in study.titles:
            raise ScenarioError(
                f'costs of "{title}": no results of that title; there are {", ".join(study.titles)}'
            )
        if one["currency"] != sums[0]["currency"]:
            raise ScenarioError(
                f'costs of "{title}" are in {one["currency"]}, others in {sums[0]["currency"]}'
            )


def sums_by_title(study: Study, sums: list[Sums]) -> dict[str, Sums]:
    """Sums by the name of their design on the page; of several files of one title the first design's."""
    names: dict[str, str] = {}
    for dataset, name in list(zip(study.datasets, study.titles, strict=True))[1:]:
        names.setdefault(str(dataset.attrs.get("title")), name)
    return {names.get(str(one["title"]), str(one["title"])): one for one in sums}


def costs_part(study: Study, sums: list[Sums]) -> Part:
    """First cost, yearly cost and what a gain costs, a column for each design that has sums.

    Raises
    ------
    ScenarioError
        Sums of a design that is not on the page, or in another currency than the first.
    """
    check_sums(study, sums)
    by_title = sums_by_title(study, sums)
    currency, years = str(sums[0]["currency"]), sums[0]["years"]
    rows = {
        "first": "first cost",
        "each_year": "each year",
        "without_interest": f"{years} years, without interest",
        "present_worth": "present worth",
        "equal_yearly": "as equal yearly costs",
        "per_kg_oxygen": "for each kg of oxygen given to the water",
        "per_day_of_failure_avoided": f"per day below the {study.comparison.day_minimum} avoided, worst zone",
    }
    table = Table(
        "costs",
        alike(f"Cost at the designer's prices, {currency}"),
        ("cost", *study.titles),
        (
            Group(
                alike(""),
                tuple(
                    Row(
                        alike(words), tuple(_cell(by_title.get(title, {}).get(key)) for title in study.titles)
                    )
                    for key, words in rows.items()
                ),
            ),
        ),
    )
    blocks: list[Block] = [table, note("Prices are the designer's own; none comes with the program.")]
    missing = {title: one["not_priced"] for title, one in by_title.items() if one["not_priced"]}
    blocks += [note(f"{title}: {electricity_text(one)}") for title, one in by_title.items()]
    for title, names in missing.items():
        blocks.append(note(f"{title}: not priced, so every sum is too low: {', '.join(map(str, names))}."))
    return Part("costs", "Building and keeping", tuple(blocks))


def _cell(value: float | None) -> Cell:
    if value is None:
        return Cell(alike("-"))
    return Cell(alike(f"{value:,.0f}" if abs(value) >= 100.0 else f"{value:,.2f}"), order=float(value))
