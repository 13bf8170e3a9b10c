"""Records of a design where its data are thin, or where it leaves practice that no limit names."""

from __future__ import annotations

import math
from collections.abc import Iterator

from pondsim.design.plan_lengths import plan_lengths_apart
from pondsim.design.sheet import Sheet
from pondsim.design.unjudged_limits import limits_not_judged
from pondsim.records import Record, iso
from pondsim.scenario.settings import Scenario
from pondsim.site.circulation_line import circulation_line

LEAST_LAYERS = 6
THINNEST_LAYER = 0.15  # m; judgement
LEAST_DEPTH = 0.6096  # m, 2 ft: shallower than the layers of a pond are meant for; judgement
MOST_RENEWAL = 5.0  # pumped flow over renewal flow; more is likely a slip of units
SHALLOW_DIFFUSER = 1.5  # m, bubbles rise too short a way


def design_records(scenario: Scenario, sheet: Sheet) -> list[Record]:
    """Records of a scenario; an empty list when there is nothing to say.

    Parameters
    ----------
    scenario : Scenario
        As read.
    sheet : Sheet
        Its numbers, from `design_sheet`.
    """
    return [
        *_data(scenario),
        *limits_not_judged(scenario),
        *_depth(scenario, sheet),
        *_loop(scenario, sheet),
        *_air(sheet),
        *plan_lengths_apart(scenario),
    ]


def _data(scenario: Scenario) -> Iterator[Record]:
    layers = scenario.pond.layers
    if layers < LEAST_LAYERS:
        yield Record("few_layers", "caution", numbers={"layers": (layers, "1"), "least": (LEAST_LAYERS, "1")})
    if not scenario.start.profile:
        yield Record("start_guessed")
    if scenario.weather.synthetic:
        yield Record("weather_invented")
    if scenario.outlet is None:
        yield Record("no_outlet", "caution")
    if not scenario.inflow and not scenario.base_flow:
        yield Record("no_inflow")


def _depth(scenario: Scenario, sheet: Sheet) -> Iterator[Record]:
    deepest, layers = max(zone.depth for zone in sheet.zones), scenario.pond.layers
    if deepest < LEAST_DEPTH:
        yield Record("shallow_pond", "caution", numbers={"depth": (deepest, "m")})
    elif deepest < THINNEST_LAYER * layers:
        numbers = {"depth": (deepest, "m"), "layers": (layers, "1"), "thinnest": (THINNEST_LAYER, "m")}
        yield Record("thin_layers", numbers=numbers)


def _loop(scenario: Scenario, sheet: Sheet) -> Iterator[Record]:
    loop, waterfall, intake = sheet.loop, scenario.waterfall, scenario.intake
    if loop is None or waterfall is None or intake is None:
        return
    times = loop.mean_flow / loop.renewal_flow if loop.renewal_flow else math.inf
    numbers = {"times": (times, "1"), "within": (loop.renewed_within, "s")}
    numbers |= {"share_of_day": (loop.share_of_day, "1")}
    if not loop.stops and loop.mean_flow < loop.renewal_flow:
        yield Record("pump_renews_little", "caution", "pump", numbers)
    if loop.mean_flow > MOST_RENEWAL * loop.renewal_flow:
        yield Record("pump_renews_much", "caution", "pump", numbers)
    line = circulation_line(scenario)
    if line is not None and line.intake.bed is None:
        dug = {"dug": iso(line.dug[-1].date)} if line.dug else {}
        yield Record("bed_assumed", where=intake.zone, numbers={"bed": (line.bed, "m")}, times=dug)
    if intake.zone == waterfall.zone:
        yield Record("short_circuit", "caution", intake.zone)


def _air(sheet: Sheet) -> Iterator[Record]:
    for unit in sheet.units:
        if unit.depth < SHALLOW_DIFFUSER:
            yield Record("shallow_diffuser", "caution", unit.name, {"depth": (unit.depth, "m")})
