"""Ice and snow on the zones: growth, melt, open water, and what they keep from the water.

Ice of a zone is the water it is made of [m3]; its heat is that of water at 0 degC less the heat of freezing,
so that both balances close. It holds nothing else: salt and oxygen stay behind. Thin ice covers a part of the
zone and no less than a set thickness there, so that it forms and vanishes smoothly. The boxes end at its
underside; the water stands higher by what floats on it (`work.ice_load`), in the outlet and the loop.
"""

from __future__ import annotations

from dataclasses import dataclass

from pondsim.constants import WATER_DENSITY, WATER_HEAT_CAPACITY, ZERO_CELSIUS
from pondsim.jit.bundle import Bundle
from pondsim.jit.compiled import compiled_for_loop
from pondsim.physics.heat import longwave_from_sky
from pondsim.physics.ice import (
    FUSION_KELVIN,
    ICE_CONDUCTIVITY,
    ICE_HEAT,
    ICE_PER_WATER,
    flooding_snow,
    frozen_surface,
    heat_through_ice,
    light_through,
    snow_conductivity,
)
from pondsim.physics.mixing import smooth_step
from pondsim.processes import constituents as s
from pondsim.processes.state import State
from pondsim.processes.work import BED_FACTOR, Work
from pondsim.scenario.settings import Scenario
from pondsim.site.pond import Grid, surface_of_volume
from pondsim.site.weather import (
    AIR_TEMPERATURE,
    CLOUD_SHARE,
    PRESSURE,
    RAIN,
    SHORTWAVE,
    VAPOUR_PRESSURE,
    WIND_SPEED,
)

THIN = 0.01  # m, ice is no thinner where it lies: less of it covers less of the water (judgement)
FREEZING_TIME = 120.0  # s in which water below 0 degC turns to ice
THIN_SNOW = 0.001  # m of water: what melts comes half from the ice under so little snow
COOL = 0.5  # K above freezing from which it begins to count so
LEAST_RISE = 1e-9  # m by which what floats raises the water, so that an area can be told from it
WATER_CONDUCTIVITY = 0.56  # W/m/K, of water at 0 degC at rest under ice
GONE = 1e-5  # m of water: less ice than that melts at once where the water is warmer
WIND2_SHARE = 0.748  # wind at 2 m over wind at 10 m, FAO-56 equation 47
PER_WATER_HEAT = 1.0 / (WATER_DENSITY * WATER_HEAT_CAPACITY)  # m3 K per J


@dataclass(frozen=True, eq=False)
class IceSettings(Bundle):
    """What ice and snow are like; `on` is False where nothing may freeze."""

    on: bool
    albedo: float
    snow_albedo: float
    extinction: float  # 1/m
    snow_extinction: float  # 1/m
    snow_density: float  # kg/m3
    snow_conductivity: float  # W/m/K
    bed_share: float  # of the bed's demand under ice over that of open water as cold
    water_albedo: float
    near_infrared_share: float
    wind_reduction: float
    snow_to_rain: float  # K above freezing at which all falls as rain
    flooding_time: float  # s in which snow under water becomes ice
    mud_depth: float  # m of water under which a zone counts as frozen mud
    half_cover: float  # m of snow that hides half of the dark ice


def ice_settings(scenario: Scenario) -> IceSettings:
    """Settings of a scenario; with no section of ice all are of no effect."""
    ice, light = scenario.ice, scenario.light
    fixed = (light.albedo, light.near_infrared_share, scenario.mixing.wind_reduction)
    if ice is None:
        return IceSettings(False, 0.0, 0.0, 0.0, 0.0, 1.0, 1.0, 1.0, *fixed, 1.0, 1.0, 1.0, 1.0)
    return IceSettings(
        True,
        ice.albedo,
        ice.snow_albedo,
        ice.extinction,
        ice.snow_extinction,
        ice.snow_density,
        float(snow_conductivity(ice.snow_density)),
        ice.bed_demand_share,
        *fixed,
        *(ice.snow_to_rain, ice.flooding_time, ice.mud_depth, ice.half_cover),
    )


@compiled_for_loop
def _deep(settings: IceSettings, grid: Grid, work: Work, zone: int) -> float:
    """1 where water stands under the ice, 0 where it lies on the bed."""
    return work.wet[zone] * smooth_step((work.surface[zone] - grid.zone_bottom[zone]) / settings.mud_depth)


