"""The design sheet for machines: JSON and CSV."""

from __future__ import annotations

import io
import math
from typing import TYPE_CHECKING, Any

from pondsim.comparison.pond_work_words import work_data
from pondsim.comparison.remarks import records_data
from pondsim.spreadsheet import SheetWriter
from pondsim.units import display_unit, from_si

if TYPE_CHECKING:
    from collections.abc import Iterable

    from pondsim.design.given import Given
    from pondsim.design.limits import Limit
    from pondsim.design.whole import WholeSheet
    from pondsim.records import Record

JUDGED = ("least", "most", "verdict", "source", "note")  # of limits only
COLUMNS = ("table", "part", "what", "value", "unit", *JUDGED)
LISTS = {  # table of a row: its list in the JSON file
    "design inputs": "design_inputs",
    "operating point": "operating_points",
    "waterfall": "waterfall",
    "aeration": "aeration",
    "limit": "limits",
}


def check_data(whole: WholeSheet, system: str, records: Iterable[Record] = ()) -> dict[str, Any]:
    """The sheet as plain values, in the units chosen; null where the file does not say enough.

    `records` are the remarks on the design, its files and its weather."""
    from pondsim.design.held import counts, tally  # noqa: PLC0415

    tables: dict[str, list[dict[str, Any]]] = {name: [] for name in LISTS.values()}
    for row in _rows(whole.given, whole.limits, system):
        left_out = {"table"} if row["table"] == "limit" else {"table", *JUDGED}
        tables[LISTS[row["table"]]].append({key: value for key, value in row.items() if key not in left_out})
    return {
        "title": whole.sheet.title,
        "units": system,
        "counts": counts(whole.limits),
        "tally": tally(whole.limits),
        **tables,
        "work": work_data(whole.work, system),
        "remarks": records_data(records, system),
    }


def check_csv(whole: WholeSheet, system: str) -> str:
    """The sheet as one table, a number to a row."""
    out = io.StringIO()
    writer = SheetWriter(out)
    writer.writerow(COLUMNS)
    writer.writerows(
        [row.get(column, "") for column in COLUMNS] for row in _rows(whole.given, whole.limits, system)
    )
    return out.getvalue()


def _rows(given: tuple[Given, ...], limits: tuple[Limit, ...], system: str) -> list[dict[str, Any]]:
    empty = dict.fromkeys(JUDGED)
    rows: list[dict[str, Any]] = []
    for one in given:
        unit = display_unit(one.kind, system)
        about = {"table": one.table, "part": one.part, "what": one.what.strip()}
        rows.append({**about, "value": _number(one.value, unit), "unit": unit, **empty})
    for limit in limits:
        unit = display_unit(limit.kind, system)
        rows.append(
            {
                "table": "limit",
                "code": limit.code,
                "part": limit.part,
                "what": limit.what,
                "value": _number(limit.value, unit),
                "unit": unit,
                "least": _number(limit.least, unit),
                "most": _number(limit.most, unit),
                "verdict": limit.verdict,
                "source": limit.source,
                "note": limit.note,
            }
        )
    return rows


def _number(value: float | None, unit: str) -> float | None:
    """In a unit; nothing where there is no value, or where nothing limits it."""
    if value is None or not math.isfinite(value):
        return None
    return float(from_si(value, unit))
