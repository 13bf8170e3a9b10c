"""The waterfall on the design sheet: its sheet of water, its drops, the oxygen it can give."""

from __future__ import annotations

from dataclasses import dataclass

from pondsim.physics.lip import brink_depth, critical_depth, head_over_sharp_lip
from pondsim.physics.waterfall import METHOD_CODES, bubble_penetration, waterfall_deficit_ratio
from pondsim.scenario.dredging import bed_at
from pondsim.scenario.settings import Scenario, Waterfall

WARM = 301.15  # K, a hot week: 28 degC


@dataclass(frozen=True)
class WaterfallSheet:
    """The waterfall at one flow.

    Attributes
    ----------
    flow_per_width : over the lip [m2/s]
    critical_depth, brink_depth : of the sheet on a broad level lip, and right at its edge [m]
    lip_head : water needed over a sharp lip, back from the edge [m]
    drop, drop_per_step : water level to water level at normal pool, all steps and each [m]
    steps : free falls
    plunge_depth : water below each fall, as stated [m]
    bubble_depth : depth that the bubbles reach where they have room [m]
    pool_depth : water in its zone at normal pool and at low pool [m]
    efficiency : reduction of the oxygen deficit at 28 degC, by the method chosen [1]
    efficiencies : the same by each published method, in the order of `METHOD_CODES` [1]
    splash_share : of the flow, lost to splash and wind [1]
    splash : the same [m3/s]
    """

    flow_per_width: float
    critical_depth: float
    brink_depth: float
    lip_head: float
    drop: float
    drop_per_step: float
    steps: int
    plunge_depth: float
    bubble_depth: float
    pool_depth: tuple[float, float]
    efficiency: float
    efficiencies: tuple[float, ...]
    splash_share: float
    splash: float


def oxygen_efficiencies(scenario: Scenario, waterfall: Waterfall, flow: float) -> tuple[float, ...]:
    """Share of the oxygen deficit a waterfall makes up at 28 degC and normal pool, by each method [1]."""
    water = scenario.pond.normal_pool - bed_at(scenario, waterfall.zone, 0.0)
    return tuple(
        1.0
        - 1.0
        / waterfall_deficit_ratio(
            code,
            waterfall.drop,
            waterfall.width,
            flow,
            waterfall.steps,
            WARM,
            waterfall.water_quality,
            waterfall.crest,
            min(waterfall.plunge_pool_depth, water),
        )
        for code in METHOD_CODES.values()
    )


def waterfall_sheet(scenario: Scenario, flow: float) -> WaterfallSheet | None:
    """Numbers of the waterfall at a flow [m3/s]; None where there is none. SI. Raises: nothing."""
    waterfall = scenario.waterfall
    if waterfall is None:
        return None
    per_width = flow / waterfall.width
    bed = bed_at(scenario, waterfall.zone, 0.0)
    pool = scenario.pond.normal_pool
    low = pool if scenario.pond.low_pool is None else scenario.pond.low_pool
    efficiencies = oxygen_efficiencies(scenario, waterfall, flow)
    return WaterfallSheet(
        flow_per_width=per_width,
        critical_depth=float(critical_depth(per_width)),
        brink_depth=float(brink_depth(per_width)),
        lip_head=float(head_over_sharp_lip(flow, waterfall.width)),
        drop=waterfall.drop,
        drop_per_step=waterfall.drop / waterfall.steps,
        steps=waterfall.steps,
        plunge_depth=waterfall.plunge_pool_depth,
        bubble_depth=float(bubble_penetration(waterfall.drop / waterfall.steps, per_width)),
        pool_depth=(pool - bed, low - bed),
        efficiency=efficiencies[METHOD_CODES[waterfall.method]],
        efficiencies=efficiencies,
        splash_share=waterfall.splash_loss,
        splash=waterfall.splash_loss * flow,
    )
