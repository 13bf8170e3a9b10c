"""The same pond computed more finely: more layers, shorter steps, a tighter tolerance, a zone cut in two."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from pondsim.scenario.keys import keys_of
from pondsim.scenario.settings import Aeration, Connection, Numerics, Outage, Pond, Scenario, Zone

MORE_LAYERS = 2
SHORTER_STEP = 10.0
PART = " / part in "  # between the name of an aeration unit and the half of its zone that has a part of it
TIGHTER = 10.0
CURVES = ("source_flow", "source_free_flow", "source_power")  # of an aeration unit, for the whole of it
WHOLE = ("rated_flow", "rated_free_flow", "power")  # the same, single numbers
REACH_ZONES = ("bloom_crash", "treatment", "dye", "cover")  # sections whose entries name the zones they reach


@dataclass(frozen=True)
class Finer:
    """A scenario computed more finely.

    Attributes
    ----------
    name : layers, step, tolerance or zone
    words : what is finer, as people read it
    scenario : the finer one
    parts : names of the equal parts of a zone that was cut; the first is that of the whole
    """

    name: str
    words: str
    scenario: Scenario
    parts: tuple[str, ...] = ()


def finer(scenario: Scenario) -> tuple[Finer, ...]:
    """A scenario made finer in one way at a time; a way that goes no further is left out."""
    return (*_layers(scenario), *_step(scenario), *_tolerance(scenario), _zone(scenario))


def _layers(scenario: Scenario) -> list[Finer]:
    pond = scenario.pond
    layers = min(MORE_LAYERS * pond.layers, int(keys_of(Pond)["layers"].most or 0))
    if layers == pond.layers:
        return []
    made = replace(
        scenario, pond=replace(pond, layers=layers, top_layer=pond.top_layer * pond.layers / layers)
    )
    return [Finer("layers", f"{layers} layers instead of {pond.layers}", made)]


def _step(scenario: Scenario) -> list[Finer]:
    least = 10.0  # s
    step = scenario.numerics.hydraulic_step
    short = max(step / SHORTER_STEP, least)
    if short == step:
        return []
    words = f"hydraulic step {short / 60.0:g} min instead of {step / 60.0:g} min"
    return [Finer("step", words, _with(scenario, hydraulic_step=short))]


def _tolerance(scenario: Scenario) -> list[Finer]:
    tolerance = scenario.numerics.tolerance
    tight = max(tolerance / TIGHTER, float(keys_of(Numerics)["tolerance"].least or 0.0))
    if tight == tolerance:
        return []
    words = f"tolerance {tight:g} instead of {tolerance:g}"
    return [Finer("tolerance", words, _with(scenario, tolerance=tight))]


def _with(scenario: Scenario, **numerics: float) -> Scenario:
    return replace(scenario, numerics=replace(scenario.numerics, **numerics))


def _zone(scenario: Scenario) -> Finer:
    name = largest_zone(scenario)
    cut, halves = cut_in_two(scenario, name)
    return Finer("zone", f"{name}, the largest zone, cut in two", cut, halves)


def largest_zone(scenario: Scenario) -> str:
    """Name of the zone with the largest plan area at normal pool."""
    return max(scenario.zone, key=lambda zone: _area(scenario, zone)).name


def _area(scenario: Scenario, zone: Zone) -> float:
    return float(np.interp(scenario.pond.normal_pool, zone.stage, zone.area))


def cut_in_two(scenario: Scenario, name: str) -> tuple[Scenario, tuple[str, str]]:
    """The scenario with a zone cut across its length into two of half its area at every stage.

    Parameters
    ----------
    scenario : Scenario
    name : str
        Zone to cut.

    Returns
    -------
    Scenario, (str, str)
        The cut pond, and the names of the halves. The half on the side of the zone's first passage keeps the
        name, and with it pump, waterfall and inlets. The diffusers of a unit lie all over a zone: each half
        gets half of them where their number is even. Every neighbor joins the half on its side. The zone
        is taken as a square: its side is the width between the halves, half of it their distance.
    """
    whole = next(zone for zone in scenario.zone if zone.name == name)
    taken = {zone.name for zone in scenario.zone}
    other = next(new for number in range(2, 100) if (new := f"{name}_{number}") not in taken)
    along = _length_direction(scenario, whole)
    halves = tuple(_half(scenario, whole, half, along, sign) for half, sign in ((name, 1.0), (other, -1.0)))
    zones = [half for zone in scenario.zone for half in (halves if zone.name == name else (zone,))]
    profiles = [replace(one, zone=other) for one in scenario.start.profile if one.zone == name]
    reached: dict[str, Any] = {key: _reaching(getattr(scenario, key), name, other) for key in REACH_ZONES}
    dredged = [replace(one, zone=other) for one in scenario.dredging if one.zone == name]
    return (
        replace(
            scenario,
            **reached,
            zone=tuple(zones),
            connection=_joined(scenario, whole, other, along),
            start=replace(scenario.start, profile=(*scenario.start.profile, *profiles)),
            dredging=(*scenario.dredging, *dredged),
            aeration=tuple(part for unit in scenario.aeration for part in _shared(unit, name, other)),
            outage=tuple(_failing(scenario, one, name, other) for one in scenario.outage),
        ),
        (name, other),
    )


def _shared(unit: Aeration, name: str, other: str) -> tuple[Aeration, ...]:
    """An aeration unit, or two with half of its diffusers and of its air where its zone was cut."""
    if not _is_shared(unit, name):
        return (unit,)
    halves: dict[str, Any] = {key: tuple(0.5 * x for x in v) for key in CURVES if (v := getattr(unit, key))}
    halves |= {key: 0.5 * v for key in WHOLE if (v := getattr(unit, key)) is not None}
    if unit.line_diameter is not None:  # half of the air loses the same pressure, by Q^2/D^5
        halves["line_diameter"] = unit.line_diameter * 0.5**0.4
    lines = unit.tubing_lines
    half = replace(
        unit,
        diffusers=unit.diffusers // 2,
        tubing_lines=None if lines is None else max(lines // 2, 1),
        **halves,
    )
    return half, replace(half, name=f"{unit.name}{PART}{other}", zone=other)


def _is_shared(unit: Aeration, name: str) -> bool:
    return unit.zone == name and unit.diffusers % 2 == 0


def _failing(scenario: Scenario, outage: Outage, name: str, other: str) -> Outage:
    """An outage of a unit stops both of its parts."""
    parts = [
        f"{unit.name}{PART}{other}"
        for unit in scenario.aeration
        if unit.name in outage.systems and _is_shared(unit, name)
    ]
    return replace(outage, systems=(*outage.systems, *parts))


def _joined(
    scenario: Scenario, whole: Zone, other: str, along: tuple[float, float]
) -> tuple[Connection, ...]:
    """Passages of a zone that was cut: each at the half on its neighbor's side, one between the halves."""
    places = {zone.name: zone.centre for zone in scenario.zone}
    made = []
    for connection in scenario.connection:
        a, b = connection.between
        if whole.name in (a, b):
            neighbor = b if a == whole.name else a
            off = [p - c for p, c in zip(places[neighbor], whole.centre, strict=True)]
            half = whole.name if np.dot(off, along) >= 0.0 else other
            made.append(replace(connection, between=(half, b) if a == whole.name else (a, half)))
        else:
            made.append(connection)
    side = math.sqrt(_area(scenario, whole))
    between = Connection(between=(whole.name, other), width=side, sill=whole.stage[0], distance=0.5 * side)
    return (*made, between)


