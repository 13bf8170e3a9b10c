"""What a reader of a results file asks of its scenario: the layout of the pond, the parameters as used."""

from __future__ import annotations

import dataclasses
import json
import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from pondsim.design.given import Given, is_described, operating_points
from pondsim.design.held import all_limits, counts
from pondsim.design.limits import Limit
from pondsim.design.line_sheet import line_sheet
from pondsim.design.pond_work import pond_work
from pondsim.design.service import runs_in_winter, starts_by_itself
from pondsim.output.givens import givens_of
from pondsim.records import plain
from pondsim.scenario.defaults import Parameter, default_parameter
from pondsim.scenario.keys import is_named
from pondsim.scenario.settings import Scenario
from pondsim.scenario.stated import source_stated
from pondsim.units import from_si

DIGITS = 6  # of the numbers kept


def facts_of(scenario: Scenario, *, sheet: bool = True) -> dict[str, str]:
    """Attributes of a results file, as JSON texts.

    Parameters
    ----------
    scenario : Scenario
        As it was run.
    sheet : bool, default True
        Whether the design sheet is made, which takes some 0.1 s.

    Returns
    -------
    dict of str
        ``layout``: connections ([zone, zone, width in m, sill in m]), zones of intake, waterfall, outlet
        and inflow, aeration units, pump-off of the wet well [m]. ``parameters``: key, value as used (twelve
        of them for months), default, low, high, unit, source and mark of every row of defaults.toml that the
        scenario makes use of; a value of the user's has his source and the mark S. ``sources``: the source
        the user gives, by key. ``givens``: see `givens_of`. ``design_sheet``: how many limits of the design
        sheet pass; part, what, value [SI] and bounds of each that fails or warns; all of them in their order
        with verdict and source; whether a timer lets equipment run in winter, and whether timer, sensor or
        float start any; and the circulation line at each level of the pond.
    """
    found = {
        "layout": _layout(scenario),
        "parameters": _parameters(scenario),
        "sources": dict(scenario.sources),
        "givens": givens_of(scenario),
        **({"design_sheet": _design_sheet(scenario)} if sheet else {}),
    }
    return {name: json.dumps(value) for name, value in found.items()}


def _design_sheet(scenario: Scenario) -> dict[str, Any]:
    limits = all_limits(scenario)
    line = line_sheet(scenario) if is_described(scenario) else None
    return {
        "pass": counts(limits)["pass"],
        "limits": [
            {**_limit(one), "verdict": one.verdict, "source": one.source}
            for one in limits
            if one.verdict in ("pass", "warn", "fail")
        ],
        "winter": runs_in_winter(scenario),
        "automatic": starts_by_itself(scenario),
        "work": [plain(one) for one in pond_work(scenario)],
        "line": [_point(row) for row in operating_points(line)] if line else [],
        "pipes": [line.intake_pipe, line.gravity_pipe, line.discharge_pipe] if line else [],
        **{
            verdict: [_limit(one) for one in limits if one.verdict == verdict] for verdict in ("fail", "warn")
        },
    }


def _limit(limit: Limit) -> dict[str, Any]:
    """A limit without its words on source and note; numbers that do not exist are left out."""
    numbers = {name: getattr(limit, name) for name in ("value", "least", "most")}
    known = {name: _rounded(value) for name, value in numbers.items() if value is not None}
    return {"part": limit.part, "what": limit.what, "kind": limit.kind, **known}


def _point(row: Given) -> list[Any]:
    """Level of the pond, what, kind, value [SI] and whether it is an elevation."""
    value = None if row.value is None or not math.isfinite(row.value) else _rounded(row.value)
    return [row.part, row.what, row.kind, value, row.elevation]


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
    """One row for each value and source of a parameter; places that differ stand behind the key."""
    places: dict[str, dict[tuple[Any, str | None], list[str]]] = {}
    for used in used_parameters(scenario):
        source = source_stated(scenario, used.key, used.value, _default(used))
        places.setdefault(used.name, {}).setdefault((used.value, source), []).append(used.place)
    if all(zone.bed_oxygen_demand is not None for zone in scenario.zone):
        _take_out_general(places["bed.oxygen_demand"])
    return [
        _row(
            default_parameter(name),
            value,
            source,
            "" if len(values) == 1 else ", ".join(filter(None, where)),
        )
        for name, values in places.items()
        for (value, source), where in values.items()
    ]


def used_parameters(scenario: Scenario) -> list[Used]:
    """Every parameter of a scenario at each place that has it, with the key that sets it there."""
    return [*_fields(scenario, "", ""), *_by_place(scenario)]


@dataclass(frozen=True)
class Used:
    """A parameter as used: its name in defaults.toml, value (SI), place, and the key that sets it."""

    name: str
    value: Any
    place: str
    key: str


def _default(used: Used) -> Any:
    """Default of a parameter, twelve of them for months."""
    value = default_parameter(used.name).value
    return (value,) * len(used.value) if isinstance(used.value, tuple) else value


def _take_out_general(values: dict[tuple[Any, str | None], list[str]]) -> None:
    """Take out the value of a whole pond that no zone asks for."""
    for value, where in list(values.items()):
        if "" in where:
            where.remove("")
            if not where:
                del values[value]


def _fields(section: Any, place: str, path: str) -> Iterator[Used]:
    """Every parameter of a section and of those within it; `path` ends in a point."""
    for field in dataclasses.fields(section):
        key, value = field.metadata.get("key"), getattr(section, field.name)
        if key is None or value is None:
            continue
        own = path + field.name
        if key.parameter:
            yield Used(key.parameter, value, place, own)
        elif key.kind == "section":
            yield from _fields(value, place, f"{own}.")
        elif key.kind == "sections":
            for number, entry in enumerate(value, start=1):
                label = getattr(entry, "name", f"{field.name} {number}")
                named = entry.name if is_named(key.section) else number
                lone = key.lone and len(value) == 1
                yield from _fields(entry, label, f"{own}." if lone else f"{own}.{named}.")


def _by_place(scenario: Scenario) -> Iterator[Used]:
    """Parameters that a zone or an aeration unit may have of its own, by another key."""
    for zone in scenario.zone:
        if zone.bed_oxygen_demand is not None:
            key = f"zone.{zone.name}.bed_oxygen_demand"
            yield Used("bed.oxygen_demand", zone.bed_oxygen_demand, zone.name, key)
    for unit in scenario.aeration:
        name, own = f"aeration.transfer_efficiency_{unit.kind}", unit.transfer_efficiency
        value = default_parameter(name).value if own is None else own
        yield Used(name, value, unit.name, f"aeration.{unit.name}.transfer_efficiency")


def _row(row: Parameter, value: Any, stated: str | None, where: str) -> dict[str, Any]:
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
        "source": row.source if stated is None else stated,
        "mark": row.mark if stated is None else "S",
    }


def _rounded(value: float) -> float:
    return float(f"{float(value):.{DIGITS}g}")
