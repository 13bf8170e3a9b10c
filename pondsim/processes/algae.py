"""Oxygen from and for algae of given amount, and algae that die in a crash.

The given chlorophyll is held by decree. What the algae make beyond their own respiration becomes dead
organic matter of equal oxygen value; respiration that no such matter can feed is counted on a line of its
own, so that the books close.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pondsim.jit.bundle import Bundle
from pondsim.jit.compiled import compiled_for_loop
from pondsim.jit.lanes import whole_lanes
from pondsim.physics.kinetics import OXYGEN_PER_CARBON
from pondsim.physics.light import LIGHT_PER_SUN, smith_integral
from pondsim.processes import constituents as s
from pondsim.processes.state import State
from pondsim.processes.work import ALGAE_FACTOR, RESPIRATION_FACTOR, Work
from pondsim.scenario.settings import Scenario
from pondsim.site.pond import FloatArray, Grid
from pondsim.site.weather import SHORTWAVE


@dataclass(frozen=True, eq=False)
class AlgaeSettings(Bundle):
    """Rates of the given algae."""

    photosynthesis: float  # kg of oxygen per kg of chlorophyll and s, at 20 degC and full light
    light_saturation: float  # mol/m2/s
    respiration: float  # kg/kg/s at 20 degC
    oxygen_per_chlorophyll: float  # kg of oxygen that dying algae take per kg of chlorophyll
    ammonium_per_oxygen: float  # kg/kg
    respiration_half: float  # kg/m3 of oxygen that halves respiration
    ammonium_half: float  # kg/m3 of ammonium that halves its uptake
    feed_half: float  # kg/m3 of dead matter that feeds half of the respiration
    profile: FloatArray  # (depths, 2) depth [m], chlorophyll there over that near the top; none: all alike


def algae_settings(scenario: Scenario) -> AlgaeSettings:
    """Settings of a scenario."""
    algae = scenario.algae
    return AlgaeSettings(
        photosynthesis=algae.photosynthesis,
        light_saturation=algae.light_saturation,
        respiration=algae.respiration,
        oxygen_per_chlorophyll=OXYGEN_PER_CARBON * algae.carbon_to_chlorophyll,
        ammonium_per_oxygen=scenario.bed.ammonium_release,
        respiration_half=algae.respiration_half_saturation,
        ammonium_half=algae.ammonium_half_saturation,
        feed_half=algae.feed_half_saturation,
        profile=np.array([algae.profile_depth, algae.profile_share], dtype=float).T.copy().reshape(-1, 2),
    )


@compiled_for_loop
def profile_share(settings: AlgaeSettings, work: Work, box: int) -> float:
    """Given chlorophyll in the middle of a box over that near the top [1]."""
    rows = settings.profile.shape[0]
    if rows == 0:
        return 1.0
    depth = work.depth[box] + 0.5 * work.thickness[box]
    if depth <= settings.profile[0, 0]:
        return settings.profile[0, 1]
    for row in range(1, rows):
        high, low = settings.profile[row - 1, 0], settings.profile[row, 0]
        if depth < low:
            share = (depth - high) / (low - high)
            above = settings.profile[row - 1, 1]
            return above + share * (settings.profile[row, 1] - above)
    return settings.profile[rows - 1, 1]


def profile_shares(settings: AlgaeSettings, depth: FloatArray) -> FloatArray:
    """The same at any depths, for the output."""
    if not len(settings.profile):
        return np.ones_like(depth)
    return np.asarray(np.interp(depth, settings.profile[:, 0], settings.profile[:, 1]))


@compiled_for_loop
def add_rates(settings: AlgaeSettings, grid: Grid, work: Work, dying: FloatArray, rates: State) -> None:
    """Photosynthesis, respiration and dying algae in every box.

    dying: (zones,) chlorophyll that dies [kg/m3/s].
    """
    light = work.now[SHORTWAVE] * LIGHT_PER_SUN / settings.light_saturation
    made, boxes, held = work.forth, work.volume.size, 0.0
    for box in range(boxes):
        made[box] = 0.0
    if light > 0.0:
        for box in range(whole_lanes(boxes)):
            above = smith_integral(light * work.light_top[box])
            below = smith_integral(light * work.light_bottom[box])
            made[box] = settings.photosynthesis * (above - below) / work.optical_thickness[box]
    for box in range(boxes):
        algae = work.chlorophyll[box] * work.volume[box]
        oxygen = max(work.concentration[s.OXYGEN, box], 0.0)
        dead = max(work.concentration[s.DETRITUS, box], 0.0)
        ammonium = max(work.concentration[s.AMMONIUM, box], 0.0)
        given = algae * work.temperature_factor[ALGAE_FACTOR, box] * made[box]
        respired = algae * work.temperature_factor[RESPIRATION_FACTOR, box] * settings.respiration
        used = respired * oxygen / (settings.respiration_half + oxygen)
        fed = used * dead / (settings.feed_half + dead)
        uptake = given * ammonium / (settings.ammonium_half + ammonium)
        work.rate[s.OXYGEN, box] += given - used
        work.rate[s.DETRITUS, box] += given - fed
        work.rate[s.AMMONIUM, box] += settings.ammonium_per_oxygen * (used - uptake)
        work.pathway[s.PHOTOSYNTHESIS_ROW, box] += given
        work.pathway[s.RESPIRATION_ROW, box] -= used
        held += used - fed
    rates.lines[s.OXYGEN_HELD_ALGAE] += held
    for zone in range(dying.size):
        if dying[zone] > 0.0:
            for box in range(grid.first_box[zone], grid.first_box[zone + 1]):
                killed = dying[zone] * settings.oxygen_per_chlorophyll * work.volume[box]
                work.rate[s.DETRITUS, box] += killed
                rates.lines[s.REDUCING_KILLED] += killed
