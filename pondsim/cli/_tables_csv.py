"""What a results file tells of money and switching, as CSV for a spreadsheet."""

from __future__ import annotations

import io
import json
from typing import TYPE_CHECKING, Any

from pondsim.errors import ScenarioError
from pondsim.measures import hours_run, switchings
from pondsim.measures.months import bill_by_month, energy_billed, peak_power_billed
from pondsim.spreadsheet import SheetWriter

if TYPE_CHECKING:
    from collections.abc import Sequence

    import xarray as xr

DIGITS = 6  # of every number, as in the series


def table_text(dataset: xr.Dataset, name: str) -> str:
    """CSV text of one table.

    Parameters
    ----------
    dataset : xarray.Dataset
        Results.
    name : {"bill", "switching", "events"}
        Which.

    Returns
    -------
    str
        Head and rows.

    Raises
    ------
    ScenarioError
        The results have no such table.
    """
    head, rows = {"bill": _bill, "switching": _switching, "events": _events}[name](dataset)
    out = io.StringIO()
    SheetWriter(out).writerows([head, *rows])
    return out.getvalue()


def _shown(value: Any) -> str:
    return "" if value is None else f"{value:.{DIGITS}g}"


def _bill(dataset: xr.Dataset) -> tuple[Sequence[str], list[list[str]]]:
    """A row for each month: energy by system, the highest power, every charge and their sum."""
    bill = bill_by_month(dataset)
    if bill is None:
        raise ScenarioError("there is no bill in these results: the design has no [tariff]")
    months, charges = bill
    energy, peaks = energy_billed(dataset), peak_power_billed(dataset)
    currency = str(dataset.attrs.get("currency", "$"))
    head = ["month", *(f"{system} energy [kWh]" for system in energy), "highest power [kW]"]
    head += [f"{part} charge [{currency}]" for part in charges]
    rows = [
        [
            month,
            *(_shown(by_month.get(month)) for by_month in energy.values()),
            _shown(peaks.get(month)),
            *(f"{amounts[place]:.2f}" for amounts in charges.values()),
            f"{sum(amounts[place] for amounts in charges.values()):.2f}",
        ]
        for place, month in enumerate(months)
    ]
    return [*head, f"all charges [{currency}]"], rows


def _switching(dataset: xr.Dataset) -> tuple[Sequence[str], list[list[str]]]:
    """A row for each system: hours run, starts and trips."""
    starts, trips, hours = switchings(dataset, "starts"), switchings(dataset, "trips"), hours_run(dataset)
    systems = list(dict.fromkeys([*starts, *trips, *hours]))
    if not systems:
        raise ScenarioError("there are no starts in these results: no pump and no air source runs")
    rows = [[name, *(_shown(part.get(name)) for part in (hours, starts, trips))] for name in systems]
    return ["system", "hours run [h]", "starts", "trips"], rows


def _events(dataset: xr.Dataset) -> tuple[Sequence[str], list[list[str]]]:
    """A row for each moment at which control switched something or the power failed."""
    if "events" not in dataset.attrs:
        raise ScenarioError("these results do not hold events: run the design again")
    keys = ("time", "system", "what")
    return keys, [[str(event[key]) for key in keys] for event in json.loads(str(dataset.attrs["events"]))]
