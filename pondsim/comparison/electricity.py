"""What a run used of electricity, what that costs, and how often equipment started."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from pondsim import measures
from pondsim.comparison.entry import Entry

if TYPE_CHECKING:
    import xarray as xr

PARTS = {"all": "all", "energy": "energy", "demand": "highest power", "fixed": "fixed"}
COST = "Electricity cost over the run"


def electricity(dataset: xr.Dataset) -> Iterator[tuple[str, Entry]]:
    """Energy, money where there is a tariff, hours, starts and trips."""
    for system, used in measures.electricity(dataset).items():
        key = "electricity" if system == "all" else f"electricity.{system}"
        entry = Entry(
            "Electricity over the run", system, used, "kWh", "kWh", "kWh", 0, system == "all", absent=0.0
        )
        yield key, entry
    yield from _cost(dataset)
    for system, hours in measures.hours_run(dataset).items():
        yield f"hours_run.{system}", Entry("Hours run", system, hours, "h", "h", "h", absent=0.0)
    for name, good in (("starts", 0), ("trips", -1)):
        for system, count in measures.switchings(dataset, name).items():
            main = name == "trips" and count > 0.0
            entry = Entry(name.capitalize(), system, count, "1", "1", "1", good, main, absent=0.0)
            yield f"{name}.{system}", entry


def _cost(dataset: xr.Dataset) -> Iterator[tuple[str, Entry]]:
    """Money; a currency other than the dollar is named in the heading and is no unit."""
    currency = str(dataset.attrs.get("currency", "$"))
    section, unit = (COST, "$") if currency == "$" else (f"{COST}, {currency}", "1")
    money, used = measures.money(dataset), measures.electricity(dataset)["all"]
    for part, words in PARTS.items():
        if part in money:
            key = "cost" if part == "all" else f"cost.{part}"
            alone = not used  # the meter's charge alone is no saving
            yield key, Entry(section, words, money[part], unit, unit, unit, -1, True, no_contest=alone)
    for system, cost in measures.money_by_system(dataset).items():
        entry = Entry(section, f"energy of {system}", cost, unit, unit, unit, absent=0.0)
        yield f"cost.energy.{system}", entry
