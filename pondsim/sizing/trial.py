"""One run of one size, cut down to its numbers, and many of them at once."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from pondsim.comparison.entries import Entry, entries
from pondsim.ensemble.runner import run_tasks
from pondsim.errors import RunError
from pondsim.scenario.settings import Scenario
from pondsim.simulate import run

if TYPE_CHECKING:
    import xarray as xr

BILL = ("bill_energy_charge", "bill_demand_charge", "bill_fixed_charge")


@dataclass(frozen=True)
class Trial:
    """What one run came to.

    Attributes
    ----------
    measures : every measure by its key; empty where the run failed
    zones : names of the zones
    energy : electricity of the run [kWh]; NaN where it failed
    money, currency : what that costs by the tariff, or None without one; and what the money is called
    days : length of the run [d]
    failure : why the run failed, or ""
    """

    measures: dict[str, Entry] = field(default_factory=dict)
    zones: tuple[str, ...] = ()
    energy: float = float("nan")
    money: float | None = None
    days: float = float("nan")
    failure: str = ""
    currency: str = "$"


def try_out(scenario: Scenario) -> Trial:
    """Run a scenario; a run that fails is told, not raised."""
    try:
        results = run(scenario, how_long_start_matters=False)
    except RunError as error:
        return Trial(failure=str(error), zones=tuple(zone.name for zone in scenario.zone))
    return trial_of(results)


def trial_of(results: xr.Dataset) -> Trial:
    """The numbers of results."""
    measures = entries(results)
    times = results["time"].values
    return Trial(
        measures,
        tuple(str(zone) for zone in results["zone"].values),
        float(measures["electricity"].value or 0.0),
        _money(results),
        float((times[-1] - times[0]).astype("timedelta64[s]").astype(float)) / 86400.0,
        currency=str(results.attrs.get("currency", "$")),
    )


def _money(results: xr.Dataset) -> float | None:
    """Charges of all months, where the results have any."""
    found = [float(results[name].sum()) for name in BILL if name in results]
    return sum(found) if found else None


def try_all(
    scenarios: Sequence[Scenario], report: Callable[[float], None] | None = None, how: str = "threads"
) -> list[Trial]:
    """Run scenarios, in order.

    Parameters
    ----------
    scenarios : what to run
    report : called with the share done, 0 to 1
    how : see `pondsim.ensemble.runner.run_tasks`
    """
    return run_tasks(try_out, scenarios, how, report=report)
