"""Heat, water and oxygen through the water surface, and heat through the bed."""

from __future__ import annotations

from dataclasses import dataclass

from pondsim.constants import WATER_DENSITY, WATER_HEAT_CAPACITY, ZERO_CELSIUS
from pondsim.jit.bundle import Bundle
from pondsim.jit.compiled import compiled_for_loop
from pondsim.jit.lanes import whole_lanes
from pondsim.physics.entrainment import buoyancy_flux
from pondsim.physics.gas_transfer import (
    gas_transfer_velocity,
    k600_cole_caraco,
    k600_cooling,
    k600_renewal,
    schmidt_oxygen_1992,
    schmidt_oxygen_2014,
)
from pondsim.physics.heat import (
    evaporation_function,
    evaporation_heat,
    longwave_from_sky,
    longwave_from_water,
    sensible_heat,
)
from pondsim.physics.oxygen import oxygen_saturation
from pondsim.physics.water import kinematic_viscosity, latent_heat, vapour_pressure
from pondsim.processes import constituents as s
from pondsim.processes.state import State
from pondsim.processes.work import SURFACE_ROWS, Work
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
WIND2_SHARE = 0.748  # wind at 2 m over wind at 10 m, FAO-56 equation 47
# Rows of work.at_surface: temperature [K], salinity [g/kg], wet 0 to 1, heat gained [m3 K/m2/s], water lost
# [m/s], gas transfer velocity [m/s], oxygen saturation [kg/m3].
WATER_TEMPERATURE, SALINITY, WET, WARMED, EVAPORATED, VELOCITY, SATURATION = range(SURFACE_ROWS)
SCHMIDT_RANGES = {"1992": (0.0, 30.0), "2014": (0.0, 40.0)}  # degC, where each polynomial holds


@dataclass(frozen=True, eq=False)
class SurfaceSettings(Bundle):
    """What the surface and the bed's heat need."""

    k600_at_no_wind: float  # m/s
    with_cooling: float  # 1 where cooling adds to the law of the wind, else 0
    with_renewal: float  # 1 where the law of surface renewal does, else 0
    k600_cooling: float  # m/s
    schmidt_2014: float  # 1 for the Schmidt number of 2014, 0 for that of 1992
    schmidt_coldest: float  # K
    schmidt_hottest: float  # K
    wind_reduction: float
    open_share: FloatArray  # (zones,) not under floating cover
    bed_conductivity: float  # W/m/K
    ground_temperature: float  # K
    ground_distance: float  # m from the middle of the bed's lower heat layer to ground of that temperature
    surely_cooling: float  # W/m2 of net heat loss from which the surface counts as cooling in full


def surface_settings(scenario: Scenario, cover: FloatArray) -> SurfaceSettings:
    """Settings of a scenario."""
    gas = scenario.gas_transfer
    coldest, hottest = SCHMIDT_RANGES[gas.schmidt_number]
    return SurfaceSettings(
        k600_at_no_wind=gas.k600_at_no_wind,
        with_cooling=1.0 if gas.law == "wind and cooling" else 0.0,
        with_renewal=1.0 if gas.law == "wind and renewal" else 0.0,
        k600_cooling=gas.k600_cooling,
        schmidt_2014=1.0 if gas.schmidt_number == "2014" else 0.0,
        schmidt_coldest=ZERO_CELSIUS + coldest,
        schmidt_hottest=ZERO_CELSIUS + hottest,
        wind_reduction=scenario.mixing.wind_reduction,
        open_share=1.0 - cover,
        bed_conductivity=scenario.bed.heat_conductivity,
        ground_temperature=scenario.ground.temperature,
        ground_distance=scenario.bed.ground_distance,
        surely_cooling=gas.surely_cooling,
    )


@compiled_for_loop
def update_open_water(settings: SurfaceSettings, work: Work, covered: FloatArray) -> None:
    """Share of each zone's surface that meets the air; covered: (zones,) share under floating covers."""
    for zone in range(covered.size):
        work.open_share[zone] = settings.open_share[zone] * (1.0 - covered[zone])


@compiled_for_loop
def add_rates(settings: SurfaceSettings, grid: Grid, work: Work, rates: State) -> float:
    """Exchange with the air of every zone's top box; returns rain less evaporation [m3/s]."""
    _set_surfaces(settings, grid, work)
    rain, oxygen_per_water = work.now[RAIN], work.at_surface[SATURATION]
    fallen, net_water = work.now[AIR_TEMPERATURE] + work.snow_cold[0], 0.0
    for zone in range(grid.zone_bottom.size):
        box, area = grid.first_box[zone + 1] - 1, work.surface_area[zone]
        open_area = area * work.open_water[zone]
        heat = work.at_surface[WARMED, zone] * open_area
        evaporated = work.at_surface[EVAPORATED, zone] * open_area
        work.warmed[zone] = heat
        rained = rain * area - work.snowfall[zone]
        # evaporation takes water and heat but leaves what is dissolved; rain brings water and oxygen
        moved = -evaporated * work.concentration[s.HEAT, box] + rained * fallen
        work.rate[s.WATER, box] += rained - evaporated
        work.rate[s.HEAT, box] += heat + moved
        for constituent in range(s.FIRST_CLASS):
            if s.EVAPORATES[constituent]:
                work.rate[constituent, box] -= evaporated * work.concentration[constituent, box]
        rates.lines[s.HEAT_SURFACE] += heat
        rates.lines[s.HEAT_CARRIED] += moved
        rates.lines[s.WATER_RAIN] += rained
        rates.lines[s.WATER_EVAPORATION] += evaporated
        net_water += rained - evaporated
        velocity = work.at_surface[VELOCITY, zone]
        conductance = velocity * open_area * work.open_share[zone] + work.boil_rate[box]
        gained = conductance * (oxygen_per_water[zone] - work.concentration[s.OXYGEN, box])
        work.rate[s.OXYGEN, box] += gained + rained * oxygen_per_water[zone]
        rates.pathways[zone, s.SURFACE_EXCHANGE] += gained
        rates.pathways[zone, s.OXYGEN_IN] += rained * oxygen_per_water[zone]
        work.turnover[box] += conductance
    return net_water


