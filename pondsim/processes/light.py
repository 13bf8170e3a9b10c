"""How far sunlight reaches, renewed at each hydraulic step."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pondsim.jit.bundle import Bundle
from pondsim.jit.compiled import compiled_for_loop
from pondsim.physics.algae import extinction_of_parts
from pondsim.physics.light import light_extinction
from pondsim.processes.constituents import DETRITUS, FIRST_CLASS, OXYGEN_PER_DRY_MATTER
from pondsim.processes.living_rows import LivingRows
from pondsim.processes.work import Work
from pondsim.scenario.settings import Scenario
from pondsim.site.pond import FloatArray, Grid


@dataclass(frozen=True, eq=False)
class LightSettings(Bundle):
    """What dims the light."""

    background: float  # 1/m
    near_infrared_share: float
    open_share: FloatArray  # (zones,) sunlight that enters the water: not reflected, not under cover
    inorganic_share: float  # of suspended solids
    algae: float  # m2 per kg of chlorophyll, of grown algae
    detritus: float  # m2/kg, of dead ones
    near_infrared_depth: float  # m, e-folding
    rows: LivingRows


def light_settings(scenario: Scenario, cover: FloatArray, rows: LivingRows) -> LightSettings:
    """Settings of a scenario."""
    return LightSettings(
        background=scenario.light.background_extinction,
        near_infrared_share=scenario.light.near_infrared_share,
        open_share=(1.0 - scenario.light.albedo) * (1.0 - cover),
        inorganic_share=1.0 - scenario.solids.organic_share,
        algae=scenario.light.algae_extinction,
        detritus=scenario.light.detritus_extinction,
        near_infrared_depth=scenario.light.near_infrared_depth,
        rows=rows,
    )


@compiled_for_loop
def _extinction(settings: LightSettings, work: Work, box: int) -> float:
    """Extinction of visible light [1/m]."""
    solids = 0.0
    for constituent in range(FIRST_CLASS, work.solids_end[0]):
        solids += work.concentration[constituent, box]
    mineral = settings.inorganic_share * max(solids, 0.0)
    dead = max(work.concentration[DETRITUS, box], 0.0) / OXYGEN_PER_DRY_MATTER
    dye = 0.0
    if settings.rows.dye >= 0:
        dye = max(work.concentration[settings.rows.dye, box], 0.0)
    if settings.rows.grown == 1:
        algae = settings.algae * work.chlorophyll[box]
        return extinction_of_parts(settings.background, algae, mineral, settings.detritus * dead, dye)
    return light_extinction(settings.background, work.chlorophyll[box], mineral, dead) + dye


@compiled_for_loop
def update_light(settings: LightSettings, grid: Grid, work: Work, covered: FloatArray) -> None:
    """Share of the sunlight at the top and bottom of each box, and the heat it leaves there.

    covered: (zones,) share of the surface under covers that stand there for a time.

    Where a layer narrows downward, the light that falls on its sloping bed warms the bed. The film of a dry
    zone takes no light.
    """
    for zone in range(grid.zone_bottom.size):
        red = settings.near_infrared_share * work.open_water[zone]
        visible = (1.0 - settings.near_infrared_share) * work.lit_share[zone]
        first = grid.first_box[zone]
        for box in range(grid.first_box[zone + 1] - 1, first - 1, -1):
            extinction = _extinction(settings, work, box)
            thickness = work.thickness[box]
            fade = np.exp(-extinction * thickness)
            below_red = red * np.exp(-thickness / settings.near_infrared_depth)
            below_visible = visible * fade
            work.optical_thickness[box] = extinction * thickness
            share = settings.open_share[zone] * (1.0 - covered[zone]) * work.wet[zone]
            work.light_top[box] = share * visible / (1.0 - settings.near_infrared_share + 1e-12)
            work.light_bottom[box] = share * below_visible / (1.0 - settings.near_infrared_share + 1e-12)
            above, below = share * (red + visible), share * (below_red + below_visible)
            if box == first:
                work.sun_in_water[box] = (above - below) * work.area_top[box]
                work.sun_on_bed[box] = below
            else:
                work.sun_in_water[box] = (above - below) * 0.5 * (work.area_top[box] + work.area_bottom[box])
                work.sun_on_bed[box] = 0.5 * (above + below)
            if work.bed_area[box] <= 0.0:
                work.sun_on_bed[box] = 0.0
            red, visible = below_red, below_visible
