"""What a scenario does to the water and the bed: dredging, doses, dye, covers, loads, as records."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta

from pondsim.records import Record, iso
from pondsim.scenario.settings import Scenario
from pondsim.site.dredged import cuts

DREDGING = "dredging"
BROUGHT = ("phosphorus", "oxygen_demand", "ammonium")  # by a load


def pond_work(scenario: Scenario) -> list[Record]:
    """Every dredging, treatment, dye, cover and load of the file, in this order; SI.

    Each has the times of its start and end and a name `counts`: "inside" the period, "cut" to it, "outside"
    of it, or, of a dredging, done "before" it. Raises: nothing.
    """
    return [*_dredging(scenario), *_doses(scenario), *_covers(scenario), *_loads(scenario)]


def _dredging(scenario: Scenario) -> Iterator[Record]:
    for work, cut in zip(scenario.dredging, cuts(scenario), strict=True):
        end = work.date + timedelta(seconds=work.duration)
        counts = "before" if end <= scenario.period.start else _counts(scenario, work.date, end)
        yield Record(
            DREDGING,
            where=work.zone,
            numbers={
                "depth": (work.depth, "m"),
                "full_from": (work.full_from, "m"),
                "left": (work.left, "1"),
                "volume": (cut.volume, "m3"),
                "bed": (cut.bed, "m"),
            },
            times={"start": iso(work.date), "end": iso(end)},
            names={"counts": counts},
        )


def _doses(scenario: Scenario) -> Iterator[Record]:
    for dose in scenario.treatment:
        end = dose.start + timedelta(seconds=dose.duration)
        yield _record(
            scenario,
            "treatment",
            (dose.start, end),
            ", ".join(dose.zones),
            {"dose": (dose.dose, "kg"), "bound": (dose.dose * dose.binds, "kg")},
        )
    for dye in scenario.dye:
        found = {"extinction": (dye.extinction, "1/m")}
        yield _record(scenario, "dye", (dye.start, dye.start), ", ".join(dye.zones), found)


def _covers(scenario: Scenario) -> Iterator[Record]:
    for cover in scenario.cover:
        yield _record(
            scenario,
            "cover",
            (cover.start, cover.end),
            ", ".join(cover.zones),
            {"share": (cover.share, "1"), "floating": (float(cover.floating), "1")},
        )


def _loads(scenario: Scenario) -> Iterator[Record]:
    for load in scenario.load:
        brought = {
            name: (getattr(load, name), "kg/s") for name in ("phosphorus", "oxygen_demand", "ammonium")
        }
        yield _record(scenario, "load", (load.start, load.end), load.zone, brought, load.name)


def _record(
    scenario: Scenario,
    code: str,
    span: tuple[datetime, datetime],
    where: str,
    numbers: dict[str, tuple[float, str]],
    name: str = "",
) -> Record:
    names = {"counts": _counts(scenario, *span)} | ({"name": name} if name else {})
    times = {"start": iso(span[0]), "end": iso(span[1])}
    return Record(code, where=where, numbers=numbers, times=times, names=names)


def _counts(scenario: Scenario, start: datetime, end: datetime) -> str:
    """How much of a span the period holds."""
    period = scenario.period
    if start >= period.end or end < period.start or (end == period.start and start < end):
        return "outside"
    return "inside" if period.start <= start and end <= period.end else "cut"
