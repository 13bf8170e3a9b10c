"""Checks of the air line: one way to state the air, curves in order, tubing complete, pressure enough."""

from __future__ import annotations

from collections.abc import Iterator

from pondsim.constants import GRAVITY, WATER_DENSITY
from pondsim.scenario.check_pond import Fault, first_not_increasing, length
from pondsim.scenario.defaults import parameter_value
from pondsim.scenario.settings import Aeration, Scenario
from pondsim.units import display
from pondsim.words import counted

CURVE = ("source_flow", "source_free_flow", "source_pressure", "source_power")
RATED = ("rated_flow", "rated_free_flow", "rated_pressure")


def air_lines(scenario: Scenario) -> Iterator[Fault]:
    """Source and tubing of every unit."""
    for unit in scenario.aeration:
        faults = [*_ways(unit), *_curve(unit), *_rated(unit), *_tubing(unit), *_losses(unit)]
        yield from faults or _pressure(unit, scenario)


def _given(unit: Aeration, keys: tuple[str, ...]) -> list[str]:
    return [key for key in keys if getattr(unit, key) is not None]


def _ways(unit: Aeration) -> Iterator[Fault]:
    """Exactly one of a stated air flow, a curve and a rated point."""
    key = f"aeration.{unit.name}"
    curve, rated = _given(unit, CURVE), _given(unit, RATED)
    if unit.air_flow is not None and curve + rated:
        yield (
            f"{key}.air_flow",
            f"stands beside {(curve + rated)[0]}; keep the stated air flow, or the air source.",
        )
    elif curve and rated:
        yield f"{key}.{rated[0]}", f"stands beside {curve[0]}; keep the curve, or the rated point."
    elif unit.air_flow is None and not curve and not rated:
        yield (
            f"{key}.air_flow",
            "is missing: standard air through each diffuser. Write it, or the air source: a curve "
            "(source_flow or source_free_flow, with source_pressure) or a rated point "
            "(source, rated_flow or rated_free_flow, rated_pressure).",
        )


def _one_flow(unit: Aeration, kind: str) -> Iterator[Fault]:
    """One of standard and free air, and a pressure beside it; `kind` is "source" or "rated"."""
    key = f"aeration.{unit.name}"
    standard, free, pressure = f"{kind}_flow", f"{kind}_free_flow", f"{kind}_pressure"
    flows = _given(unit, (standard, free))
    if len(flows) == 2:
        yield f"{key}.{free}", f"stands beside {standard}; keep standard air (scfm) or free air (cfm)."
    if not flows:
        yield f"{key}.{standard}", f"is missing; write {standard} in scfm or {free} in cfm."
    if getattr(unit, pressure) is None:
        yield (
            f"{key}.{pressure}",
            f'is missing beside {flows[0] if flows else standard}; write such as "5 psi".',
        )


def _curve(unit: Aeration) -> Iterator[Fault]:
    """A curve has two points at least; the flow falls as the pressure rises."""
    if not _given(unit, CURVE):
        return
    key = f"aeration.{unit.name}"
    faults = list(_one_flow(unit, "source"))
    yield from faults
    if unit.source_power is not None and unit.power is not None:
        yield f"{key}.source_power", "stands beside power; keep the curve's power or the metered one."
    pressure, name = unit.source_pressure, _given(unit, CURVE)[0]
    if faults or pressure is None:
        return
    for other in _given(unit, CURVE):
        count = len(getattr(unit, other))
        if count != len(pressure):
            yield f"{key}.{other}", f"has {counted(count, 'value')} for {len(pressure)} of source_pressure."
            return
    if len(pressure) < 2:
        yield f"{key}.source_pressure", "has one value; write two at least, or a rated point."
        return
    flow = getattr(unit, name)
    turned = pressure[0] > pressure[-1]
    rising, falling = (pressure[::-1], flow[::-1]) if turned else (pressure, flow)
    if first_not_increasing(rising):
        yield f"{key}.source_pressure", "does not rise from point to point; put the points in order."
    elif first_not_increasing(falling[::-1]):
        yield f"{key}.{name}", "does not fall where source_pressure rises: no air source works so."


def _rated(unit: Aeration) -> Iterator[Fault]:
    """A rated point is complete and says what kind of source it is."""
    if not _given(unit, RATED) or _given(unit, CURVE):
        return
    yield from _one_flow(unit, "rated")
    if unit.source is None:
        yield (
            f"aeration.{unit.name}.source",
            'is missing beside the rated point; write source = "blower" or "compressor".',
        )


def _tubing(unit: Aeration) -> Iterator[Fault]:
    """Diameter and length come together; a main line leads to tubing."""
    key = f"aeration.{unit.name}"
    for one, other in (
        ("tubing_diameter", "tubing_length"),
        ("tubing_length", "tubing_diameter"),
        ("line_diameter", "line_length"),
        ("line_length", "line_diameter"),
        ("tubing_lines", "tubing_diameter"),
        ("line_diameter", "tubing_diameter"),
    ):
        if getattr(unit, one) is not None and getattr(unit, other) is None:
            example = '"0.5 in"' if other.endswith("diameter") else '"150 ft"'
            yield f"{key}.{other}", f"is missing beside {one}; write such as {example}."
    if unit.tubing_lines is not None and unit.tubing_lines > unit.diffusers:
        yield (
            f"{key}.tubing_lines",
            f"= {unit.tubing_lines} is more than diffusers = {unit.diffusers}; a line feeds one at least.",
        )


def _losses(unit: Aeration) -> Iterator[Fault]:
    """Keys that would do nothing are told."""
    key = f"aeration.{unit.name}"
    if unit.tubing_diameter is not None:
        if unit.line_loss != parameter_value("aeration.line_loss"):
            yield f"{key}.line_loss", "stands beside tubing_diameter, which computes it; take it out."
        return
    for name, idle in (
        ("diffuser_loss", parameter_value("aeration.diffuser_loss")),
        ("fouling", parameter_value("aeration.fouling")),
        ("tubing_roughness", parameter_value("aeration.tubing_roughness")),
        ("tubing_fittings", 0.0),
    ):
        if getattr(unit, name) != idle:
            yield (
                f"{key}.{name}",
                "does nothing without tubing_diameter and tubing_length, since line_loss stands for "
                "tubing and diffuser; describe the tubing, or take it out.",
            )


def _pressure(unit: Aeration, scenario: Scenario) -> Iterator[Fault]:
    """The source overcomes the water over the diffusers at normal pool, before any loss in tubing."""
    if unit.source_pressure is not None:
        name, most = "source_pressure", max(unit.source_pressure)
    elif unit.rated_pressure is not None:
        share = parameter_value(f"aeration.max_pressure_{unit.source}")
        name, most = "rated_pressure", share * unit.rated_pressure
    else:
        return
    depth = scenario.pond.normal_pool - unit.elevation
    loss = unit.line_loss if unit.tubing_diameter is None else unit.diffuser_loss * unit.fouling
    needed = WATER_DENSITY * GRAVITY * depth + loss
    if needed >= most:
        yield (
            f"aeration.{unit.name}.{name}",
            f"reaches {display(most, 'pressure')} at most; {length(depth)} of water and the diffuser take "
            f"{display(needed, 'pressure')} with no air flowing. Take a source of more pressure, or lay the "
            "diffusers higher.",
        )
