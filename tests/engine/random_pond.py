"""A random pond from a seed: 1 to 8 zones, 1 to 24 layers, 0.02 to 50 acres, storms, drawdown, equipment."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any

import numpy as np

from pondsim.scenario.settings import (
    Aeration,
    Algae,
    AlgaeKind,
    BaseFlow,
    BloomCrash,
    Connection,
    Dredging,
    Dye,
    Ground,
    Ice,
    Inflow,
    Intake,
    Load,
    Orifice,
    Outlet,
    Period,
    Place,
    Pond,
    Pump,
    Resuspension,
    Scenario,
    Spillway,
    SyntheticWeather,
    Treatment,
    Waterfall,
    Weather,
    Weir,
    Zone,
)
from tests.engine.ponds import BEGIN, CELSIUS_0, DAY, LEVEL

ACRE, INCH = 4046.9, 0.0254
DAYS = 3
JANUARY = datetime(2025, 1, 10)


def random_pond(seed: int) -> Scenario:
    """An invented pond of summer, and what `_altered` makes of it."""
    draw = np.random.default_rng(seed)

    def between(low, high):
        return float(np.exp(draw.uniform(np.log(low), np.log(high))))

    count = int(draw.integers(1, 9))
    area, deepest = between(0.02, 50.0) * ACRE, between(0.8, 6.0)
    shares = draw.dirichlet(np.ones(count))
    zones = tuple(_zone(f"z{k}", area * max(shares[k], 0.01), deepest, k, draw) for k in range(count))
    depth = {zone.name: LEVEL - zone.stage[0] for zone in zones}
    links = _links(depth, draw, between)
    sections = _water(depth, area, draw, between) | _equipment(depth, area * deepest / 2.0, draw, between)
    wind = float(draw.uniform(0.5, 5.0))
    pond = Scenario(
        title=f"Random pond {seed} (invented)",
        period=Period(start=BEGIN, end=BEGIN + timedelta(days=DAYS), output_step=3600.0),
        place=Place(latitude=np.radians(40.0), longitude=np.radians(-60.0), utc_offset=-4 * 3600.0),
        pond=Pond(
            normal_pool=LEVEL, bank_top=LEVEL + 1.0, layers=int(draw.integers(1, 25)), length=area**0.5
        ),
        zone=zones,
        connection=links,
        weather=_weather(seed, 23.0, 16.0, wind),
        **sections,
    )
    return _altered(pond, np.random.default_rng([seed, 1]))


def _zone(name: str, area: float, deepest: float, index: int, draw: np.random.Generator) -> Zone:
    depth = deepest if index == 0 else deepest * draw.uniform(0.1, 1.0)
    stage = (LEVEL - depth, LEVEL - 0.5 * depth, LEVEL, LEVEL + 1.0)
    low = draw.uniform(0.02, 0.9)
    share = (low, 0.5 * (1.0 + low), 1.0, 1.2)
    centre = (float(30.0 * index), float(draw.uniform(0.0, 60.0)))
    return Zone(name=name, centre=centre, stage=stage, area=tuple(float(area * x) for x in share))


def _links(depth: dict[str, float], draw: np.random.Generator, between: Any) -> tuple[Connection, ...]:
    links = []
    for k in range(1, len(depth)):
        other = f"z{int(draw.integers(0, k))}"
        sill = LEVEL - draw.uniform(0.1, 1.0) * min(depth[f"z{k}"], depth[other])
        links.append(Connection(between=(other, f"z{k}"), width=between(1.0, 40.0), sill=sill))
    return tuple(links)


def _water(depth: dict[str, float], area: float, draw: np.random.Generator, between: Any) -> dict[str, Any]:
    """Outlet, seepage and storms; most holes stand in the water, some under the bed."""
    names = list(depth)
    out = str(draw.choice(names))
    hole = Orifice(elevation=LEVEL - draw.uniform(-0.2, 1.0) * depth[out], diameter=between(1.0, 48.0) * INCH)
    return {
        "outlet": Outlet(
            zone=out,
            orifice=(hole,) if draw.random() < 0.7 else (),
            weir=(Weir(crest=LEVEL + draw.uniform(-0.3, 0.3), width=between(0.3, 6.0)),),
            spillway=(Spillway(crest=LEVEL + 0.6, width=between(3.0, 12.0)),),
        ),
        "ground": Ground(seepage=draw.choice([0.0, 1.0, -1.0]) * between(0.1, 10.0) * 1e-3 / DAY),
        "inflow": tuple(
            Inflow(
                zone=str(draw.choice(names)),
                start=BEGIN + timedelta(days=float(draw.uniform(0.1, 2.5))),
                duration=between(0.5, 24.0) * 3600.0,
                volume=between(0.001, 0.6) * area,
                temperature=CELSIUS_0 + draw.uniform(8.0, 32.0),
                chloride=float(draw.choice([0.0, 0.05, 1.0])),
            )
            for _ in range(int(draw.integers(0, 4)))
        ),
    }


def _equipment(
    depth: dict[str, float], volume: float, draw: np.random.Generator, between: Any
) -> dict[str, Any]:
    """A waterfall in six of ten ponds, none to three aeration units."""
    names = list(depth)
    sections: dict[str, Any] = {}
    if draw.random() < 0.6:
        zone = str(draw.choice(names))
        sections = {
            "intake": Intake(zone=zone, elevation=LEVEL - draw.uniform(0.2, 0.9) * depth[zone]),
            "pump": Pump(flow=volume / between(0.5, 20.0) / DAY),
            "waterfall": Waterfall(
                zone=str(draw.choice(names)), drop=draw.uniform(0.3, 2.0), width=between(0.5, 5.0)
            ),
        }
    units = []
    for k in range(int(draw.integers(0, 4))):
        zone = str(draw.choice(names))
        height = LEVEL - draw.uniform(0.5, 1.0) * depth[zone]
        count_of = int(draw.integers(1, 7))
        units.append(Aeration(f"air{k}", zone, height, diffusers=count_of, air_flow=between(1e-4, 3e-3)))
    return {**sections, "aeration": tuple(units)}


def _weather(seed: int, air: float, dew: float, wind: float) -> Weather:
    year = SyntheticWeather(
        seed=seed,
        air_temperature=(CELSIUS_0 + air,) * 12,
        daily_range=(11.0,) * 12,
        dew_point=(CELSIUS_0 + dew,) * 12,
        wind_speed=(wind,) * 12,
        cloud_cover=(0.4,) * 12,
    )
    return Weather(synthetic=year)


def _altered(pond: Scenario, draw: np.random.Generator) -> Scenario:
    """Some ponds flooded, low at the start, with one layer, with given algae, dredged, in winter."""

    def chance(share):
        return bool(draw.random() < share)

    zone = str(draw.choice([one.name for one in pond.zone]))
    deepest = LEVEL - min(one.stage[0] for one in pond.zone)
    area = sum(one.area[2] for one in pond.zone)
    if chance(0.12):  # one to two and a half meters of rain on the pond within hours: over the bank
        flood = Inflow(
            zone=zone,
            start=BEGIN + timedelta(days=float(draw.uniform(0.1, 2.0))),
            duration=float(draw.uniform(1.0, 12.0)) * 3600.0,
            volume=float(draw.uniform(1.0, 2.5)) * area,
        )
        pond = replace(pond, inflow=(*pond.inflow, flood))
        if chance(0.5):
            pond = replace(pond, outlet=replace(pond.outlet, spillway=()))
    if chance(0.15):  # also under the beds of some zones, or all but a puddle
        low = LEVEL - float(draw.uniform(0.1, 0.98)) * deepest
        pond = replace(pond, start=replace(pond.start, water_surface=low))
    if chance(0.04):
        pond = replace(pond, pond=replace(pond.pond, layers=1))
    if chance(0.15):
        pond = replace(pond, algae=Algae(mode="given"))
    elif chance(0.15):
        pond = replace(pond, algae=Algae(kind=(AlgaeKind("floating"),)))
    if chance(0.2):
        pond = replace(pond, resuspension=Resuspension(waves=True, at_return=True))
    if chance(0.3):
        flow = BaseFlow(zone=zone, flow=area * float(np.exp(draw.uniform(-18.0, -14.0))))
        pond = replace(pond, base_flow=(flow,))
    if chance(0.2):
        pond = _treated(pond, zone, draw)
    return _in_winter(pond, draw) if chance(0.2) else pond


def _treated(pond: Scenario, zone: str, draw: np.random.Generator) -> Scenario:
    """Dredged, dosed, dyed, fed and its bloom killed, each in two of three ponds."""
    morning = BEGIN + timedelta(days=float(draw.uniform(0.1, 1.0)))
    acts: dict[str, Any] = {
        "dredging": Dredging(date=morning, zone=zone, depth=0.3, duration=DAY),
        "treatment": Treatment(start=morning, dose=100.0, binds=0.01),
        "dye": Dye(start=morning, extinction=1.0),
        "load": Load(
            "geese", zone, morning, morning + timedelta(days=1), phosphorus=1e-6, oxygen_demand=1e-4
        ),
        "bloom_crash": BloomCrash(start=morning, duration=0.5 * DAY),
    }
    return replace(pond, **{name: (act,) for name, act in acts.items() if draw.random() < 2.0 / 3.0})


def _in_winter(pond: Scenario, draw: np.random.Generator) -> Scenario:
    """The same days of January, with frost or thaw, ice on half of the ponds, cold storms."""
    later = JANUARY - BEGIN

    def moved(act):
        name = "date" if hasattr(act, "date") else "start"
        changes = {name: getattr(act, name) + later}
        if isinstance(act, Load):
            changes["end"] = act.end + later
        if isinstance(act, Inflow):
            changes["temperature"] = CELSIUS_0 + float(draw.uniform(0.1, 6.0))
        return replace(act, **changes)

    lists = ("inflow", "dredging", "treatment", "dye", "load", "bloom_crash")
    air = float(draw.uniform(-15.0, 3.0))
    start = replace(
        pond.start,
        ice_thickness=float(draw.choice([0.0, draw.uniform(0.01, 0.3)])),
        snow_depth=float(draw.choice([0.0, draw.uniform(0.0, 0.2)])),
    )
    return replace(
        pond,
        **{name: tuple(moved(act) for act in getattr(pond, name)) for name in lists},
        period=replace(pond.period, start=JANUARY, end=JANUARY + timedelta(days=DAYS)),
        weather=_weather(pond.weather.synthetic.seed, air, air - 4.0, pond.weather.synthetic.wind_speed[0]),
        ice=Ice(),
        start=start,
    )
