"""Ponds that the benchmark marches through."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np

from pondsim.scenario.defaults import default_parameters
from pondsim.scenario.read import read_scenario
from pondsim.scenario.settings import Connection, Drainage, Scenario, Zone
from pondsim.site.runoff_quality import concentrations_of

CAMPUS = Path(__file__).parents[1] / "scenarios" / "campus"
DRY_START = 0.15  # m of water over the bed of the deepest zone


def cases(design: str) -> Iterator[tuple[str, Scenario]]:
    """A demo design as it is, with thirty times the mixing, and from a nearly dry start."""
    scenario = read_scenario(CAMPUS / f"{design}.toml")
    yield design, scenario
    yield f"{design}, mixing x 30", mixed_more(scenario, 30.0)
    bottom = min(zone.stage[0] for zone in scenario.zone)
    dry = replace(scenario, start=replace(scenario.start, water_surface=bottom + DRY_START))
    yield f"{design}, nearly dry", dry


def mixed_more(scenario: Scenario, times: float) -> Scenario:
    mixing = scenario.mixing
    more = replace(
        mixing,
        background_multiplier=times * mixing.background_multiplier,
        convective_diffusivity=times * mixing.convective_diffusivity,
        diffusivity_floor=times * mixing.diffusivity_floor,
    )
    return replace(scenario, mixing=more)


PLAIN = (
    "bed",
    "bottom_oxygen_debt",
    "gas_transfer",
    "mixing",
    "organic_matter",
    "nitrogen",
    "light",
    "solids",
)


def drawn(generator: np.random.Generator) -> tuple[dict[str, float], dict[str, float]]:
    """Every default drawn log-uniformly from low to high (evenly from 0), and each over its default."""
    values = {}
    for name, row in default_parameters().items():
        if row.low > 0.0:
            values[name] = float(np.exp(generator.uniform(np.log(row.low), np.log(row.high))))
        else:
            values[name] = float(generator.uniform(row.low, row.high))
    return values, {name: value / default_parameters()[name].value for name, value in values.items()}


def section(values: dict[str, float], name: str) -> dict[str, float]:
    return {key.split(".")[1]: value for key, value in values.items() if key.startswith(name + ".")}


def _scaled(area: Drainage, times: dict[str, float]) -> Drainage:
    """A drainage area whose water carries so many times its concentrations."""
    known = concentrations_of(area)
    named = {key: getattr(known, key) * times[key] for key in ("suspended_solids", "bod5", "ammonium")}
    return replace(
        area, **named, **{key: getattr(area, key) * times[key] for key in ("oxygen_saturation", "chloride")}
    )


def perturbed(scenario: Scenario, generator: np.random.Generator) -> Scenario:
    """A scenario of drawn defaults; values of the site's own are scaled alike."""
    values, times = drawn(generator)
    changes: dict[str, Any] = {
        name: replace(getattr(scenario, name), **section(values, name)) for name in PLAIN
    }
    given = np.broadcast_to(np.array(scenario.algae.chlorophyll), 12) * times["algae.chlorophyll"]
    algae = section(values, "algae") | {"chlorophyll": tuple(float(c) for c in given)}
    changes["algae"] = replace(scenario.algae, **algae)
    demand = times["bed.oxygen_demand"]
    changes["zone"] = tuple(
        replace(z, bed_oxygen_demand=z.bed_oxygen_demand and z.bed_oxygen_demand * demand)
        for z in scenario.zone
    )
    dirt = section(times, "stormwater")
    changes["inflow"] = tuple(
        replace(event, **{key: getattr(event, key) * by for key, by in dirt.items()})
        for event in scenario.inflow
    )
    changes["drainage"] = tuple(_scaled(area, dirt) for area in scenario.drainage)
    if scenario.waterfall:
        changes["waterfall"] = replace(scenario.waterfall, **section(values, "waterfall"))
    air = section(values, "aeration")
    changes["aeration"] = tuple(
        replace(unit, alpha=air["alpha"], transfer_efficiency=air[f"transfer_efficiency_{unit.kind}"])
        for unit in scenario.aeration
    )
    return replace(scenario, **changes)


def gridded(scenario: Scenario, along: int, across: int, layers: int) -> Scenario:
    """A pond of `along` x `across` equal zones, the design's equipment at its corners."""
    depth, spacing = 3.3, 25.0
    bottom = scenario.pond.normal_pool - depth
    names = [f"zone_{i}_{j}" for j in range(across) for i in range(along)]
    stage = (bottom, bottom + 0.5 * depth, bottom + depth, scenario.pond.bank_top)
    zones = tuple(
        Zone(
            name=name,
            centre=(spacing * (k % along), spacing * (k // along)),
            stage=stage,
            area=(250, 450, 625, 680),
        )
        for k, name in enumerate(names)
    )
    links = [(k, k + 1) for k in range(len(names)) if (k + 1) % along] + [
        (k, k + along) for k in range(len(names) - along)
    ]
    passages = tuple(
        Connection(between=(names[a], names[b]), width=20.0, sill=bottom + 0.5) for a, b in links
    )
    return replace(
        scenario,
        pond=replace(scenario.pond, layers=layers),
        zone=zones,
        connection=passages,
        drainage=tuple(replace(area, zone=names[0]) for area in scenario.drainage),
        inflow=tuple(replace(event, zone=names[0]) for event in scenario.inflow),
        base_flow=tuple(replace(flow, zone=names[0]) for flow in scenario.base_flow),
        outlet=scenario.outlet and replace(scenario.outlet, zone=names[-1]),
        intake=scenario.intake and replace(scenario.intake, zone=names[-1]),
        waterfall=scenario.waterfall and replace(scenario.waterfall, zone=names[0]),
        aeration=tuple(
            # no deeper than designed: its source of air has no more pressure
            replace(unit, zone=names[along - 1], elevation=max(unit.elevation, bottom + 0.3))
            for unit in scenario.aeration
        ),
        start=replace(scenario.start, profile=(replace(scenario.start.profile[0], zone=names[0]),)),
    )
