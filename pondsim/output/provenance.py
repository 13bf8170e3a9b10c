"""What a reader of a results file asks of its scenario: the layout of the pond, the parameters as used."""

from __future__ import annotations

import dataclasses
import json
from collections.abc import Iterator
from typing import Any

from pondsim.design.held import all_limits, counts
from pondsim.design.limits import Limit
from pondsim.output.givens import givens_of
from pondsim.scenario.defaults import Parameter, default_parameter
from pondsim.scenario.settings import Scenario
from pondsim.units import from_si

DIGITS = 6  # of the numbers kept


def facts_of(scenario: Scenario) -> dict[str, str]:
    """Attributes of a results file, as JSON texts.

    Parameters
    ----------
    scenario : Scenario
        As it was run.

    Returns
    -------
    dict of str
        ``layout``: connections ([zone, zone, width in m, sill in m]), zones of intake, waterfall, outlet
        and inflow, aeration units, pump-off of the wet well [m]. ``parameters``: key, value as used (twelve
        of them for months), default, low, high, unit, source and mark of every row of defaults.toml that the
        scenario makes use of. ``givens``: see `givens_of`. ``design_sheet``: how many limits of the design
        sheet pass, and part, what, value [SI] and bounds of each that fails or warns.
    """
    found = {
        "layout": _layout(scenario),
        "parameters": _parameters(scenario),
        "givens": givens_of(scenario),
        "design_sheet": _design_sheet(scenario),
    }
    return {name: json.dumps(value) for name, value in found.items()}


def _design_sheet(scenario: Scenario) -> dict[str, Any]:
    limits = all_limits(scenario)
    return {
        "pass": counts(limits)["pass"],
        **{
            verdict: [_limit(one) for one in limits if one.verdict == verdict] for verdict in ("fail", "warn")
        },
    }


def _limit(limit: Limit) -> dict[str, Any]:
    """A limit without its words on source and note; numbers that do not exist are left out."""
    numbers = {name: getattr(limit, name) for name in ("value", "least", "most")}
    known = {name: _rounded(value) for name, value in numbers.items() if value is not None}
    return {"part": limit.part, "what": limit.what, "kind": limit.kind, **known}


def _layout(scenario: Scenario) -> dict[str, Any]:
    entering = [one.zone for one in scenario.inflow]
    entering += [one.zone for one in scenario.base_flow] + [one.zone for one in scenario.drainage]
    well = scenario.wet_well
    return {
        **({"wet_well": {"pump_off": _rounded(well.pump_off)}} if well else {}),
        "connections": [
            [*one.between, _rounded(one.width), _rounded(one.sill)] for one in scenario.connection
        ],
        "intake_zone": scenario.intake.zone if scenario.intake else "",
        "waterfall_zone": scenario.waterfall.zone if scenario.waterfall else "",
        "outlet_zone": scenario.outlet.zone if scenario.outlet else "",
        "inflow_zones": list(dict.fromkeys(entering)),
        "aeration": [
            {"name": unit.name, "zone": unit.zone, "diffusers": unit.diffusers} for unit in scenario.aeration
        ],
    }


def _parameters(scenario: Scenario) -> list[dict[str, Any]]:
    """One row for each value of a parameter; where its places differ, the places stand behind the key."""
    places: dict[str, dict[Any, list[str]]] = {}
    for name, value, place in [*_fields(scenario, ""), *_by_place(scenario)]:
        places.setdefault(name, {}).setdefault(value, []).append(place)
    if "bed.oxygen_demand" in places and all(zone.bed_oxygen_demand is not None for zone in scenario.zone):
        general = places["bed.oxygen_demand"][scenario.bed.oxygen_demand]
        general.remove("")  # asked for by no zone
        if not general:
            del places["bed.oxygen_demand"][scenario.bed.oxygen_demand]
    return [
        _row(default_parameter(name), value, "" if len(values) == 1 else ", ".join(filter(None, where)))
        for name, values in places.items()
        for value, where in values.items()
    ]


def _fields(section: Any, place: str) -> Iterator[tuple[str, Any, str]]:
    """Name, value (SI) and place of every parameter of a section and of those within it."""
    for field in dataclasses.fields(section):
        key, value = field.metadata.get("key"), getattr(section, field.name)
        if key is None or value is None:
            continue
        if key.parameter:
            yield key.parameter, value, place
        elif key.kind == "section":
            yield from _fields(value, place)
        elif key.kind == "sections":
            for number, entry in enumerate(value, start=1):
                yield from _fields(entry, getattr(entry, "name", f"{field.name} {number}"))


def _by_place(scenario: Scenario) -> Iterator[tuple[str, Any, str]]:
    """Parameters that a zone or an aeration unit may have of its own, by another key."""
    for zone in scenario.zone:
        if zone.bed_oxygen_demand is not None:
            yield "bed.oxygen_demand", zone.bed_oxygen_demand, zone.name
    for unit in scenario.aeration:
        name, own = f"aeration.transfer_efficiency_{unit.kind}", unit.transfer_efficiency
        yield name, default_parameter(name).value if own is None else own, unit.name


def _row(row: Parameter, value: Any, where: str) -> dict[str, Any]:
    def shown(si: float) -> float:
        return _rounded(from_si(si, row.unit))

    return {
        "key": f"{row.name} ({where})" if where else row.name,
        "about": row.about,
        "value": [shown(one) for one in value] if isinstance(value, tuple) else shown(value),
        "default": shown(row.value),
        "unit": row.unit,
        "low": shown(row.low),
        "high": shown(row.high),
        "source": row.source,
        "mark": row.mark,
    }


def _rounded(value: float) -> float:
    return float(f"{float(value):.{DIGITS}g}")
