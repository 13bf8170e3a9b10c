"""Small invented ponds for tests of the engine, and one way to integrate them."""

from __future__ import annotations

import atexit
import math
import shutil
import tempfile
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np

from pondsim.engine.digging import Digging
from pondsim.engine.initial import start_state
from pondsim.engine.loop import DONE, STAGES, Season, integrate, start_season
from pondsim.engine.model import Model, build_model, compute_rates
from pondsim.engine.step import update_step
from pondsim.processes import constituents as s
from pondsim.processes.state import State, new_state, state_of
from pondsim.scenario.settings import (
    Algae,
    BaseFlow,
    Bed,
    Connection,
    GasTransfer,
    Ground,
    Mixing,
    Nitrogen,
    Numerics,
    OrganicMatter,
    Outlet,
    Period,
    Place,
    Pond,
    Profile,
    Scenario,
    Solids,
    Start,
    Weather,
    Weir,
    Zone,
)

DAY = 86400.0
CELSIUS_0 = 273.15
LEVEL = 10.0  # m, normal pool
WARM = CELSIUS_0 + 20.0
BEGIN = datetime(2025, 7, 1)
MG_PER_L = 1e-3
CAMPUS = Path(__file__).parents[2] / "scenarios" / "campus"

_FOLDER = Path(tempfile.mkdtemp(prefix="pondsim-weather-"))
atexit.register(shutil.rmtree, _FOLDER, ignore_errors=True)


@cache
def steady_weather(
    air: float = 20.0,
    dew: float = 20.0,
    wind: float = 0.0,
    sun: float = 0.0,
    cloud: float = 100.0,
    rain: float = 0.0,
    days: int = 70,
) -> Weather:
    """Weather that never changes: degC, degC, m/s, W/m2, %, mm/h.

    With the values given, moist air under a closed sky sends water of 20 degC as much heat as it takes, and
    no water evaporates: nothing changes by itself.
    """
    file = _FOLDER / f"{air}_{dew}_{wind}_{sun}_{cloud}_{rain}_{days}.csv"
    head = "air_temperature [degC],dew_point [degC],wind_speed [m/s],solar_radiation [W/m2]"
    rows = [f"time,{head},cloud_cover [%],rain [mm/h]"]
    for hour in range(24 * days + 1):
        time = BEGIN + timedelta(hours=hour)
        rows.append(f"{time:%Y-%m-%d %H:%M},{air},{dew},{wind},{sun},{cloud},{rain}")
    file.write_text("\n".join(rows) + "\n", encoding="utf-8")
    return Weather(file=file)


def basin(
    name: str, area: float, depth: float, *, centre: tuple[float, float] = (0.0, 0.0), **more: Any
) -> Zone:
    """A zone with upright walls, `depth` under normal pool."""
    return Zone(name=name, centre=centre, stage=(LEVEL - depth, LEVEL + 5.0), area=(area, area), **more)


def bowl(
    name: str, area: float, depth: float, *, centre: tuple[float, float] = (0.0, 0.0), **more: Any
) -> Zone:
    """A zone with sloping banks: `area` at normal pool, a quarter of it on the bottom."""
    stage = (LEVEL - depth, LEVEL - 0.5 * depth, LEVEL, LEVEL + 2.0)
    share = (0.25, 0.55, 1.0, 1.3)
    return Zone(name=name, centre=centre, stage=stage, area=tuple(area * x for x in share), **more)


def passage(a: str, b: str, *, width: float = 10.0, depth: float = 1.0, distance: float = 30.0) -> Connection:
    """Open water between two zones, `depth` over the sill at normal pool."""
    return Connection(between=(a, b), width=width, sill=LEVEL - depth, distance=distance)


def filled_with(
    zone: str, temperature: float = WARM, oxygen: float = 8.0 * MG_PER_L, *, chloride: float = 0.0
) -> Start:
    """A start with one temperature and oxygen everywhere and nothing else but salt in the water."""
    profile = Profile(zone=zone, depth=(0.0,), temperature=(temperature,), dissolved_oxygen=(oxygen,))
    return Start(profile=(profile,), suspended_solids=0.0, bod5=0.0, ammonium=0.0, chloride=chloride)


def inert_pond(*zones: Zone, days: float = 10.0, layers: int = 1, **sections: Any) -> Scenario:
    """A pond in which nothing lives, decays or mixes by itself; `sections` replace what is set here."""
    settings: dict[str, Any] = {
        "title": "Test pond (invented)",
        "period": Period(start=BEGIN, end=BEGIN + timedelta(days=days), output_step=3600.0),
        "place": Place(latitude=math.radians(40.0), longitude=math.radians(-60.0), utc_offset=-4 * 3600.0),
        "pond": Pond(normal_pool=LEVEL, bank_top=LEVEL + 2.0, layers=layers, length=100.0),
        "zone": zones,
        "weather": steady_weather(),
        "ground": Ground(temperature=WARM),
        "bed": Bed(oxygen_demand=0.0, organic_decay=0.0, heat_conductivity=0.0, ammonium_release=0.0),
        "mixing": Mixing(
            dispersion_multiplier=0.0, gravity_exchange=0.0, dissipation=0.0, cooling_entrainment=0.0
        ),
        "gas_transfer": GasTransfer(law="wind"),
        "solids": Solids(by_temperature=False),
        "algae": Algae(mode="given", chlorophyll=(0.0,) * 12),
        "organic_matter": OrganicMatter(bod_decay=0.0, detritus_settling=0.0),
        "nitrogen": Nitrogen(nitrification=0.0),
        "start": filled_with(zones[0].name),
        "numerics": Numerics(tolerance=0.01),
    }
    return Scenario(**(settings | sections))


