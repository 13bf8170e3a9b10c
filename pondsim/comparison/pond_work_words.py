"""Dredging, doses, dye, covers and loads of a design, in words."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING, Any

from pondsim.errors import ScenarioError
from pondsim.records import Record, from_json, plain
from pondsim.units import convert, display, number_text

if TYPE_CHECKING:
    import xarray as xr

HEADS = {
    "dredging": "Dredging",
    "treatment": "Treatment",
    "dye": "Dye",
    "cover": "Cover",
    "load": "Load",
}
COUNTS = {
    "outside": "lies outside the period and does not count",
    "before": "done before the period: the pond is as deep from its start",
    "cut": "only what lies in the period counts",
}
ELEVATION_DIGITS = 5


def work_of(dataset: xr.Dataset) -> list[Record]:
    """What is done to the water and the bed in a run; empty where its file does not hold it.

    Raises
    ------
    ScenarioError
        The attribute `design_sheet` is damaged.
    """
    try:
        kept = json.loads(str(dataset.attrs.get("design_sheet", "{}")))
        return from_json(json.dumps(kept.get("work", [])))
    except (ValueError, AttributeError) as error:
        raise ScenarioError("the results hold a damaged design_sheet; run them again") from error


def work_data(records: Iterable[Record], system: str = "us") -> list[dict[str, Any]]:
    """Work for machines: as kept, and the text."""
    return [plain(one) | {"text": f"{work_head(one)}: {work_text(one, system)}"} for one in records]


def work_head(record: Record) -> str:
    """What is done and where: "Dredging, deep pool"."""
    name = f" {record.names['name']}" if "name" in record.names else ""
    return f"{HEADS[record.code]}{name}, {record.where or 'the whole pond'}"


def work_text(record: Record, system: str = "us") -> str:
    """When, how much, and whether it counts in the run."""
    said = [_span(record), *WORDS[record.code](record, system)]
    said += [COUNTS[counts]] if (counts := record.names["counts"]) in COUNTS else []
    return "; ".join(said)


def _span(record: Record) -> str:
    start, end = (f"{record.time(one):%Y-%m-%d %H:%M}" for one in ("start", "end"))
    return start if start == end else f"{start} to {end}"


def _dredging(record: Record, system: str) -> list[str]:
    full = record.number("full_from")
    shore = f" where the water is {display(full, 'length', system)} or deeper, less toward the shore"
    return [
        f"{display(record.number('volume'), 'deposit', system)} in place",
        f"the bed {display(record.number('depth'), 'length', system)} deeper{shore if full > 0.0 else ''}, "
        f"deepest at {display(record.number('bed'), 'length', system, ELEVATION_DIGITS)}",
        f"{100.0 * record.number('left'):.0f} % of organic matter and phosphorus of the bed stay",
    ]


def _treatment(record: Record, system: str) -> list[str]:
    return [
        f"{display(record.number('dose'), 'mass', system)} of product, binds "
        f"{display(record.number('bound'), 'mass', system)} of phosphorus at most"
    ]


def _dye(record: Record, system: str) -> list[str]:
    unit = "ft" if system == "us" else "m"
    more = number_text(float(convert(record.number("extinction"), "1/m", f"1/{unit}")))
    return [f"light extinction {more} per {unit} more once mixed in, fading later"]


def _cover(record: Record, system: str) -> list[str]:
    lies = "floats, keeps light and air out" if record.number("floating") else "shades, lets air in"
    return [f"{100.0 * record.number('share'):.0f} % of the surface", lies]


def _load(record: Record, system: str) -> list[str]:
    words = {"phosphorus": "phosphorus", "oxygen_demand": "oxygen demand", "ammonium": "ammonium nitrogen"}
    return [
        f"{display(record.number(key), 'mass_rate', system)} {what}"
        for key, what in words.items()
        if record.number(key) > 0.0
    ] or ["brings nothing"]


WORDS: dict[str, Callable[[Record, str], list[str]]] = {
    "dredging": _dredging,
    "treatment": _treatment,
    "dye": _dye,
    "cover": _cover,
    "load": _load,
}