@compiled_for_loop
def update_floating(settings: IceSettings, grid: Grid, work: Work, state: State) -> None:
    """Area over which what floats on a pool raises its water, for a hydraulic step.

    Ice displaces its weight, so water and ice together stand as high as they would unfrozen: as the water is
    drawn down ice comes to lie on the banks, it does not pile up over what is left of the surface.
    """
    if not settings.on:
        return
    zones = grid.zone_bottom.size
    _sum_frozen(work, state)
    for pool in range(zones):
        work.floating_area[pool] = work.pool_area[pool]
        if work.pool[pool] == pool and work.held[pool] > 0.0:
            level, whole = work.pool_level[pool], work.pool_volume[pool] + work.held[pool]
            risen = surface_of_volume(grid, work.pool, pool, whole, level) - level
            if risen > LEAST_RISE:
                work.floating_area[pool] = work.held[pool] / risen


@compiled_for_loop
def _sum_frozen(work: Work, state: State) -> None:
    """Ice and snow of each pool, as water, into work.held [m3]."""
    for zone in range(work.pool.size):
        work.held[zone] = 0.0
    for zone in range(work.pool.size):
        work.held[work.pool[zone]] += max(state.zones[s.ICE, zone] + state.zones[s.SNOW, zone], 0.0)


@compiled_for_loop
def set_cover(settings: IceSettings, grid: Grid, work: Work, state: State) -> None:
    """Ice-covered area, thickness, open share, light and snowfall of zones, and what floats on a pool."""
    if not settings.on:
        return
    air = work.now[AIR_TEMPERATURE]
    snowy = min(max(1.0 - (air - ZERO_CELSIUS) / settings.snow_to_rain, 0.0), 1.0)
    work.snow_cold[0] = snowy * (ICE_HEAT - air)
    _sum_frozen(work, state)
    for zone in range(grid.zone_bottom.size):
        area = work.surface_area[zone]
        free = max(area - work.hole[zone], 0.05 * area)
        volume = ICE_PER_WATER * max(state.zones[s.ICE, zone], 0.0)
        some = min(0.5 * volume / (THIN * free), 1.0)
        work.ice_area[zone] = free * some * (2.0 - some)
        work.ice_thickness[zone], work.snow_depth[zone] = 0.0, 0.0
        covered = work.ice_area[zone] / area
        if covered > 0.0:
            work.ice_thickness[zone] = volume / work.ice_area[zone]
            lying = max(state.zones[s.SNOW, zone], 0.0) * WATER_DENSITY / settings.snow_density
            work.snow_depth[zone] = min(lying / work.ice_area[zone], 10.0)
        lit = covered * _through(settings, work, zone) / (1.0 - settings.water_albedo)
        work.lit_share[zone] = 1.0 - covered + lit
        work.snowfall[zone] = snowy * work.now[RAIN] * work.ice_area[zone]
        box = grid.first_box[zone + 1] - 1
        mud = 1.0 - _deep(settings, grid, work, zone)
        mud *= smooth_step((ZERO_CELSIUS + COOL - work.concentration[s.HEAT, box]) / COOL)
        work.open_water[zone] = (1.0 - covered) * (1.0 - mud)
    for zone in range(grid.zone_bottom.size):
        pool = work.pool[zone]
        load = work.held[pool] / max(work.floating_area[pool], 1e-6)
        work.ice_load[zone] = load * _deep(settings, grid, work, zone)  # else it stands on its bed


@compiled_for_loop
def _albedo(settings: IceSettings, work: Work, zone: int) -> float:
    white = work.snow_depth[zone] / (work.snow_depth[zone] + settings.half_cover)
    return settings.albedo + white * (settings.snow_albedo - settings.albedo)


@compiled_for_loop
def _through(settings: IceSettings, work: Work, zone: int) -> float:
    return light_through(
        _albedo(settings, work, zone),
        work.ice_thickness[zone],
        settings.extinction,
        work.snow_depth[zone],
        settings.snow_extinction,
    )


@compiled_for_loop
def slow_bed(settings: IceSettings, grid: Grid, work: Work) -> None:
    """Let the bed under ice ask for its measured share."""
    if not settings.on:
        return
    for box in range(work.volume.size):
        under = 1.0 - work.open_water[grid.box_zone[box]]
        work.temperature_factor[BED_FACTOR, box] *= 1.0 - under * (1.0 - settings.bed_share)


