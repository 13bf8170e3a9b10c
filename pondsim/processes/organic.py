"""Decay of organic matter, nitrification and oxidation of the bottom's oxygen debt in the water."""

from __future__ import annotations

from dataclasses import dataclass

from pondsim.jit.bundle import Bundle
from pondsim.jit.compiled import compiled_for_loop
from pondsim.physics.kinetics import OXYGEN_PER_NITROGEN
from pondsim.processes import constituents as s
from pondsim.processes.living_rows import GROWN
from pondsim.processes.work import DECAY_FACTOR, OXIDATION_FACTOR, Work
from pondsim.scenario.settings import Scenario


@dataclass(frozen=True, eq=False)
class OrganicSettings(Bundle):
    """Rates at 20 degC."""

    decay: float  # 1/s, of carbonaceous demand
    dead_decay: float  # 1/s, of dead algae; 0 where they grow (processes.phosphorus)
    nitrification: float  # 1/s
    oxidation: float  # 1/s, of the bottom oxygen debt
    oxidation_half: float  # kg/m3
    ammonium_per_oxygen: float  # kg/kg
    decay_half: float  # kg/m3 of oxygen that halves decay
    nitrification_half: float  # kg/m3 of oxygen that halves nitrification


def organic_settings(scenario: Scenario) -> OrganicSettings:
    """Settings of a scenario."""
    return OrganicSettings(
        decay=scenario.organic_matter.bod_decay,
        dead_decay=0.0 if scenario.algae.mode == GROWN else scenario.organic_matter.bod_decay,
        nitrification=scenario.nitrogen.nitrification,
        oxidation=scenario.bottom_oxygen_debt.oxidation,
        oxidation_half=scenario.bottom_oxygen_debt.half_saturation,
        ammonium_per_oxygen=scenario.bed.ammonium_release,
        decay_half=scenario.organic_matter.decay_half_saturation,
        nitrification_half=scenario.nitrogen.half_saturation,
    )


@compiled_for_loop
def add_rates(settings: OrganicSettings, work: Work) -> None:
    """First-order losses in every box, each slowed by want of oxygen."""
    for box in range(work.volume.size):
        oxygen, volume = max(work.concentration[s.OXYGEN, box], 0.0), work.volume[box]
        slowed = work.temperature_factor[DECAY_FACTOR, box] * oxygen / (settings.decay_half + oxygen)
        decay = settings.decay * slowed * volume
        factor = work.temperature_factor[OXIDATION_FACTOR, box] * volume
        nitrification = settings.nitrification * factor * oxygen / (settings.nitrification_half + oxygen)
        oxidation = settings.oxidation * factor * oxygen / (settings.oxidation_half + oxygen)
        dead_decay = settings.dead_decay * slowed * volume
        bod, dead = decay * work.concentration[s.BOD, box], dead_decay * work.concentration[s.DETRITUS, box]
        nitrified = nitrification * work.concentration[s.AMMONIUM, box]
        oxidised = oxidation * work.concentration[s.DEBT, box]
        work.rate[s.BOD, box] -= bod
        work.rate[s.DETRITUS, box] -= dead
        work.rate[s.DEBT, box] -= oxidised
        work.rate[s.AMMONIUM, box] += settings.ammonium_per_oxygen * (bod + dead) - nitrified
        work.rate[s.OXYGEN, box] -= bod + dead + oxidised + OXYGEN_PER_NITROGEN * nitrified
        work.pathway[s.ORGANIC_DECAY_ROW, box] -= bod + dead
        work.pathway[s.NITRIFICATION_ROW, box] -= OXYGEN_PER_NITROGEN * nitrified
        work.pathway[s.DEBT_OXIDATION_ROW, box] -= oxidised
        slope = OXYGEN_PER_NITROGEN * nitrified + bod + dead + oxidised  # stiff where little oxygen is left
        work.turnover[box] += oxidation + slope / (oxygen + settings.decay_half)
