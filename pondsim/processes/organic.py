"""Decay of organic matter, nitrification and oxidation of the bottom's oxygen debt in the water."""

from __future__ import annotations

from dataclasses import dataclass

from pondsim.jit.bundle import Bundle
from pondsim.jit.compiled import compiled_for_loop
from pondsim.processes import state as s
from pondsim.processes.state import State
from pondsim.processes.warmth import DECAY, LOG_DECAY, LOG_OXIDATION, OXIDATION, warmth_now
from pondsim.processes.work import Work
from pondsim.scenario.settings import Scenario
from pondsim.site.pond import Grid

DECAY_HALF = 0.5e-3  # kg/m3 of oxygen that halves decay (judgement)
NITRIFICATION_HALF = 1.0e-3  # kg/m3 of oxygen that halves nitrification (judgement)
OXYGEN_PER_NITROGEN = 64.0 / 14.0


@dataclass(frozen=True, eq=False)
class OrganicSettings(Bundle):
    """Rates at 20 degC."""

    decay: float  # 1/s, of carbonaceous demand and dead algae
    nitrification: float  # 1/s
    oxidation: float  # 1/s, of the bottom oxygen debt
    oxidation_half: float  # kg/m3
    ammonium_per_oxygen: float  # kg/kg


def organic_settings(scenario: Scenario) -> OrganicSettings:
    """Settings of a scenario."""
    return OrganicSettings(
        decay=scenario.organic_matter.bod_decay,
        nitrification=scenario.nitrogen.nitrification,
        oxidation=scenario.bottom_oxygen_debt.oxidation,
        oxidation_half=scenario.bottom_oxygen_debt.half_saturation,
        ammonium_per_oxygen=scenario.bed.ammonium_release,
    )


@compiled_for_loop
def add_rates(settings: OrganicSettings, grid: Grid, work: Work, state: State, rates: State) -> None:
    """First-order losses in every box, each slowed by want of oxygen."""
    for box in range(grid.box_zone.size):
        zone = grid.box_zone[box]
        oxygen = max(work.concentration[box, s.OXYGEN], 0.0)
        decay = settings.decay * warmth_now(work, box, DECAY, LOG_DECAY) * oxygen / (DECAY_HALF + oxygen)
        warmth = warmth_now(work, box, OXIDATION, LOG_OXIDATION)
        nitrification = settings.nitrification * warmth * oxygen / (NITRIFICATION_HALF + oxygen)
        oxidation = settings.oxidation * warmth * oxygen / (settings.oxidation_half + oxygen)
        bod, dead = decay * state.amounts[box, s.BOD], decay * state.amounts[box, s.DETRITUS]
        nitrified, oxidised = (
            nitrification * state.amounts[box, s.AMMONIUM],
            oxidation * state.amounts[box, s.DEBT],
        )
        rates.amounts[box, s.BOD] -= bod
        rates.amounts[box, s.DETRITUS] -= dead
        rates.amounts[box, s.DEBT] -= oxidised
        rates.amounts[box, s.AMMONIUM] += settings.ammonium_per_oxygen * (bod + dead) - nitrified
        rates.amounts[box, s.OXYGEN] -= bod + dead + oxidised + OXYGEN_PER_NITROGEN * nitrified
        rates.pathways[zone, s.ORGANIC_DECAY] -= bod + dead
        rates.pathways[zone, s.NITRIFICATION] -= OXYGEN_PER_NITROGEN * nitrified
        rates.pathways[zone, s.DEBT_OXIDATION] -= oxidised
        slope = OXYGEN_PER_NITROGEN * nitrified + bod + dead + oxidised  # stiff where little oxygen is left
        volume = state.amounts[box, s.WATER]
        work.turnover[box] += oxidation * volume + slope / (oxygen + DECAY_HALF)
