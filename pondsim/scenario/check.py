"""What must fit between the keys of a scenario: one table of checks, each with the sections it reads."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from pondsim.scenario import check_air as air
from pondsim.scenario import check_control as control
from pondsim.scenario import check_equipment as equipment
from pondsim.scenario import check_limits as limits
from pondsim.scenario import check_line as line
from pondsim.scenario import check_living as living
from pondsim.scenario import check_pond as pond
from pondsim.scenario import check_readings as dated
from pondsim.scenario import check_runoff as runoff
from pondsim.scenario import check_site_work as site_work
from pondsim.scenario import check_water as water
from pondsim.scenario.keys import keys_of
from pondsim.scenario.settings import Scenario

Fault = tuple[str, str]  # dotted key, and a message that continues a sentence begun with it

# A check is left out while one of the sections it reads has faults of its own.
CHECKS: tuple[tuple[tuple[str, ...], Callable[[Scenario], Iterator[Fault]]], ...] = (
    (("period",), pond.period),
    (("place",), pond.clock),
    (("pond",), pond.levels),
    (("zone", "pond"), pond.low_pool),
    (("zone",), pond.stage_tables),
    (("zone", "pond"), pond.reach_of_tables),
    (("zone", "connection", "pond"), pond.connections),
    (("zone", "connection"), pond.unconnected_zones),
    (("weather",), water.weather),
    (("weather",), water.shelter),
    (("weather",), dated.weather_files),
    (("rain",), dated.rain_file),
    (("zone", "pond", "readings"), dated.readings),
    (("zone", "inflow", "base_flow"), water.inflow_zones),
    (("inflow",), water.hydrographs),
    (("rain",), runoff.rain_source),
    (("rain", "storm"), runoff.named_storms),
    (("drainage",), runoff.areas),
    (("zone", "drainage"), runoff.area_zones),
    (("rain", "weather", "drainage"), runoff.rain_for_areas),
    (("zone", "outlet", "pond"), water.outlet),
    (("solids",), water.settling_classes),
    (("zone", "start", "pond", "dredging", "period"), water.start),
    (("zone", "start", "pond", "ice"), water.frozen_start),
    (("zone", "bloom_crash"), water.bloom_crashes),
    (("algae", "readings"), living.algae),
    (("bed",), living.bed),
    (("zone", "algae", "treatment", "dye", "cover", "dredging", "load"), living.events),
    (("intake", "pump", "waterfall"), equipment.loop),
    (("intake",), line.intake_pipe),
    (("gravity_line",), line.gravity_pipe),
    (("discharge",), line.discharge_pipe),
    (("pump", "discharge"), line.pump),
    (("pond", "gravity_line", "wet_well", "pump"), line.well),
    (("pond", "pump", "waterfall"), line.lip),
    (("pond", "wet_well"), site_work.well_shape),
    (("intake", "gravity_line", "trench"), site_work.trench),
    (("layout",), site_work.layout),
    (("zone", "pond", "intake", "dredging", "period"), equipment.intake),
    (("zone", "pond", "waterfall"), equipment.waterfall),
    (("zone", "pond", "aeration", "dredging", "period"), equipment.aeration),
    (("pond", "aeration"), air.air_lines),
    (("pump", "aeration"), equipment.supplies),
    (("zone", "pond", "pump", "aeration"), control.set_points),
    (("outage", "pump", "aeration"), control.outages),
    (("tariff", "period"), control.tariff),
    (("zone", "outlet", "judging"), limits.own_limits),
)


def cross_problems(scenario: Scenario, faulty: set[str], changed: set[str] | None = None) -> Iterator[Fault]:
    """Faults between keys; `faulty`: sections not to be read; `changed`: those looked at, else all."""
    for sections, check in CHECKS:
        if not faulty & set(sections) and (changed is None or changed & set(sections)):
            yield from check(scenario)


def not_checked(faulty: set[str], given: set[str]) -> str | None:
    """What the faults kept from being checked: how sections that can be read fit with those that cannot."""
    waiting = [set(sections) for sections, _ in CHECKS if faulty & set(sections)]
    known = [name for name in keys_of(Scenario) if any(name in sections for sections in waiting)]
    bad = [f"[{name}]" for name in known if name in faulty]
    others = [f"[{name}]" for name in known if name in given - faulty]
    if not bad:
        return None
    what = f"{_listed(bad)} as a whole" + (f", and how that fits with {_listed(others)}" if others else "")
    return f"not checked yet: {what}. Fix the errors above and read the files again."


def _listed(names: list[str]) -> str:
    return " and ".join(filter(None, (", ".join(names[:-1]), names[-1])))
