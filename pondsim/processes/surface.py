"""Heat, water and oxygen through the water surface, and heat through the bed."""

from __future__ import annotations

from dataclasses import dataclass

from pondsim.constants import WATER_DENSITY, WATER_HEAT_CAPACITY, ZERO_CELSIUS
from pondsim.jit.bundle import Bundle
from pondsim.jit.compiled import compiled_for_loop
from pondsim.physics.gas_transfer import gas_transfer_velocity, k600_cole_caraco, schmidt_oxygen_1992
from pondsim.physics.heat import evaporation_function, evaporation_heat, longwave_from_sky, surface_heat_loss
from pondsim.physics.oxygen import oxygen_saturation
from pondsim.physics.water import latent_heat, vapour_pressure
from pondsim.processes import state as s
from pondsim.processes.state import State
from pondsim.processes.work import Work
from pondsim.scenario.settings import Scenario
from pondsim.site.pond import FloatArray, Grid
from pondsim.site.weather import (
    AIR_TEMPERATURE,
    CLOUD_SHARE,
    PRESSURE,
    RAIN,
    SHORTWAVE,
    VAPOUR_PRESSURE,
    WIND_SPEED,
)

PER_WATER_HEAT = 1.0 / (WATER_DENSITY * WATER_HEAT_CAPACITY)  # m3 K per J
BED_HEAT_CAPACITY = 3.2e6  # J/m3/K, wet mud (from memory, not verified)
UPPER_BED, LOWER_BED = 0.1, 0.5  # m, the bed's two heat layers
GROUND_DISTANCE = 1.0  # m from the middle of the lower one to ground of steady temperature
WIND2_SHARE = 0.748  # wind at 2 m over wind at 10 m, FAO-56 equation 47
SCHMIDT_HOTTEST = ZERO_CELSIUS + 30.0  # K; the Schmidt number's polynomial ends here


@dataclass(frozen=True, eq=False)
class SurfaceSettings(Bundle):
    """What the surface and the bed's heat need."""

    k600_at_no_wind: float  # m/s
    wind_reduction: float
    open_share: FloatArray  # (zones,) not under floating cover
    bed_conductivity: float  # W/m/K
    ground_temperature: float  # K


def surface_settings(scenario: Scenario, cover: FloatArray) -> SurfaceSettings:
    """Settings of a scenario."""
    return SurfaceSettings(
        k600_at_no_wind=scenario.gas_transfer.k600_at_no_wind,
        wind_reduction=scenario.mixing.wind_reduction,
        open_share=1.0 - cover,
        bed_conductivity=scenario.bed.heat_conductivity,
        ground_temperature=scenario.ground.temperature,
    )


@compiled_for_loop
def add_rates(settings: SurfaceSettings, grid: Grid, work: Work, state: State, rates: State) -> float:
    """Exchange with the air of every zone's top box; returns rain less evaporation [m3/s]."""
    now = work.now
    sky = longwave_from_sky(now[AIR_TEMPERATURE], now[VAPOUR_PRESSURE], now[CLOUD_SHARE])
    wind10 = now[WIND_SPEED] * settings.wind_reduction
    wind2 = WIND2_SHARE * wind10
    k600 = k600_cole_caraco(wind10, settings.k600_at_no_wind)
    net_water = 0.0
    for zone in range(grid.zone_bottom.size):
        box = grid.first_box[zone + 1] - 1
        area = work.surface_area[zone]
        temperature = work.concentration[box, s.HEAT]
        water_vapour = vapour_pressure(temperature)
        function = evaporation_function(
            temperature, water_vapour, now[AIR_TEMPERATURE], now[VAPOUR_PRESSURE], wind2, now[PRESSURE]
        )
        evaporation_w = evaporation_heat(function, water_vapour, now[VAPOUR_PRESSURE]) * work.wet[zone]
        loss = surface_heat_loss(
            temperature, now[AIR_TEMPERATURE], now[VAPOUR_PRESSURE], wind2, now[PRESSURE]
        )
        loss += evaporation_heat(function, water_vapour, now[VAPOUR_PRESSURE]) * (work.wet[zone] - 1.0)
        heat = (sky - loss) * area * PER_WATER_HEAT
        rates.amounts[box, s.HEAT] += heat
        rates.lines[s.HEAT_SURFACE] += heat
        net_water += _move_water(
            work, box, area, evaporation_w / (latent_heat(temperature) * WATER_DENSITY), rates
        )
        _add_oxygen(settings, work, zone, box, k600, area, rates)
    return net_water