def clean_flow(zone: str, flow: float, **carried: float) -> BaseFlow:
    """Steady inflow at 20 degC with nothing in it but what is named."""
    nothing = {"suspended_solids": 0.0, "bod5": 0.0, "ammonium": 0.0, "chloride": 0.0}
    return BaseFlow(zone=zone, flow=flow, temperature=WARM, **(nothing | carried))


def weir_at_normal_pool(zone: str, flow: float, width: float = 2.0) -> Outlet:
    """A weir that passes `flow` with the water at normal pool, so that a steady inflow leaves it there."""
    head = (flow / (1.705 * width)) ** (2.0 / 3.0)
    return Outlet(zone=zone, weir=(Weir(crest=LEVEL - head, width=width, coefficient=1.705),))


def chain(areas: tuple[float, ...], depth: float, flow: float, **sections: Any) -> Scenario:
    """Mixed zones in a row with a steady flow in at the first and out of the last."""
    names = [f"z{i + 1}" for i in range(len(areas))]
    zones = [
        basin(n, a, depth, centre=(30.0 * i, 0.0)) for i, (n, a) in enumerate(zip(names, areas, strict=True))
    ]
    links = tuple(passage(a, b, depth=depth) for a, b in pairwise(names))
    flows: dict[str, Any] = {
        "connection": links,
        "base_flow": (clean_flow("z1", flow),),
        "outlet": weir_at_normal_pool(names[-1], flow),
    }
    return inert_pond(*zones, **(flows | sections))


@dataclass(frozen=True)
class Marched:
    """A season after its last step."""

    model: Model
    season: Season
    time: np.ndarray  # s, of the outputs

    @property
    def states(self) -> list[State]:
        return [state_of(self.model.layout, row) for row in self.season.kept]

    def amounts(self, constituent: int) -> np.ndarray:
        """(times, boxes)."""
        return np.stack([state.amounts[:, constituent] for state in self.states])

    def concentration(self, constituent: int) -> np.ndarray:
        """(times, boxes)."""
        return self.amounts(constituent) / self.amounts(s.WATER)

    def line(self, line: int) -> np.ndarray:
        """Total of a line of the budgets at each output."""
        return np.array([state.lines[line] for state in self.states])

    def state_part(self, name: str) -> np.ndarray:
        """One part of the state at each output."""
        return np.stack([getattr(state, name) for state in self.states])

    def energy(self, system: int) -> np.ndarray:
        """Electricity used by a system until each output [J]."""
        return np.array([state.energy[system] for state in self.states])


def integrate_pond(scenario: Scenario, change: Callable[[Model, State], None] | None = None) -> Marched:
    """Integrate a scenario from its start, altered in place by `change`."""
    model = build_model(scenario)
    state = start_state(scenario, model)
    if change:
        change(model, state)
    season = start_season(model, state, scenario.numerics.tolerance)
    season.kept[0] = state.vector
    season.surface[0] = model.work.surface
    digging, row = Digging(scenario, model), 1
    for first, end in digging.pieces(model.forcing.time.size - 1, model.forcing.time.size):
        digging.before(first, season.state)
        row = integrate(model, STAGES, season, first, end, row)
        assert season.count[3] == DONE
    outputs = model.forcing.time[1:][model.forcing.output == 1]
    return Marched(model, season, np.concatenate([[0.0], outputs]))


def rates_of(
    scenario: Scenario, change: Callable[[Model, State], None] | None = None
) -> tuple[Model, State, State]:
    """Model, state and rates of change at the first moment of a scenario."""
    model = build_model(scenario)
    state = start_state(scenario, model)
    if change:
        change(model, state)
    rates = new_state(model.layout)
    update_step(model, 0, state)
    compute_rates(model, 0, 0.0, state, rates)
    return model, state, rates


def set_concentration(state: State, constituent: int, values: Any) -> None:
    """Give every box a concentration."""
    state.amounts[:, constituent] = np.asarray(values) * state.amounts[:, s.WATER]


def shortened(scenario: Scenario, days: float, first_day: float = 0.0) -> Scenario:
    """The scenario over some days of its period."""
    start = scenario.period.start + timedelta(days=first_day)
    return replace(scenario, period=replace(scenario.period, start=start, end=start + timedelta(days=days)))
