"""What the waterfall is held against: its sheet of water, its steps, its pool, its lip."""

from __future__ import annotations

from pondsim.design.limits import Limit
from pondsim.design.line_values import LineSheet
from pondsim.design.verdict import judged
from pondsim.design.waterfall import WaterfallSheet
from pondsim.scenario.settings import Scenario, Waterfall

SMALL_STEP = 0.3048  # m, 1 ft, below which the methods disagree even in sign; judgement
THIN_SHEET = 0.0062  # m2/s, 30 gpm per foot of lip; common practice, no source
STRONG_SHEET = 0.031  # m2/s, 150 gpm per foot of lip; common practice, no source
CLINGING = 0.0254  # m over the lip, 1 in, below which a sheet clings to the wall; common practice, no source
HIGHEST_DROP = {"gameson": 3.5, "avery_novak": 2.0}  # m of one fall, as far as each form reaches
CONTRADICTS = 0.20  # share of the drop from which they contradict each other; judgement
SAME_DROP = 0.05  # share of the drop by which lip and drop may disagree; judgement
SMALL_STEPS = (
    "Over small steps water skims, and the methods disagree even on whether more steps give more oxygen "
    "(gameson) or less (the other two)."
)


def waterfall_limits(scenario: Scenario, sheet: LineSheet) -> list[Limit]:
    """Limits of the waterfall at normal pool, its pool at low pool too. Raises: nothing."""
    waterfall, fall = scenario.waterfall, sheet.waterfall
    assert waterfall is not None
    spread = f"{100 * min(fall.efficiencies):.0f} to {100 * max(fall.efficiencies):.0f} %"
    return [
        *_on_the_lip(fall),
        *_drop(waterfall, sheet, scenario.pond.normal_pool),
        judged(
            "deficit_reduction",
            "waterfall",
            "reduction of the oxygen deficit at 28 degC",
            fall.efficiency,
            "share",
            source=waterfall.method,
            note=f"The three published methods give {spread}; runs and sizes use this one.",
        ),
        judged(
            "splash", "waterfall", "share of the flow lost to splash and wind", fall.splash_share, "share"
        ),
    ]


def _on_the_lip(fall: WaterfallSheet) -> list[Limit]:
    return [
        judged(
            "lip_flow",
            "waterfall",
            "flow per width of lip",
            fall.flow_per_width,
            "flow_per_width",
            least=THIN_SHEET,
            most=STRONG_SHEET,
            note="A thin sheet breaks up; a heavy one is loud and carries bubbles deep.",
        ),
        judged(
            "lip_head",
            "waterfall",
            "head over a sharp lip",
            fall.lip_head,
            "short_length",
            least=CLINGING,
            note="A thinner sheet clings to the wall below the lip.",
        ),
        judged(
            "brink_depth", "waterfall", "depth at the brink of a broad lip", fall.brink_depth, "short_length"
        ),
    ]


def _drop(waterfall: Waterfall, sheet: LineSheet, normal_pool: float) -> list[Limit]:
    fall = sheet.waterfall
    found = [
        judged(
            "step_drop",
            "waterfall",
            "drop of one step",
            fall.drop_per_step,
            "length",
            least=SMALL_STEP,
            most=HIGHEST_DROP.get(waterfall.method),
            source=f"judgement; at most: {waterfall.method}",
            note=SMALL_STEPS if fall.drop_per_step < SMALL_STEP else "",
        ),
        judged(
            "plunge_depth",
            "waterfall",
            "water below each fall, for its bubbles",
            min(fall.plunge_depth, fall.pool_depth[0]),
            "length",
            least=fall.bubble_depth,
            source="avery1978, from memory",
            note="Bubbles that reach the bed give less oxygen: every method accounts for it.",
        ),
        judged(
            "return_depth",
            "waterfall",
            "water in its zone at low pool",
            fall.pool_depth[1],
            "length",
            least=fall.plunge_depth,
            source="waterfall.plunge_pool_depth",
            note="In shallower water the fall stirs the bed and bubbles reach less deep.",
        ),
    ]
    if waterfall.lip is not None:
        said = sheet.normal.lip_level - normal_pool
        far = abs(said - waterfall.drop) > CONTRADICTS * waterfall.drop
        found.append(
            judged(
                "lip_over_pool",
                "waterfall",
                "water at the lip over normal pool",
                said,
                "length",
                breach="fail" if far else "warn",
                least=(1.0 - SAME_DROP) * waterfall.drop,
                most=(1.0 + SAME_DROP) * waterfall.drop,
                source="waterfall.drop",
                note="Lip and drop should say the same: the drop counts from water level to water level.",
            )
        )
    return found
