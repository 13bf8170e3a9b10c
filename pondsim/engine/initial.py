"""The starting state: from measured profiles, else from the weather of the first days."""

from __future__ import annotations

import numpy as np

from pondsim.constants import DAY, WATER_DENSITY
from pondsim.engine.bed_start import bed_areas, guess_stores
from pondsim.engine.model import Model
from pondsim.physics.ice import ICE_PER_WATER
from pondsim.physics.kinetics import ultimate_from_bod5
from pondsim.physics.oxygen import oxygen_saturation, standard_pressure
from pondsim.processes import constituents as s
from pondsim.processes.geometry import OPENS
from pondsim.processes.living_rows import LivingRows, bed_table
from pondsim.processes.state import State, new_state, salt_from_chloride
from pondsim.scenario.settings import Scenario
from pondsim.site.pond import FloatArray, box_limits, box_volume, zone_area
from pondsim.site.weather import AIR_TEMPERATURE

FIRST_DAYS = 5.0 * DAY  # s of weather whose mean air temperature the water takes, with no profile
DEFAULT_OXYGEN = 0.9  # share of saturation, with no profile


def start_state(scenario: Scenario, model: Model) -> State:
    """State at the start of the period.

    A zone with a measured profile takes it; a zone without takes the mean of those measured. With no
    profile at all the water is as warm as the air of the first five days, at 90 % of saturation.
    """
    grid, layout = model.grid, model.layout
    surface = _underside(scenario)
    state = new_state(layout)
    volume = np.array([box_volume(grid, box, surface) for box in range(layout.boxes)])
    temperature, oxygen = _profiles(scenario, model, surface)
    concentration = np.zeros_like(state.amounts)
    for constituent, kept in enumerate(s.BOXES):
        given = getattr(scenario.start, kept.given) if kept.given else kept.neutral
        concentration[:, constituent] = given
    concentration[:, s.HEAT] = temperature
    concentration[:, s.OXYGEN] = oxygen
    concentration[:, s.BOD] = ultimate_from_bod5(
        scenario.start.bod5, max(scenario.organic_matter.bod_decay, 1e-9)
    )
    concentration[:, s.SALT] = salt_from_chloride(scenario.start.chloride)
    # what hangs in still water is what settles slowest
    concentration[:, s.FIRST_CLASS] = scenario.start.suspended_solids
    _set_living(scenario, layout.living, concentration)
    state.amounts[:] = concentration * volume[:, None]
    for row, bed in enumerate(bed_table(layout.living)):
        state.bed[row] = bed.neutral
    for row, zone in enumerate(s.ZONES):
        state.zones[row] = zone.neutral
    area = np.array([zone_area(grid, zone, surface) for zone in range(layout.zones)])
    state.zones[s.ICE], state.zones[s.SNOW] = (area * water for water in _frozen(scenario))
    if layout.living.grown:
        guess_stores(scenario, model, bed_areas(model, surface), state)
    state.bed_heat[:, 0] = temperature
    state.bed_heat[:, 1] = 0.5 * (temperature + scenario.ground.temperature)
    open_passages(scenario, model)
    return state


def _set_living(scenario: Scenario, rows: LivingRows, concentration: FloatArray) -> None:
    """Dissolved phosphorus and algae; further kinds are there as seed."""
    if rows.grown:
        start, algae = scenario.start, scenario.algae
        concentration[:, rows.dissolved] = start.dissolved_phosphorus
        concentration[:, rows.algae] = start.chlorophyll * algae.carbon_to_chlorophyll
        concentration[:, rows.algae + 1 : rows.algae + rows.kinds] = algae.seed


def starting_surface(scenario: Scenario) -> float:
    """Water surface elevation at the start: as given, else normal pool [m]."""
    given = scenario.start.water_surface
    return scenario.pond.normal_pool if given is None else given


def _frozen(scenario: Scenario) -> tuple[float, float]:
    """Water in the ice and in the snow at the start, as heights [m]."""
    start, ice = scenario.start, scenario.ice
    snow_density = ice.snow_density if ice else 0.0
    return start.ice_thickness / ICE_PER_WATER, start.snow_depth * snow_density / WATER_DENSITY


def _underside(scenario: Scenario) -> float:
    """Elevation to which liquid water reaches at the start: the water surface less what floats in it [m]."""
    return starting_surface(scenario) - sum(_frozen(scenario))


def open_passages(scenario: Scenario, model: Model) -> None:
    """Set water surfaces and passages as they are at the start; how stable layers have been is unknown."""
    surface = _underside(scenario)
    model.work.surface[:] = np.maximum(surface, model.grid.zone_bottom)
    model.work.stability[:] = -1.0
    model.work.passage_open[:] = surface > model.grid.connection_sill + OPENS


def _profiles(scenario: Scenario, model: Model, surface: float) -> tuple[FloatArray, FloatArray]:
    """Temperature [K] and oxygen [kg/m3] of each box."""
    grid = model.grid
    centre = np.array([0.5 * sum(box_limits(grid, box, surface)) for box in range(model.layout.boxes)])
    depth = np.maximum(surface - centre, 0.0)
    names = [zone.name for zone in scenario.zone]
    measured = {
        p.zone: (np.interp(depth, p.depth, p.temperature), np.interp(depth, p.depth, p.dissolved_oxygen))
        for p in scenario.start.profile
    }
    if not measured:
        times = model.forcing.weather_first + model.forcing.weather_step * np.arange(
            len(model.forcing.weather)
        )
        early = model.forcing.weather[(times >= 0.0) & (times <= FIRST_DAYS), AIR_TEMPERATURE]
        warm = max(float(early.mean()), 277.15)
        pressure = float(standard_pressure(scenario.place.elevation))
        full = float(oxygen_saturation(warm, 0.0, pressure))
        return np.full(depth.size, warm), np.full(depth.size, DEFAULT_OXYGEN * full)
    temperature, oxygen = np.mean([list(profile) for profile in measured.values()], axis=0)
    for box, zone in enumerate(grid.box_zone):
        if names[zone] in measured:
            temperature[box], oxygen[box] = (values[box] for values in measured[names[zone]])
    return temperature, oxygen
