"""Checks of rain and drainage areas.

Those in the table of checks take the scenario, the others a section and its dotted key; all yield dotted keys
with a message that continues a sentence begun with the key.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from pondsim.scenario.check_pond import Fault, first_not_increasing, no_zone
from pondsim.scenario.settings import Scenario
from pondsim.scenario.settings_runoff import DesignStorm, Drainage, Rain, SyntheticRain
from pondsim.scenario.unreadable import unequal


def rain_source(scenario: Scenario) -> Iterator[Fault]:
    """Rain, where a section names it, comes from one source."""
    if scenario.rain is not None:
        yield from rain(scenario.rain)


def areas(scenario: Scenario) -> Iterator[Fault]:
    """Each drainage area says once how it sheds water."""
    yield from drainage(scenario.drainage)


def area_zones(scenario: Scenario) -> Iterator[Fault]:
    """Drainage areas drain to zones that exist."""
    for area in scenario.drainage:
        yield from no_zone(f"drainage.{area.name}.zone", area.zone, scenario)


def rain_for_areas(scenario: Scenario) -> Iterator[Fault]:
    """Drainage areas need rain or storms to choose from; invented weather has none of its own."""
    if scenario.drainage and not scenario.storm and scenario.rain is None and scenario.weather.file is None:
        yield (
            f"drainage.{scenario.drainage[0].name}",
            "has no rain to shed; write [rain] with file, [rain.design_storm] or [rain.synthetic], or "
            "[[storm]].",
        )


def rain(given: Rain, key: str = "rain") -> Iterator[Fault]:
    """The rain comes from one source."""
    found = [name for name in ("file", "design_storm", "synthetic") if getattr(given, name) is not None]
    if not found:
        yield key, f"has no source; write file, [{key}.design_storm] or [{key}.synthetic]."
    after_rain = given.design_storm is not None and given.design_storm.before == "rain"
    if after_rain and len(found) == 1:
        yield f"{key}.design_storm.before", '= "rain", but there is none; write file or synthetic beside it.'
    sources = [name for name in found if not (after_rain and name == "design_storm")]
    for name in sources[1:]:
        hint = ' or write before = "rain" in the storm' if "design_storm" in (name, sources[0]) else ""
        yield f"{key}.{name}", f"stands beside {key}.{sources[0]}; keep one of them{hint}."
    if given.design_storm is not None:
        yield from design_storm(given.design_storm, f"{key}.design_storm")
    if given.synthetic is not None:
        yield from synthetic(given.synthetic, f"{key}.synthetic")


def named_storms(scenario: Scenario) -> Iterator[Fault]:
    """Storms to choose from have names of their own and sound curves."""
    seen: set[str] = set()
    has_rain = scenario.rain is not None and (scenario.rain.file or scenario.rain.synthetic)
    for place, storm in enumerate(scenario.storm, 1):
        key = f"storm.{place}"
        if storm.name in seen or "," in storm.name:
            yield f"{key}.name", f'= "{storm.name}"; each storm needs a name of its own, without a comma.'
        seen.add(storm.name)
        yield from design_storm(storm, key)
        if storm.before == "rain" and not has_rain:
            yield f"{key}.before", '= "rain", but [rain] has neither file nor synthetic.'


def design_storm(storm: DesignStorm, key: str) -> Iterator[Fault]:
    """An own curve rises from 0 to 1; without one there is none."""
    times, shares = storm.curve_time, storm.curve_share
    if storm.distribution != "own":
        if times or shares:
            yield f"{key}.distribution", f'= "{storm.distribution}" has its curve; for your own write "own".'
        return
    if len(times) != len(shares) or len(times) < 2:
        yield (
            f"{key}.curve_share",
            f"{unequal(shares, times, 'time')}; write two at least of each.",
        )
        return
    if times[0] != 0.0 or first_not_increasing(times):
        yield f"{key}.curve_time", "must begin at 0 and rise."
    if any(later < earlier for earlier, later in pairwise(shares)):
        yield f"{key}.curve_share", "falls; write the share of all rain fallen by each time."
    if shares[0] != 0.0 or abs(shares[-1] - 1.0) > 1e-9:
        yield f"{key}.curve_share", f"goes from {shares[0]:g} to {shares[-1]:g}; it must go from 0 to 1."


def synthetic(given: SyntheticRain, key: str) -> Iterator[Fault]:
    """Rain and storms go together, and the storms find room in the month."""
    for month, (total, storms) in enumerate(zip(given.total, given.storms, strict=True), 1):
        if (total > 0.0) != (storms > 0.0):
            yield (
                f"{key}.storms",
                f"has {storms:g} storms in month {month}, and total {total * 1e3:.4g} mm of rain; "
                "write both or neither.",
            )
        elif storms * (given.duration[month - 1] + 12.0 * 3600.0) > 28.0 * 86400.0:
            yield f"{key}.storms", f"= {storms:g} find no room in month {month}; write fewer or shorter ones."


def drainage(areas: Sequence[Drainage], key: str = "drainage") -> Iterator[Fault]:
    """Each drainage area says once how it sheds water and how long the water takes."""
    for area in areas:
        own = f"{key}.{area.name}"
        yield from _ground(area, own)
        yield from _travel(area, own)


def _ground(area: Drainage, key: str) -> Iterator[Fault]:
    by_cover = area.soil_group is not None or bool(area.cover)
    if area.curve_number is not None and by_cover:
        yield f"{key}.curve_number", "stands beside soil_group or [[drainage.cover]]; keep one way."
        return
    if area.curve_number is not None or area.impervious_share == 1.0:
        return
    if not by_cover:
        yield f"{key}.curve_number", "is missing; write it, or soil_group with [[drainage.cover]]."
    elif area.soil_group is None:
        yield f"{key}.soil_group", 'is missing; write "A" (sand) to "D" (clay) beside [[drainage.cover]].'
    elif not area.cover:
        yield f"{key}.cover", "is missing; write [[drainage.cover]] with cover and share."
    elif abs(sum(cover.share for cover in area.cover) - 1.0) > 1e-6:
        total = 100.0 * sum(cover.share for cover in area.cover)
        yield f"{key}.cover", f"adds up to {total:.6g} %; shares of the ground must add up to 100 %."


def _travel(area: Drainage, key: str) -> Iterator[Fault]:
    path = bool(area.sheet_flow or area.shallow_flow or area.channel_flow)
    if area.time_of_concentration is not None and path:
        yield f"{key}.time_of_concentration", "stands beside a flow path; keep one of them."
    elif area.time_of_concentration is None and not path:
        yield (
            f"{key}.time_of_concentration",
            "is missing; write it, or the flow path as [[drainage.sheet_flow]], [[drainage.shallow_flow]] "
            "and [[drainage.channel_flow]].",
        )