@compiled_for_loop
def _move_water(work: Work, box: int, area: float, evaporation: float, rates: State) -> float:
    """Evaporation takes water, heat and age but leaves what is dissolved; rain brings water and oxygen."""
    evaporated = evaporation * area
    rain = work.now[RAIN] * area
    carried = -evaporated * work.concentration[box, s.HEAT] + rain * work.now[AIR_TEMPERATURE]
    rates.amounts[box, s.WATER] += rain - evaporated
    rates.amounts[box, s.HEAT] += carried
    rates.amounts[box, s.AGE_INFLOW] -= evaporated * work.concentration[box, s.AGE_INFLOW]
    rates.amounts[box, s.AGE_WATERFALL] -= evaporated * work.concentration[box, s.AGE_WATERFALL]
    rates.lines[s.WATER_RAIN] += rain
    rates.lines[s.WATER_EVAPORATION] += evaporated
    rates.lines[s.HEAT_CARRIED] += carried
    return rain - evaporated


@compiled_for_loop
def _add_oxygen(
    settings: SurfaceSettings,
    work: Work,
    zone: int,
    box: int,
    k600: float,
    area: float,
    rates: State,
) -> None:
    temperature = work.concentration[box, s.HEAT]
    saturation = oxygen_saturation(temperature, work.concentration[box, s.SALT], work.now[PRESSURE])
    schmidt = schmidt_oxygen_1992(min(temperature, SCHMIDT_HOTTEST))
    velocity = gas_transfer_velocity(k600, schmidt, 0.5)
    conductance = velocity * area * settings.open_share[zone] + work.boil_rate[box]
    gained = conductance * (saturation - work.concentration[box, s.OXYGEN])
    rain = work.now[RAIN] * area * saturation
    rates.amounts[box, s.OXYGEN] += gained + rain
    rates.pathways[zone, s.SURFACE_EXCHANGE] += gained
    rates.pathways[zone, s.OXYGEN_IN] += rain
    work.turnover[box] += conductance


@compiled_for_loop
def add_sun_and_bed_heat(
    settings: SurfaceSettings, grid: Grid, work: Work, state: State, rates: State
) -> None:
    """Sunlight absorbed in the water and on the bed, and heat between water, bed and ground."""
    sun = work.now[SHORTWAVE]
    for box in range(grid.box_zone.size):
        into_bed = (
            settings.bed_conductivity
            / (0.5 * UPPER_BED)
            * (work.concentration[box, s.HEAT] - state.bed_heat[box, 0])
        )
        downward = (
            settings.bed_conductivity
            / (0.5 * (UPPER_BED + LOWER_BED))
            * (state.bed_heat[box, 0] - state.bed_heat[box, 1])
        )
        to_ground = (
            settings.bed_conductivity
            / GROUND_DISTANCE
            * (state.bed_heat[box, 1] - settings.ground_temperature)
        )
        warmed = sun * work.sun_in_water[box] * PER_WATER_HEAT
        cooled = into_bed * work.bed_area[box] * PER_WATER_HEAT
        rates.amounts[box, s.HEAT] += warmed - cooled
        rates.lines[s.HEAT_SURFACE] += warmed
        rates.lines[s.HEAT_BED] -= cooled
        lit = sun * work.sun_on_bed[box] / work.bed_area[box] if work.bed_area[box] > 0.0 else 0.0
        rates.bed_heat[box, 0] += (into_bed + lit - downward) / (BED_HEAT_CAPACITY * UPPER_BED)
        rates.bed_heat[box, 1] += (downward - to_ground) / (BED_HEAT_CAPACITY * LOWER_BED)