def _reaching(events: tuple[Any, ...], name: str, other: str) -> tuple[Any, ...]:
    """Events that reach a zone by name reach both of its halves."""
    return tuple(replace(one, zones=(*one.zones, other)) if name in one.zones else one for one in events)


def _half(scenario: Scenario, whole: Zone, name: str, along: tuple[float, float], sign: float) -> Zone:
    off = sign * 0.25 * math.sqrt(_area(scenario, whole))
    return replace(
        whole,
        name=name,
        centre=(whole.centre[0] + off * along[0], whole.centre[1] + off * along[1]),
        area=tuple(0.5 * area for area in whole.area),
        shoreline=0.5 * whole.shoreline,
    )


def _length_direction(scenario: Scenario, whole: Zone) -> tuple[float, float]:
    """Unit vector along which the neighbors of a zone lie, towards the first; east where there are none."""
    places = {zone.name: zone.centre for zone in scenario.zone}
    off = [
        [p - c for p, c in zip(places[neighbor], whole.centre, strict=True)]
        for connection in scenario.connection
        if whole.name in connection.between
        for neighbor in connection.between
        if neighbor != whole.name
    ]
    if not np.any(off):
        return 1.0, 0.0
    along = np.linalg.svd(np.array(off))[2][0]
    east, north = (along if np.dot(off[0], along) >= 0.0 else -along).tolist()
    return east, north