@compiled_for_loop
def _set_surfaces(settings: SurfaceSettings, grid: Grid, work: Work) -> None:
    """What passes through each zone's surface per area, and its oxygen saturation.

    All heat fades out with evaporation: the film of a dry zone would else take the sun and be boiled.
    """
    now, at = work.now, work.at_surface
    air, vapour, pressure = now[AIR_TEMPERATURE], now[VAPOUR_PRESSURE], now[PRESSURE]
    sky = longwave_from_sky(air, vapour, now[CLOUD_SHARE])
    wind10 = now[WIND_SPEED] * settings.wind_reduction
    wind2 = WIND2_SHARE * wind10
    k600 = k600_cole_caraco(wind10, settings.k600_at_no_wind)
    zones = grid.zone_bottom.size
    for zone in range(zones):
        box = grid.first_box[zone + 1] - 1
        at[WATER_TEMPERATURE, zone] = work.concentration[s.HEAT, box]
        at[SALINITY, zone] = work.concentration[s.SALT, box]
        at[WET, zone] = work.wet[zone]
    for zone in range(whole_lanes(zones)):
        temperature = at[WATER_TEMPERATURE, zone]
        water_vapour = vapour_pressure(temperature)
        function = evaporation_function(temperature, water_vapour, air, vapour, wind2, pressure)
        evaporation = evaporation_heat(function, water_vapour, vapour) * at[WET, zone]
        loss = longwave_from_water(temperature) + sensible_heat(function, temperature, air, pressure)
        within = min(max(temperature, settings.schmidt_coldest), settings.schmidt_hottest)
        schmidt = settings.schmidt_2014 * schmidt_oxygen_2014(within)
        schmidt += (1.0 - settings.schmidt_2014) * schmidt_oxygen_1992(within)
        saturation = oxygen_saturation(temperature, at[SALINITY, zone], pressure)
        at[WARMED, zone] = ((sky - loss) * at[WET, zone] - evaporation) * PER_WATER_HEAT
        at[EVAPORATED, zone] = evaporation / (latent_heat(temperature) * WATER_DENSITY)
        at[VELOCITY, zone] = gas_transfer_velocity(k600, schmidt, 0.5)
        at[SATURATION, zone] = saturation
    if settings.with_cooling + settings.with_renewal > 0.0:
        _renew(settings, work, wind10, k600)


@compiled_for_loop
def _renew(settings: SurfaceSettings, work: Work, wind10: float, k600: float) -> None:
    """Let sinking water renew the surfaces that cool: the law of the wind, or a larger one of cooling."""
    at = work.at_surface
    for zone in range(work.surface.size):
        temperature = at[WATER_TEMPERATURE, zone]
        lost = -at[WARMED, zone] / PER_WATER_HEAT - work.now[SHORTWAVE]
        buoyancy = buoyancy_flux(lost, temperature)
        if buoyancy > 0.0:
            larger = settings.with_cooling * k600_cooling(wind10, settings.k600_cooling)
            larger += settings.with_renewal * k600_renewal(buoyancy, kinematic_viscosity(temperature))
            surely = min(max(lost, 0.0) / settings.surely_cooling, 1.0)
            at[VELOCITY, zone] *= 1.0 + surely * max(larger / k600 - 1.0, 0.0)


@compiled_for_loop
def add_sun_and_bed_heat(settings: SurfaceSettings, work: Work, rates: State) -> None:
    """Sunlight absorbed in the water and on the bed, and heat between water, bed and ground."""
    sun = work.now[SHORTWAVE]
    conductivity = settings.bed_conductivity
    sunned, from_bed = 0.0, 0.0
    for box in range(work.volume.size):
        upper, lower = work.bed[s.UPPER_BED, box], work.bed[s.LOWER_BED, box]
        into_bed = conductivity / (0.5 * UPPER_BED) * (work.concentration[s.HEAT, box] - upper)
        downward = conductivity / (0.5 * (UPPER_BED + LOWER_BED)) * (upper - lower)
        to_ground = conductivity / settings.ground_distance * (lower - settings.ground_temperature)
        warmed = sun * work.sun_in_water[box] * PER_WATER_HEAT
        cooled = into_bed * work.bed_area[box] * PER_WATER_HEAT
        work.rate[s.HEAT, box] += warmed - cooled
        sunned += warmed
        from_bed -= cooled
        lit = sun * work.sun_on_bed[box]
        work.bed_rate[s.UPPER_BED, box] += (into_bed + lit - downward) / (BED_HEAT_CAPACITY * UPPER_BED)
        work.bed_rate[s.LOWER_BED, box] += (downward - to_ground) / (BED_HEAT_CAPACITY * LOWER_BED)
    rates.lines[s.HEAT_SURFACE] += sunned
    rates.lines[s.HEAT_BED] += from_bed
