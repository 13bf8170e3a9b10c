"""Electricity and money: what was used by system and month, the bill, and how equipment was switched."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from pondsim.figures.power import electricity
from pondsim.measures.months import bill_by_month, electricity_by_month, energy_billed, peak_power_billed
from pondsim.reporting.blocks import (
    Block,
    Both,
    Cell,
    Group,
    Part,
    Row,
    Table,
    alike,
    note,
    said,
    words,
)
from pondsim.reporting.pictures import picture
from pondsim.reporting.study import Study, fact
from pondsim.reporting.tables import measure_table
from pondsim.units import convert, number_text

if TYPE_CHECKING:
    import xarray as xr

ROWS = ("electricity", "cost", "hours_run", "starts", "trips")  # measures of the first table
FIRST = 12  # moments of switching that are listed of each design
BEGINS, ENDS = "outage begins", "outage ends"


def power_part(study: Study) -> Part:
    """Electricity by system, the bill where the results have a tariff, and what switched equipment."""
    table = measure_table(
        study.comparison,
        "electricity",
        "Electricity, hours run and starts over the run",
        lambda row: row.key.partition(".")[0] in ROWS,
    )
    blocks: list[Block] = [table] if table else []
    files: list[Table] = []
    if any(float(dataset["power"].sum()) > 0.0 for dataset in study.datasets):
        blocks.append(
            picture(
                "power",
                lambda system: electricity(study.datasets, system=system),
                "Electricity by system and month.",
                study.titles,
                key=True,
                alike_units=True,
            )
        )
        files.append(_months(study))
    else:
        blocks.append(note("No design uses electricity."))
    bills, words_on_bills = _bills(study)
    files += bills
    blocks.append(words_on_bills)
    for title, dataset in zip(study.titles, study.datasets, strict=True):
        blocks += [said(text, name=title) for text in _outages(dataset)]
        blocks += [said(text, name=title) for text in _well(dataset)]
    switched = _moments(study)
    if switched is not None:
        files.append(switched)
    if files:
        named = ", ".join(f"{table.name}.csv" for table in files)
        blocks.append(note(f"By month, by system and event by event: {named} in the folder of tables."))
    return Part("power", "Electricity and money", tuple(blocks), tuple(files))


def _months(study: Study) -> Table:
    by_design = [electricity_by_month(dataset) for dataset in study.datasets]
    rows = tuple(
        Row(
            alike(month),
            tuple(
                Cell(alike(number_text(float(used[k]))), order=float(used[k]), key=f"kwh.{month}#{design}")
                for design, (_, used) in enumerate(by_design)
            ),
        )
        for k, month in enumerate(by_design[0][0])
    )
    return Table(
        "electricity_by_month",
        alike("Electricity by month, kWh"),
        ("month", *study.titles),
        (Group(alike(""), rows),),
    )


def _bills(study: Study) -> tuple[list[Table], Block]:
    """The bill by month, the energy on it by system, and how they are counted."""
    bill = _bill(study)
    if bill is None:
        return [], note("No tariff is given in these scenarios, so no cost is computed.")
    by_system = _by_system(study)
    return [bill, *([by_system] if by_system else [])], note(
        "The demand charge is for each month's highest power, of this equipment alone. The fixed charge is "
        "on every bill, with or without equipment. A month run in part pays its share of both."
    )


def _bill(study: Study) -> Table | None:
    """Money by charge and month, and the highest power; a design without a tariff has none."""
    bills = [bill_by_month(dataset) for dataset in study.datasets]
    peaks = [peak_power_billed(dataset) for dataset in study.datasets]
    known = [bill for bill in bills if bill is not None]
    if not known:
        return None
    currency = _currency(study)
    charges = list(dict.fromkeys(charge for _, parts in known for charge in parts))
    months = list(dict.fromkeys(month for bill_months, _ in known for month in bill_months))
    designs = range(len(bills))

    def cost(design: int, charge: str, month: str) -> float | None:
        bill = bills[design]
        if bill is None or charge not in bill[1] or month not in bill[0]:
            return None
        return float(bill[1][charge][bill[0].index(month)])

    groups = []
    for charge in charges:
        if charge == "demand" and any(peaks):
            rows = [Row(alike(m), tuple(_number(peaks[k].get(m), 2) for k in designs)) for m in months]
            groups.append(Group(alike("highest power, kW"), tuple(rows)))
        rows = [
            Row(alike(month), tuple(_number(cost(k, charge, month), 2) for k in designs)) for month in months
        ]
        groups.append(Group(alike(f"{charge} charge, {currency}"), tuple(rows)))
    sums = tuple(
        _number(None if bill is None else float(sum(np.nansum(part) for part in bill[1].values())), 2)
        for bill in bills
    )
    groups.append(Group(alike(f"all charges, {currency}"), (Row(alike("whole run"), sums),)))
    return Table("bill", alike("Cost of electricity"), ("month", *study.titles), tuple(groups))


def _by_system(study: Study) -> Table | None:
    """Energy on the bill, a group for each system."""
    billed = [energy_billed(dataset) for dataset in study.datasets]
    systems = list(dict.fromkeys(system for one in billed for system in one))
    months = list(dict.fromkeys(m for one in billed for by_month in one.values() for m in by_month))
    groups = tuple(
        Group(
            alike(f"{system}, kWh"),
            tuple(
                Row(alike(month), tuple(_number(one.get(system, {}).get(month), 1) for one in billed))
                for month in months
            ),
        )
        for system in systems
    )
    head = ("month", *study.titles)
    return Table("bill_energy", alike("Energy on the bill"), head, groups) if groups else None


def _currency(study: Study) -> str:
    """Of the designs that have a tariff; they share one."""
    named = (dataset.attrs.get("currency") for dataset in study.datasets)
    return str(next((name for name in named if name), "$"))


def _number(value: float | None, decimals: int) -> Cell:
    known = value is not None and np.isfinite(value)
    return Cell(alike(f"{value:.{decimals}f}" if known else "-"), order=value if known else None)


def _events(dataset: xr.Dataset) -> list[dict[str, Any]]:
    return fact(dataset, "events") or []


def _outages(dataset: xr.Dataset) -> list[str]:
    """A sentence for each power failure, the systems that it stopped together."""
    failures: dict[tuple[str, str], list[str]] = {}
    events = _events(dataset)
    for at, event in enumerate(events):
        if event["what"] != BEGINS:
            continue
        later = (e for e in events[at:] if e["what"] == ENDS and e["system"] == event["system"])
        end = str(next(later, {"time": ""})["time"])
        failures.setdefault((str(event["time"]), end), []).append(str(event["system"]))
    return [
        f"without power from {begin[:16]} {f'to {end[:16]}' if end else 'until the run ends'}: "
        f"{' and '.join(systems)}."
        for (begin, end), systems in failures.items()
    ]


def _well(dataset: xr.Dataset) -> list[Both]:
    """The lowest water in the wet well beside the float that stops the pump."""
    if "well_level" not in dataset:
        return []
    lowest = float(np.nanmin(dataset["well_level"].values))
    well = (fact(dataset, "layout") or {}).get("wet_well") or {}
    return [Both(*(_well_words(lowest, well.get("pump_off"), unit) for unit in ("ft", "m")))]


def _well_words(lowest: float, pump_off: float | None, unit: str) -> str:
    def level(metres: float) -> str:
        return f"{convert(metres, 'm', unit):.2f} {unit}"

    text = f"the wet well stood lowest at {level(lowest)}"
    if pump_off is None:
        return f"{text}."
    side = "over" if lowest >= pump_off else "under"
    return f"{text}, {level(abs(lowest - pump_off))} {side} pump-off ({level(pump_off)})."


def _moments(study: Study) -> Table | None:
    """The first starts, stops, trips and outages of each design, and how many there are."""
    groups = []
    for title, dataset in zip(study.titles, study.datasets, strict=True):
        events = _events(dataset)
        rows = tuple(
            Row(alike(str(e["time"])[:16]), (words(str(e["system"])), words(str(e["what"]))))
            for e in events[:FIRST]
        )
        if rows:
            many = f"the first {FIRST} of {len(events)}" if len(events) > FIRST else f"all {len(events)}"
            groups.append(Group(alike(f"{title}: {many}"), rows))
    head = ("time", "system", "what")
    return Table("switching", alike("Moments of switching"), head, tuple(groups)) if groups else None
