"""The runs behind `pondsim tonight`; _tonight_text.py puts them in words."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from datetime import datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from pondsim.cli._common import reading_of
from pondsim.ensemble.tonight import Moment, Outlook, outlook
from pondsim.errors import ScenarioError
from pondsim.measures.readings import ReadSeries, computed_at, computed_line, read_series
from pondsim.measures.series import AFTER_SUNRISE, BEFORE_SUNRISE
from pondsim.measures.sun import sunrise_hour
from pondsim.scenario.settings import DatedFile, FillFrom, Outage, Scenario
from pondsim.words import no_such_day

if TYPE_CHECKING:
    import xarray as xr

AHEAD = timedelta(hours=24)
LATEST = timedelta(days=1)  # after the last reading; then none of the last day are left
EXTRA = "one_more"


@dataclass(frozen=True)
class Corner:
    """One instrument: what is told, and how many hours a power cut leaves; a minute's line of each case."""

    series: ReadSeries
    outlook: Outlook
    cut: Outlook | None
    more: Outlook | None


@dataclass(frozen=True)
class Coming:
    """The coming night: when it is told, days of the correction, corners, zones not read, the unit added."""

    now: Moment
    days: float
    corners: tuple[Corner, ...]
    unread: tuple[str, ...]
    unit: str


def coming_night(design: Path, forecast: Path | None, moment: str | None, days: float) -> Coming:
    """Run a design until this time tomorrow: as it is, with the power cut now, and with one more unit of air.

    Raises
    ------
    ScenarioError
        No readings of oxygen, a time that is none, or weather that does not reach through the night.
    """
    from pondsim.output.readings import dataset_of_readings  # noqa: PLC0415
    from pondsim.simulate import run  # noqa: PLC0415

    scenario = reading_of(design).scenario
    if not scenario.readings:
        raise ScenarioError(f"{design}: has no [[readings]]; there is no forecast without them")
    given = [one for one in read_series(dataset_of_readings(scenario)) if one.variable == "dissolved_oxygen"]
    if not given:
        raise ScenarioError(f"{design}: its readings hold no dissolved_oxygen")
    now = _now(moment, given)
    if now <= scenario.period.start:
        typed = "" if moment is None else f'--now "{moment}": '
        raise ScenarioError(
            f"{typed}{now:%Y-%m-%d %H:%M} is not after period.start, "
            f"{scenario.period.start:%Y-%m-%d %H:%M}; the forecast begins at --now, else at the "
            "last reading, and needs readings from there back"
        )
    scenario = _until(scenario, now + AHEAD, forecast)
    results = run(scenario, how_long_start_matters=False)
    cut = more = None
    if scenario.pump or scenario.aeration:
        outages = (*scenario.outage, Outage(start=now))
        cut = run(replace(scenario, outage=outages), how_long_start_matters=False)
    with_more, unit = _one_more(scenario, now)
    if with_more is not None:
        more = run(with_more, how_long_start_matters=False)
    at = np.datetime64(now, "s")
    series = [one for one in read_series(results) if one.variable == "dissolved_oxygen"]
    corners = tuple(
        Corner(
            one,
            _told(results, one, at, days),
            None if cut is None else _told(cut, one, at, days, results),
            None if more is None else _told(more, one, at, days, results),
        )
        for one in series
    )
    read_zones = {one.zone for one in series}
    unread = tuple(zone.name for zone in scenario.zone if zone.name not in read_zones)
    return Coming(at, days, corners, unread, unit)


def _now(moment: str | None, given: list[ReadSeries]) -> datetime:
    last: datetime = max(one.times[np.isfinite(one.values)][-1] for one in given).astype("M8[s]").item()
    if moment is None:
        return last
    try:
        now = datetime.fromisoformat(moment)
    except ValueError:
        if said := no_such_day(moment):
            raise ScenarioError(f'--now "{moment}" does not exist: {said}') from None
        raise ScenarioError(f'--now "{moment}": is not a time; write such as "2025-07-12 18:00"') from None
    if now.tzinfo is not None:
        raise ScenarioError(
            f'--now "{moment}": write local standard time with no offset, such as "2025-07-12 18:00"'
        )
    if now > last + LATEST:
        raise ScenarioError(
            f'--now "{moment}": the last reading of oxygen is {last:%Y-%m-%d %H:%M}, local standard time; a '
            "forecast needs readings of the day before it"
        )
    return now


def _until(scenario: Scenario, end: datetime, forecast: Path | None) -> Scenario:
    """The scenario over a period that ends then, with a forecast behind its weather file."""
    weather = scenario.weather
    if forecast is not None:
        if weather.file is None:
            raise ScenarioError(f"{forecast}: the design's weather is no file that a forecast could follow")
        alike = {one.name: getattr(weather, one.name) for one in fields(DatedFile)}
        ahead = FillFrom(**alike, file=forecast, wind_height=weather.wind_height, match_means=False)
        weather = replace(weather, fill_from=(*weather.fill_from, ahead))
    return replace(scenario, weather=weather, period=replace(scenario.period, end=end))


def _one_more(scenario: Scenario, now: datetime) -> tuple[Scenario | None, str]:
    """The scenario with a copy of its first unit that runs from now on, and the unit's name."""
    if not scenario.aeration:
        return None, ""
    first = scenario.aeration[0]
    added = replace(first, name=EXTRA, hours=((0.0, 86400.0),), set_point=None)
    waits = Outage(start=scenario.period.start, end=now, systems=(EXTRA,))
    return replace(
        scenario, aeration=(*scenario.aeration, added), outage=(*scenario.outage, waits)
    ), first.name


def _told(
    results: xr.Dataset, one: ReadSeries, now: Moment, days: float, before: xr.Dataset | None = None
) -> Outlook:
    """Tonight in one case; errors before now are those of `before`, the run as it is."""
    line, at = computed_line(results, one), computed_at(results if before is None else before, one)
    if line is None or at is None:
        raise ScenarioError(f"{one.instrument}: the run has no oxygen at its place")
    times = results["time"].values.astype("M8[s]")
    days_run = np.unique(times.astype("M8[D]"))
    place = [float(results.attrs[key]) for key in ("latitude_deg", "longitude_deg", "utc_offset_h")]
    rises = days_run.astype("M8[s]") + np.round(3600.0 * sunrise_hour(days_run, *place)).astype(
        "timedelta64[s]"
    )
    dawn = (BEFORE_SUNRISE, AFTER_SUNRISE)
    return outlook(times, line, one.times.astype("M8[s]"), one.used, at, now, rises, dawn, days)
