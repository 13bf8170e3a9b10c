"""Temperature factors of the reactions.

The exponentials are taken once per hydraulic step at the temperatures of its start; within the step, where
water warms by a degree or so, a polynomial stands for them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from pondsim.constants import ZERO_CELSIUS
from pondsim.jit.bundle import Bundle
from pondsim.jit.compiled import compiled_for_loop
from pondsim.jit.elementary import exp
from pondsim.physics.algae import HOTTEST
from pondsim.physics.kinetics import factor_near
from pondsim.processes.constituents import HEAT
from pondsim.processes.work import FACTORS, Work
from pondsim.scenario.settings import Scenario
from pondsim.site.pond import FloatArray

DECAY_THETA = 1.047  # thomann1987 (from memory, not verified)
# Nitrification: thomann1987 (from memory, not verified); bottom oxygen debt: judgement.
OXIDATION_THETA = 1.08
REFERENCE = ZERO_CELSIUS + 20.0  # K, where every factor is 1
FAR = 4.0  # K from the temperature at the step's start beyond which the exponentials are taken anew


@dataclass(frozen=True, eq=False)
class TemperatureSettings(Bundle):
    """One entry for each row of work.temperature_factor."""

    log_theta: FloatArray  # 1/K
    hottest: FloatArray  # temperature above which the factor grows no further [K]


def temperature_settings(scenario: Scenario) -> TemperatureSettings:
    """Settings of a scenario."""
    theta = {
        "bed": scenario.bed.oxygen_demand_theta,
        "decay": DECAY_THETA,
        "oxidation": OXIDATION_THETA,
        "algae": scenario.algae.photosynthesis_theta,
        "respiration": scenario.algae.respiration_theta,
    }
    hottest = {"algae": HOTTEST, "respiration": HOTTEST}
    return TemperatureSettings(
        log_theta=np.array([math.log(theta[name]) for name in FACTORS]),
        hottest=np.array([hottest.get(name, np.inf) for name in FACTORS]),
    )


@compiled_for_loop
def update_temperature_factors(settings: TemperatureSettings, work: Work) -> None:
    """Temperature factors of every box at its present temperature, which is kept as reference."""
    for box in range(work.reference.size):
        work.reference[box] = work.concentration[HEAT, box]
    for row in range(settings.log_theta.size):
        log_theta, hottest = settings.log_theta[row], settings.hottest[row]
        for box in range(work.reference.size):
            work.warmth_then[row, box] = exp(log_theta * (min(work.reference[box], hottest) - REFERENCE))


@compiled_for_loop
def set_temperature_factors(settings: TemperatureSettings, work: Work) -> None:
    """Temperature factors of every box at the temperature of the moment."""
    far = 0
    for box in range(work.reference.size):
        far += 1 if abs(work.concentration[HEAT, box] - work.reference[box]) > FAR else 0
    if far > 0:
        update_temperature_factors(settings, work)
    for row in range(settings.log_theta.size):
        log_theta, hottest = settings.log_theta[row], settings.hottest[row]
        for box in range(work.reference.size):
            change = min(work.concentration[HEAT, box], hottest) - min(work.reference[box], hottest)
            work.temperature_factor[row, box] = factor_near(work.warmth_then[row, box], log_theta, change)
