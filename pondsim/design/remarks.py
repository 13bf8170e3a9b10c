"""Plain sentences on a design where its data are thin, or where it leaves practice that no limit names."""

from __future__ import annotations

from pondsim.design.plan_lengths import plan_lengths_apart
from pondsim.design.sheet import Sheet
from pondsim.design.unjudged_limits import limits_not_judged
from pondsim.scenario.settings import Scenario, lowest_bed
from pondsim.site.circulation_line import stated_bed
from pondsim.units import display

LEAST_LAYERS = 6
THINNEST_LAYER = 0.15  # m; judgement
LEAST_DEPTH = 0.6096  # m, 2 ft: shallower than the layers of a pond are meant for; judgement
MOST_RENEWAL = 5.0  # pumped flow over renewal flow; more is likely a slip of units
SHALLOW_DIFFUSER = 1.5  # m, bubbles rise too short a way


def remarks(scenario: Scenario, sheet: Sheet, system: str = "us") -> list[str]:
    """Remarks on a scenario; an empty list when there is nothing to say.

    Parameters
    ----------
    scenario : Scenario
        As read.
    sheet : Sheet
        Its numbers, from `design_sheet`.
    system : {"us", "si"}
        Units.

    Returns
    -------
    list of str
        Sentences.
    """
    return [
        *_data(scenario),
        *limits_not_judged(scenario, system),
        *_depth(scenario, sheet, system),
        *_loop(scenario, sheet, system),
        *_air(sheet, system),
        *plan_lengths_apart(scenario, system),
    ]


def _data(scenario: Scenario) -> list[str]:
    found = []
    if scenario.pond.layers < LEAST_LAYERS:
        found.append(
            f"pond.layers = {scenario.pond.layers}: with fewer than {LEAST_LAYERS} layers the water near "
            f"the bed mixes more than in the real pond."
        )
    if not scenario.start.profile:
        found.append("No measured profile to start from: the first days depend on a stated guess.")
    if scenario.weather.synthetic:
        found.append("The weather is invented; for a real pond give an hourly weather file.")
    if scenario.outlet is None:
        found.append("No outlet: the pond rises with every storm until the water goes over its banks.")
    if not scenario.inflow and not scenario.base_flow:
        found.append("No inflow except groundwater.")
    return found


def _depth(scenario: Scenario, sheet: Sheet, system: str) -> list[str]:
    deepest, layers = max(zone.depth for zone in sheet.zones), scenario.pond.layers
    words = f"The pond is {display(deepest, 'length', system)} deep"
    if deepest < LEAST_DEPTH:
        return [
            f"{words}: a pond this shallow hardly stratifies, and its depths must be accurate to the inch."
        ]
    if deepest < THINNEST_LAYER * layers:
        return [
            f"{words}, in {layers} layers: each is thinner than "
            f"{display(THINNEST_LAYER, 'length', system)}; fewer pond.layers are enough."
        ]
    return []


def _loop(scenario: Scenario, sheet: Sheet, system: str) -> list[str]:
    loop, waterfall, intake = sheet.loop, scenario.waterfall, scenario.intake
    found: list[str] = []
    if loop is None or waterfall is None or intake is None:
        return found
    mean, timed = loop.mean_flow, ", daily mean," if loop.share_of_day < 1.0 else ""
    if not loop.stops and mean < loop.renewal_flow:
        found.append(
            f"The pump gives {100 * mean / loop.renewal_flow:.0f} % of the flow that would renew "
            f"the pond within {display(loop.renewed_within, 'days', system)}{timed}, even without dead zones."
        )
    if mean > MOST_RENEWAL * loop.renewal_flow:
        found.append(
            f"The pump gives {mean / loop.renewal_flow:.0f} times the flow that renews the pond within "
            f"{display(loop.renewed_within, 'days', system)}{timed}: check the units."
        )
    if stated_bed(scenario) is None:
        bed = lowest_bed(scenario.zone, intake.zone)
        found.append(
            f"The bed under the intake is taken as the lowest of {intake.zone}, "
            f"{display(bed, 'length', system, 5)}; where it lies higher write intake.bed."
        )
    if intake.zone == waterfall.zone:
        found.append(f"Intake and waterfall are both in {waterfall.zone}: the water short-circuits.")
    return found


def _air(sheet: Sheet, system: str) -> list[str]:
    if not sheet.units:
        return []
    found = []
    for unit in sheet.units:
        if unit.depth < SHALLOW_DIFFUSER:
            found.append(
                f"{unit.name}: its diffusers lie {display(unit.depth, 'length', system)} deep; bubbles from "
                "there give little oxygen and lift little water."
            )
    return found