@compiled_for_loop
def add_rates(settings: IceSettings, grid: Grid, work: Work, state: State, rates: State) -> float:
    """Freeze, melt, let snow fall and be flooded; returns the water that comes to the boxes [m3/s]."""
    if not settings.on:
        return 0.0
    came = 0.0
    for zone in range(grid.zone_bottom.size):
        box = grid.first_box[zone + 1] - 1
        below = max(ZERO_CELSIUS - work.concentration[s.HEAT, box], 0.0)
        frozen = work.wet[zone] * below * work.volume[box] / (FREEZING_TIME * FUSION_KELVIN)
        work.rate[s.WATER, box] -= frozen
        work.rate[s.HEAT, box] -= frozen * ICE_HEAT
        if below > 0.0:
            work.turnover[box] += work.volume[box] / FREEZING_TIME
        rates.zones[s.ICE, zone] += frozen
        came -= frozen
        if work.ice_area[zone] > 0.0:
            came += _add_ice(settings, grid, work, zone, box, state, rates)
    return came


@compiled_for_loop
def _add_ice(
    settings: IceSettings, grid: Grid, work: Work, zone: int, box: int, state: State, rates: State
) -> float:
    """Growth at the bottom, melt at both faces, and snow, of the ice on a zone; returns water to the box."""
    area = work.ice_area[zone]
    gain = _gain_of_surface(settings, work, zone)
    up = _deep(settings, grid, work, zone) * gain[1] * area * PER_WATER_HEAT
    melting = max(gain[0], 0.0) * area * PER_WATER_HEAT
    conductance = WATER_CONDUCTIVITY / (0.5 * work.thickness[box]) * area * PER_WATER_HEAT
    from_water = conductance * (work.concentration[s.HEAT, box] - ZERO_CELSIUS)
    grown, melted = (up - from_water) / FUSION_KELVIN, melting / FUSION_KELVIN
    snow = max(state.zones[s.SNOW, zone], 0.0)
    of_snow = snow / (snow + THIN_SNOW * area)
    bears = flooding_snow(work.ice_thickness[zone], settings.snow_density) * settings.snow_density
    flooded = max(snow - bears * area / WATER_DENSITY, 0.0) / settings.flooding_time
    fallen = work.snowfall[zone]
    work.rate[s.WATER, box] += melted - grown
    work.rate[s.HEAT, box] += (melted - grown) * ZERO_CELSIUS - from_water
    work.turnover[box] += conductance
    rates.zones[s.ICE, zone] += grown - (1.0 - of_snow) * melted + flooded
    rates.zones[s.SNOW, zone] += fallen - of_snow * melted - flooded
    rates.lines[s.HEAT_SURFACE] += melting - up
    rates.lines[s.HEAT_CARRIED] += fallen * ICE_HEAT
    rates.lines[s.WATER_RAIN] += fallen
    return melted - grown


@compiled_for_loop
def _gain_of_surface(settings: IceSettings, work: Work, zone: int) -> tuple[float, float]:
    """Heat that the top of the ice gains at 0 degC, and heat that comes up through it in frost [W/m2]."""
    now = work.now
    air, vapour = now[AIR_TEMPERATURE], now[VAPOUR_PRESSURE]
    absorbed = 1.0 - _albedo(settings, work, zone)
    absorbed -= (1.0 - settings.near_infrared_share) * _through(settings, work, zone)
    wind2 = WIND2_SHARE * now[WIND_SPEED] * settings.wind_reduction
    sky = longwave_from_sky(air, vapour, now[CLOUD_SHARE])
    gain, exchange = frozen_surface(sky, absorbed * now[SHORTWAVE], air, vapour, wind2, now[PRESSURE])
    resistance = (
        work.ice_thickness[zone] / ICE_CONDUCTIVITY + work.snow_depth[zone] / settings.snow_conductivity
    )
    return gain, heat_through_ice(gain, exchange, resistance)


@compiled_for_loop
def melt_rest(settings: IceSettings, grid: Grid, work: Work, state: State) -> None:
    """Give the last trace of ice, and the snow on it, back to warmer water, which gives the heat."""
    if not settings.on:
        return
    for zone in range(grid.zone_bottom.size):
        ice, snow = state.zones[s.ICE, zone], state.zones[s.SNOW, zone]
        top = grid.first_box[zone + 1] - 1
        trace = ice + snow
        warm = state.rows[s.HEAT, top] - ZERO_CELSIUS * state.rows[s.WATER, top]
        gone = ice < GONE * work.surface_area[zone] and trace != 0.0
        if gone and warm > trace * FUSION_KELVIN and state.rows[s.WATER, top] + trace > 0.0:
            state.rows[s.WATER, top] += trace
            state.rows[s.HEAT, top] += trace * ICE_HEAT
            state.zones[s.ICE, zone], state.zones[s.SNOW, zone] = 0.0, 0.0
        elif snow < 0.0:
            state.zones[s.ICE, zone], state.zones[s.SNOW, zone] = trace, 0.0
