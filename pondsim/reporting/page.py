"""Parts of the page in their order, rendered as one HTML text that needs nothing else."""

from __future__ import annotations

import json
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from markupsafe import Markup

from pondsim.measures.places import reading_once
from pondsim.reporting import answer, appendix, books, events, limits, power, season, sheets
from pondsim.reporting.blocks import Both, Part, Picture, tables_of
from pondsim.reporting.costs import Sums, costs_part
from pondsim.reporting.harm import Storms, storms_part
from pondsim.reporting.measured import readings_parts
from pondsim.reporting.members import members_parts
from pondsim.reporting.promise import Promise
from pondsim.reporting.study import Study, study_of
from pondsim.reporting.tables import csv_text
from pondsim.reporting.text import environment, own_file
from pondsim.reporting.weights import taught_part
from pondsim.units import known_system

if TYPE_CHECKING:
    import xarray as xr

    from pondsim.measures.bands import Bands

PARTS = (  # in the order of the page
    answer.answer,
    limits.limits_part,
    sheets.sheets_part,
    answer.criteria_part,
    season.plan_part,
    season.dawn_part,
    events.events_part,
    season.depth_part,
    books.oxygen_part,
    books.circulation_part,
    limits.leaving_part,
    events.harm_part,
    books.solids_part,
    power.power_part,
    appendix.limits_part,
    appendix.methods_part,
    books.balance_part,
    appendix.scenario_part,
)
# Every table that a page may have: those of an earlier page that are not made again are removed.
TABLES = {
    *("equipment", "limits_not_met", "limits_met", *(f"hydraulics_{number}" for number in range(1, 27))),
    *("at_a_glance", "smell", "criteria", "hours_below", "hours_below_all", "fit_for_fish", "oxygen_budget"),
    *(
        "readings",
        "learnt",
        "oxygen_totals",
        "circulation",
        "outlet",
        "storm",
        "solids_and_bed",
        "electricity",
    ),
    *("electricity_by_month", "bill", "bill_energy", "switching"),
    *("weak", "sensitivity", "methods", "parameters", "mass_balance", "runs", "costs"),
    *(f"members{kind}_{number}" for kind in ("", "_drawn") for number in range(1, 7)),
    *("judged", "harm", "storm_lines", "leaving", *(f"storm_{number}" for number in range(1, 13))),
}


@dataclass(frozen=True)
class Report:
    """A page and its tables.

    Attributes
    ----------
    html : the page
    tables : CSV text of each table, by name
    """

    html: str
    tables: dict[str, str]


@reading_once()
def report(
    datasets: list[xr.Dataset],
    system: str = "us",
    sums: list[Sums] | None = None,
    promise: Promise | None = None,
    storms: list[Storms] | None = None,
    *,
    allow_differences: bool = False,
    bands: Bands | None = None,
    taught: dict[str, Any] | None = None,
) -> Report:
    """Make the page of one run, or of designs against the existing pond.

    Parameters
    ----------
    datasets : list of xarray.Dataset
        Results, the existing pond first.
    system : {"us", "si"}
        Units shown first, and those of the tables as files.
    storms : list, optional
        Design storms, as `read_storms` reads them.
    sums : list, optional
        Costs of designs, as `read_sums` reads them.
    promise : Promise, optional
        What members say of the designs, as `read_promise` reads it.
    allow_differences : bool, default False
        Whether a verdict is wanted though the files differ in more than equipment.
    bands : Bands, optional
        Of a grid check of this pond, in place of the assumed bands of ties.
    taught : dict, optional
        What readings taught of the unknowns, as `read_taught` reads it from a file of weights.

    Returns
    -------
    Report
        Nothing is written.

    Raises
    ------
    ScenarioError
        The results cannot be compared, or lack what nothing can be said without.
    """
    study = study_of(
        datasets, known_system(system), promise, allow_differences=allow_differences, bands=bands
    )
    costs = [costs_part(study, sums)] if sums else []  # first: sums that do not fit are refused at once
    after = {
        power.power_part: costs,
        season.depth_part: readings_parts(study) + ([taught_part(taught)] if taught else []),
        answer.criteria_part: members_parts(study),
        events.harm_part: [storms_part(one) for one in storms or []],
    }
    parts = tuple(part for make in PARTS for part in (make(study), *after.get(make, [])))
    tables = {
        table.name: csv_text(table, system)
        for part in parts
        for table in (*tables_of(part.blocks), *part.files)
    }
    return Report(_html(study, parts), tables)


def _html(study: Study, parts: tuple[Part, ...]) -> str:
    made = environment()
    made.filters["both"] = _both
    made.filters["breaks"] = _breaks
    made.filters["order"] = _order
    made.filters["data"] = _data
    made.filters["picture"] = _picture
    page = made.get_template("page.html.j2")
    return page.render(
        heading=answer.heading(study),
        study=study,
        parts=parts,
        style=own_file("page.css"),
        script=own_file("page.js"),
    )


def _both(text: Both) -> Markup:
    """A text in one or two forms, of which the page shows one."""
    if text.us == text.si:
        return Markup("{}").format(text.us)
    return Markup('<span class="us">{}</span><span class="si">{}</span>').format(text.us, text.si)


def _breaks(text: Both) -> Markup:
    """A name of keys, which a line may break after its dots and underscores only."""
    return Markup(re.sub(r"[._](?=\w)", r"\g<0><wbr>", str(_both(text))))


def _order(value: float | str | None) -> str:
    """What a cell is sorted by, as an attribute."""
    return "" if value is None else value if isinstance(value, str) else f"{value:.9g}"


def _data(value: Any) -> Markup:
    """Data for the script, which no text in it can leave."""
    text = json.dumps(value, separators=(",", ":"), allow_nan=False)
    return Markup(text.replace("<", "\\u003c").replace("&", "\\u0026"))


def _picture(block: Picture) -> Markup:
    """The drawings of a picture, one for each system where they differ."""
    if block.svg.us == block.svg.si:
        return Markup(f'<div class="drawing">{block.svg.us}</div>')
    return Markup(f'<div class="drawing us">{block.svg.us}</div><div class="drawing si">{block.svg.si}</div>')
