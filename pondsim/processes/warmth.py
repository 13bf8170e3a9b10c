"""Temperature factors of the reactions.

The exponentials are taken once per hydraulic step at the temperatures of its start; within the step, where
water warms by a degree or so, a cubic stands for them.
"""

from __future__ import annotations

import math

from pondsim.constants import ZERO_CELSIUS
from pondsim.jit.compiled import compiled_for_loop
from pondsim.physics.kinetics import factor_near
from pondsim.processes.state import HEAT
from pondsim.processes.work import Work

BED, DECAY, OXIDATION, ALGAE = range(4)  # columns of work.warmth

DECAY_THETA = 1.047  # thomann1987 (from memory, not verified)
# Nitrification: thomann1987 (from memory, not verified); bottom oxygen debt: judgement.
OXIDATION_THETA = 1.08
LOG_DECAY = math.log(DECAY_THETA)
LOG_OXIDATION = math.log(OXIDATION_THETA)
HOTTEST_ALGAE = ZERO_CELSIUS + 28.0  # K; their factor grows no further
REFERENCE = ZERO_CELSIUS + 20.0  # K, where every factor is 1


@compiled_for_loop
def renew_warmth(work: Work, bed_theta: float, algae_theta: float) -> None:
    """Temperature factors of every box at its present temperature."""
    for box in range(work.reference.size):
        temperature = work.concentration[box, HEAT]
        warmer = temperature - REFERENCE
        work.reference[box] = temperature
        work.warmth[box, BED] = math.exp(math.log(bed_theta) * warmer)
        work.warmth[box, DECAY] = math.exp(LOG_DECAY * warmer)
        work.warmth[box, OXIDATION] = math.exp(LOG_OXIDATION * warmer)
        cooler = min(temperature, HOTTEST_ALGAE) - REFERENCE
        work.warmth[box, ALGAE] = math.exp(math.log(algae_theta) * cooler)


@compiled_for_loop
def warmth_now(work: Work, box: int, column: int, log_theta: float) -> float:
    """Temperature factor of a box at the temperature of the moment."""
    return factor_near(
        work.warmth[box, column], log_theta, work.concentration[box, HEAT] - work.reference[box]
    )


@compiled_for_loop
def algae_warmth_now(work: Work, box: int, log_theta: float) -> float:
    """The same for algae, whose factor stops growing at the hottest they like."""
    change = min(work.concentration[box, HEAT], HOTTEST_ALGAE) - min(work.reference[box], HOTTEST_ALGAE)
    return factor_near(work.warmth[box, ALGAE], log_theta, change)
