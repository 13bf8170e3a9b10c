"""Algae that grow from light, warmth and phosphorus, breathe, die, sink or float.

Carbon of each kind is a state. Growth gives one mole of oxygen per mole of carbon, as with ammonium: nitrate
is no state, so the oxygen that its uptake would give back is never booked. What dies is dead algae of equal
oxygen demand; phosphorus follows the carbon in a fixed ratio.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from pondsim.constants import DAY, ZERO_CELSIUS
from pondsim.jit.bundle import Bundle
from pondsim.jit.compiled import compiled_for_loop
from pondsim.jit.elementary import exp
from pondsim.jit.lanes import whole_lanes
from pondsim.physics.algae import HOTTEST, chlorophyll_to_carbon
from pondsim.physics.kinetics import OXYGEN_PER_CARBON, REFERENCE_TEMPERATURE
from pondsim.physics.light import LIGHT_PER_SUN, smith_integral
from pondsim.processes import constituents as s
from pondsim.processes.living_rows import LivingRows, kinds_of
from pondsim.processes.work import LIVING_WARMTH, Work
from pondsim.scenario.settings import AlgaeKind, Scenario
from pondsim.site.pond import FloatArray, Grid
from pondsim.site.weather import SHORTWAVE


@dataclass(frozen=True, eq=False)
class GrownSettings(Bundle):
    """Rates at 20 degC; arrays have one entry for each kind."""

    rows: LivingRows
    growth: FloatArray  # 1/s
    log_theta: FloatArray  # 1/K, of growth
    light_saturation: FloatArray  # mol/m2/s
    half_saturation: FloatArray  # kg/m3
    maintenance: FloatArray  # 1/s
    mortality: FloatArray  # 1/s
    anoxic_mortality: float  # 1/s
    growth_respiration: float  # share of gross growth
    excretion: float  # share of gross growth
    log_respiration_theta: float  # 1/K
    phosphorus: float  # per carbon
    death_share: float  # of the phosphorus of what dies, dissolved at once
    ammonium_per_oxygen: float
    respiration_half: float  # kg/m3 of oxygen that halves respiration
    ammonium_half: float  # kg/m3 of ammonium that halves its uptake
    home_depth: float  # m over which a night mixes algae at least: they adapt to the mean light of it


def grown_settings(scenario: Scenario, rows: LivingRows) -> GrownSettings:
    """Settings of a scenario; with no kinds where algae are given."""
    algae = scenario.algae
    kinds = kinds_of(algae) if rows.grown else []

    def each(name: str) -> FloatArray:
        return np.array([getattr(kind, name) for kind in kinds], dtype=float)

    light = [kind.light_saturation if isinstance(kind, AlgaeKind) else kind.growth_light for kind in kinds]
    return GrownSettings(
        rows=rows,
        growth=each("growth"),
        log_theta=np.log(each("growth_theta")),
        light_saturation=np.array(light, dtype=float),
        half_saturation=each("half_saturation"),
        maintenance=each("maintenance"),
        mortality=each("mortality"),
        anoxic_mortality=algae.anoxic_mortality,
        growth_respiration=algae.growth_respiration,
        excretion=algae.excretion,
        log_respiration_theta=math.log(algae.loss_theta),
        phosphorus=1.0 / algae.carbon_to_phosphorus,
        death_share=scenario.phosphorus.death_share,
        ammonium_per_oxygen=scenario.bed.ammonium_release,
        respiration_half=algae.respiration_half_saturation,
        ammonium_half=algae.ammonium_half_saturation,
        home_depth=algae.home_depth,
    )


@compiled_for_loop
def update_warmth(settings: GrownSettings, work: Work) -> None:
    """Rates of growth, and the factor of respiration and death, for a hydraulic step."""
    boxes = work.volume.size
    for kind in range(settings.growth.size):
        log_theta, growth = settings.log_theta[kind], settings.growth[kind]
        for box in range(boxes):
            warm = min(work.concentration[s.HEAT, box], HOTTEST)
            work.growth[kind, box] = growth * exp(log_theta * (warm - REFERENCE_TEMPERATURE))
    for box in range(boxes):
        warm = work.concentration[s.HEAT, box]
        work.living_warmth[LIVING_WARMTH, box] = exp(
            settings.log_respiration_theta * (warm - REFERENCE_TEMPERATURE)
        )


@compiled_for_loop
def carbon_in(settings: GrownSettings, work: Work, box: int) -> float:
    """Algal carbon of a box, all kinds together [kg/m3]."""
    carbon = 0.0
    for row in range(settings.rows.algae, settings.rows.algae + settings.rows.kinds):
        carbon += max(work.concentration[row, box], 0.0)
    return carbon


@compiled_for_loop
def set_chlorophyll(settings: GrownSettings, work: Work, ratio: float) -> None:
    """Chlorophyll at one ratio to carbon everywhere [kg/kg]."""
    for box in range(work.volume.size):
        work.chlorophyll[box] = ratio * carbon_in(settings, work, box)


@compiled_for_loop
def _lit(work: Work, box: int, share: float) -> float:
    """Light summed over the upper share of a layer [m]."""
    thick = max(work.optical_thickness[box], 1e-9)
    return work.light_top[box] * (1.0 - np.exp(-thick * share)) / thick * work.thickness[box]


@compiled_for_loop
def adapt_chlorophyll(settings: GrownSettings, grid: Grid, work: Work, daily_sun: float) -> None:
    """Chlorophyll of algae at home in the light of the last 24 hours.

    `daily_sun` is its mean [W/m2]; how far it reaches stands in work.light_top and the like. Algae live in
    the water between the surface and where they are, and at least in its top metre.
    """
    per_day = daily_sun * LIGHT_PER_SUN * DAY
    half = settings.half_saturation[0]
    for zone in range(grid.zone_bottom.size):
        first, end = grid.first_box[zone], grid.first_box[zone + 1]
        lit, through = 0.0, 0.0
        for box in range(end - 1, first - 1, -1):
            part = min(max((settings.home_depth - through) / work.thickness[box], 0.0), 1.0)
            lit += _lit(work, box, part)
            through += part * work.thickness[box]
        home = lit / through
        lit, through = 0.0, 0.0
        for box in range(end - 1, first - 1, -1):
            middle = (lit + _lit(work, box, 0.5)) / (through + 0.5 * work.thickness[box])
            lit += _lit(work, box, 1.0)
            through += work.thickness[box]
            phosphorus = max(work.concentration[settings.rows.dissolved, box], 0.0)
            ratio = chlorophyll_to_carbon(
                work.concentration[s.HEAT, box] - ZERO_CELSIUS,
                min(home, middle) * per_day,
                phosphorus / (half + phosphorus),
            )
            work.chlorophyll[box] = ratio * carbon_in(settings, work, box)


@compiled_for_loop
def add_rates(settings: GrownSettings, grid: Grid, work: Work, killed: FloatArray) -> None:
    """Growth, respiration, excretion and death of every kind in every box.

    killed: (zones,) share of all algae that a crash or a treatment kills [1/s].
    """
    for kind in range(settings.growth.size):
        _set_growth(settings, work, kind)
        _add_kind(settings, grid, work, kind, killed)


@compiled_for_loop
def _set_growth(settings: GrownSettings, work: Work, kind: int) -> None:
    """Gross growth of a kind with all phosphorus, the exact mean over each layer, into work.forth [1/s]."""
    light = work.now[SHORTWAVE] * LIGHT_PER_SUN / settings.light_saturation[kind]
    boxes = work.volume.size
    for box in range(boxes):
        work.forth[box] = 0.0
    if light > 0.0:
        for box in range(whole_lanes(boxes)):
            above = smith_integral(light * work.light_top[box])
            below = smith_integral(light * work.light_bottom[box])
            work.forth[box] = work.growth[kind, box] * (above - below) / work.optical_thickness[box]


@compiled_for_loop
def _add_kind(settings: GrownSettings, grid: Grid, work: Work, kind: int, killed: FloatArray) -> None:
    row, dissolved = settings.rows.algae + kind, settings.rows.dissolved
    half, per_carbon = settings.half_saturation[kind], settings.phosphorus
    kept = 1.0 - settings.growth_respiration - settings.excretion
    for box in range(work.volume.size):
        carbon = max(work.concentration[row, box], 0.0) * work.volume[box]
        oxygen = max(work.concentration[s.OXYGEN, box], 0.0)
        phosphorus = max(work.concentration[dissolved, box], 0.0)
        ammonium = max(work.concentration[s.AMMONIUM, box], 0.0)
        warm = work.living_warmth[LIVING_WARMTH, box]
        oxic = oxygen / (settings.respiration_half + oxygen)
        most = carbon * work.forth[box]
        gross = most * phosphorus / (half + phosphorus)
        resting = settings.maintenance[kind] * warm * oxic * carbon
        respired = settings.growth_respiration * gross + resting
        excreted = settings.excretion * gross
        dying = settings.mortality[kind] + settings.anoxic_mortality * (1.0 - oxic)
        died = (dying * warm + killed[grid.box_zone[box]]) * carbon
        taken = gross * ammonium / (settings.ammonium_half + ammonium)
        work.rate[row, box] += gross - respired - excreted - died
        work.rate[s.OXYGEN, box] += OXYGEN_PER_CARBON * (gross - respired)
        work.rate[s.BOD, box] += OXYGEN_PER_CARBON * excreted
        work.rate[s.DETRITUS, box] += OXYGEN_PER_CARBON * died
        work.rate[s.AMMONIUM, box] += settings.ammonium_per_oxygen * OXYGEN_PER_CARBON * (respired - taken)
        work.rate[dissolved, box] += per_carbon * (resting + settings.death_share * died - kept * gross)
        work.rate[settings.rows.detrital, box] += per_carbon * (1.0 - settings.death_share) * died
        work.pathway[s.PHOTOSYNTHESIS_ROW, box] += OXYGEN_PER_CARBON * gross
        work.pathway[s.RESPIRATION_ROW, box] -= OXYGEN_PER_CARBON * respired
        work.turnover[box] += per_carbon * kept * most / (half + phosphorus)
