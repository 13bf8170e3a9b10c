"""Weather years that a pond may meet: files, seeds, hot, wet and dry ones; and a scenario in one of them."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import Any

from pondsim.errors import Problem, ScenarioError
from pondsim.scenario.settings import Scenario

WARMER, WETTER, DRIER = 1.5, 1.4, 0.6  # K, and shares of the rain, of hot, wet and dry years (judgement)
OTHER_SEEDS = 3  # summers about the same normals that are drawn where the user names no years


@dataclass(frozen=True)
class WeatherYear:
    """One year that may come; fields as in `pondsim.scenario.settings_unknowns.UnknownWeather`."""

    name: str
    file: Path | None = None
    rain_file: Path | None = None
    year: int | None = None
    seed: int | None = None
    warmer: float = 0.0
    rain_multiplier: float = 1.0
    chance: float = 1.0


def weather_years(scenario: Scenario) -> list[WeatherYear]:
    """The years that the site file names; else, of synthetic weather, seeds and a hot, cool, wet and dry one.

    Raises
    ------
    ScenarioError
        A year asks for what the scenario's weather cannot give.
    """
    given = [WeatherYear(**dataclasses.asdict(one)) for one in scenario.unknowns.weather]
    if given:
        _check(scenario, given)
        return given
    synthetic = scenario.weather.synthetic
    if scenario.weather.file is not None or synthetic is None:
        return [WeatherYear("as stated")]
    seed = synthetic.seed
    found = [WeatherYear("as stated")]
    found += [WeatherYear(f"seed {seed + k}", seed=seed + k) for k in range(1, OTHER_SEEDS + 1)]
    first = seed + OTHER_SEEDS + 1
    found += [
        WeatherYear("hot", seed=first, warmer=WARMER),
        WeatherYear("cool", seed=first + 1, warmer=-WARMER),
    ]
    if _has_rain(scenario):
        found += [
            WeatherYear("wet", seed=first + 2, rain_multiplier=WETTER),
            WeatherYear("dry", seed=first + 3, rain_multiplier=DRIER),
        ]
    return found


def in_year(scenario: Scenario, year: WeatherYear) -> Scenario:
    """The scenario in another weather year; equipment, pond and parameters are its own."""
    if year.year is not None:
        scenario = _shifted(scenario, year.year - scenario.period.start.year)
    weather, rain = scenario.weather, scenario.rain
    if year.file is not None:
        weather = replace(weather, file=year.file)
    if weather.synthetic is not None:
        warmer = {
            name: tuple(value + year.warmer for value in getattr(weather.synthetic, name))
            for name in ("air_temperature", "dew_point")
        }
        seed = weather.synthetic.seed if year.seed is None else year.seed
        weather = replace(weather, synthetic=replace(weather.synthetic, seed=seed, **warmer))
    if rain is not None:
        if year.rain_file is not None:
            rain = replace(rain, file=year.rain_file)
        if rain.synthetic is not None and year.seed is not None:
            rain = replace(rain, synthetic=replace(rain.synthetic, seed=year.seed))
        rain = replace(rain, multiplier=rain.multiplier * year.rain_multiplier)
    inflow = tuple(_more(one, year.rain_multiplier) for one in scenario.inflow)
    return replace(scenario, weather=weather, rain=rain, inflow=inflow)


def _more(inflow: Any, share: float) -> Any:
    if inflow.volume is not None:
        return replace(inflow, volume=inflow.volume * share)
    return replace(inflow, hydrograph_flow=tuple(share * flow for flow in inflow.hydrograph_flow))


def _has_rain(scenario: Scenario) -> bool:
    return scenario.rain is not None or bool(scenario.inflow)


def _check(scenario: Scenario, years: Sequence[WeatherYear]) -> None:
    synthetic = scenario.weather.file is None and scenario.weather.synthetic is not None
    for one in years:
        where = f"unknowns.weather.{one.name}"
        fault = ""
        if (one.seed is not None or one.warmer) and (one.file is not None or not synthetic):
            fault = (
                "has seed or warmer, which need synthetic weather; name a file of that year in their place."
            )
        elif one.rain_file is not None and scenario.rain is None:
            fault = "has rain_file, but the scenario has no [rain]."
        elif one.rain_multiplier != 1.0 and not _has_rain(scenario):
            fault = "has rain_multiplier, but the scenario has neither [rain] nor [[inflow]]."
        if fault:
            raise ScenarioError(Problem(None, None, where, fault))
    if not any(one.chance > 0.0 for one in years):
        raise ScenarioError(Problem(None, None, "unknowns.weather", "has no year with a chance above 0."))


def _shifted(value: Any, years: int) -> Any:
    """A value with every date in it moved by whole years; a period keeps its length."""
    if isinstance(value, datetime):
        day = 28 if (value.month, value.day) == (2, 29) else value.day
        return value.replace(year=value.year + years, day=day)
    if isinstance(value, tuple):
        return tuple(_shifted(one, years) for one in value) if value and not _plain(value) else value
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        fields = {field.name: getattr(value, field.name) for field in dataclasses.fields(value)}
        moved = {name: _shifted(one, years) for name, one in fields.items() if name != "stated"}
        if "start" in fields and "end" in fields and isinstance(fields["end"], datetime):
            moved["end"] = moved["start"] + (fields["end"] - fields["start"])
        return replace(value, **moved)
    return value


def _plain(value: tuple[Any, ...]) -> bool:
    return isinstance(value[0], float | int | str)
