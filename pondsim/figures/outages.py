"""Power failures of a run, marked on whatever is drawn through time, and said in the headline."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from pondsim.figures import style

if TYPE_CHECKING:
    import xarray as xr
    from matplotlib.axes import Axes

BEGINS, ENDS = "outage begins", "outage ends"
SHADE = "#f0d9df"


@dataclass(frozen=True)
class Outage:
    """A power failure: what it stopped, and its first and last moment within the results."""

    systems: tuple[str, ...]
    begin: np.datetime64
    end: np.datetime64

    @property
    def when(self) -> str:
        """Both moments in words."""
        return " to ".join(
            str(np.datetime_as_string(one, unit="m")).replace("T", " ") for one in (self.begin, self.end)
        )


def outages_of(dataset: xr.Dataset) -> tuple[Outage, ...]:
    """Power failures within the results shown, in order; those of several systems at once are one."""
    try:
        events = json.loads(str(dataset.attrs["events"]))
    except (KeyError, json.JSONDecodeError):
        return ()
    first, last = dataset["time"].values[[0, -1]]
    found: dict[tuple[np.datetime64, np.datetime64], list[str]] = {}
    for at, event in enumerate(events):
        if event["what"] != BEGINS:
            continue
        later = (e for e in events[at:] if e["what"] == ENDS and e["system"] == event["system"])
        ends = next(later, None)
        begin = np.datetime64(event["time"])
        end = np.datetime64(ends["time"]) if ends else last
        if begin < last and end > first:
            found.setdefault((max(begin, first), min(end, last)), []).append(event["system"])
    return tuple(Outage(tuple(systems), *span) for span, systems in sorted(found.items()))


def mark_outages(axes: Axes, dataset: xr.Dataset) -> None:
    """Shade every power failure, behind the lines, with its name on top."""
    for outage in outages_of(dataset):
        axes.axvspan(outage.begin, outage.end, color=SHADE, zorder=0.5, linewidth=0.0)  # type: ignore[arg-type]
        axes.annotate(
            "outage",
            (outage.begin, 0.97),
            xycoords=("data", "axes fraction"),  # "data": times are converted, by a transform they are not
            xytext=(2.0, 0.0),
            textcoords="offset points",
            color=style.LIMIT,
            fontsize=style.SIZE - 1.5,
            va="top",
        )


def during(dataset: xr.Dataset, outage: Outage) -> np.ndarray:
    """Which of the results lie within a power failure and the day after it, when its effect still grows."""
    times = dataset["time"].values
    return (times >= outage.begin) & (times <= outage.end + np.timedelta64(1, "D"))
