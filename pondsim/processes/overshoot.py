"""Sinking water shoots beyond where it is at rest, and so deepens the mixed layer.

A stated share of the buoyancy that the cooling surface gives off is carried through the base of the mixed
layer as an exchange with the layer below. What that makes heavier does not count for what sinks, so that
nothing is swallowed twice.
"""

from __future__ import annotations

from pondsim.constants import WATER_DENSITY, WATER_HEAT_CAPACITY
from pondsim.jit.compiled import compiled_for_loop
from pondsim.jit.lanes import move_rows
from pondsim.physics.mixing import smooth_step
from pondsim.physics.water import thermal_expansion
from pondsim.processes import constituents as s
from pondsim.processes.mixing import MixingSettings
from pondsim.processes.work import Work
from pondsim.site.pond import Grid
from pondsim.site.weather import SHORTWAVE

UNFELT = 0.1  # of the step of density that stops sinking water: the step that it passes (judgement)


@compiled_for_loop
def add_rates(settings: MixingSettings, grid: Grid, work: Work) -> None:
    """Exchange through the base of each zone's mixed layer; comes after sinking, which it must not feed."""
    if settings.cooling_entrainment <= 0.0:
        return
    for zone in range(grid.zone_bottom.size):
        _overshoot(settings, grid, work, zone, grid.first_box[zone], grid.first_box[zone + 1])


@compiled_for_loop
def _overshoot(settings: MixingSettings, grid: Grid, work: Work, zone: int, first: int, end: int) -> None:
    """Exchange through the base of the mixed layer: the flux A B of buoyancy, whatever the layers.

    Sinking water passes steps of density that it does not feel; each that it feels takes its part of the
    flux, until nothing is left. The mixed share of the layer below gains with the mixed layer: left out.
    """
    gained, volume, mass, left = work.warmed[zone], 0.0, 0.0, 1.0
    top = end - 1
    lightens = work.density[top] * thermal_expansion(work.concentration[s.HEAT, top])
    for below in range(top - 1, first - 1, -1):
        above = below + 1
        gained += work.now[SHORTWAVE] * work.sun_in_water[above] / (WATER_DENSITY * WATER_HEAT_CAPACITY)
        volume += work.volume[above]
        mass += work.volume[above] * work.density[above]
        heavier = -lightens * gained
        if heavier <= 0.0 or left <= 0.0:
            return
        step = work.density[below] - mass / volume
        felt = left * smooth_step((step / settings.stopping_step - UNFELT) / (1.0 - UNFELT))
        if felt <= 0.0:
            continue
        left -= felt
        per_base = work.face_area[below] / max(work.surface_area[zone], 1e-6)
        flow = felt * settings.cooling_entrainment * heavier * per_base / step
        flow *= volume / (volume + work.mixed[below] * work.volume[below])
        flow = min(flow, min(work.volume[below], work.volume[above]) / grid.quickest)
        work.sinking[below] += flow
        work.turnover[below] += 2.0 * flow
        for box in range(above, end):  # sinking water comes from all of the mixed layer
            part = flow * work.volume[box] / volume
            move_rows(work.transfers, below, box, part, part, work.content)
            work.turnover[box] += 2.0 * part
