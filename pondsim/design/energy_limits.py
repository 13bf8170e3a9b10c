"""Energy that cannot be: pumps better than any pump, meters that read less than the work done."""

from __future__ import annotations

import numpy as np

from pondsim.design.limits import Limit
from pondsim.design.line_values import AtPool
from pondsim.design.verdict import judged
from pondsim.physics.air_pipes import air_mass
from pondsim.physics.bubbles import adiabatic_power
from pondsim.physics.pumps import water_power
from pondsim.scenario.settings import Aeration, Scenario
from pondsim.site.air_line import AirPoint
from pondsim.site.air_source import inlet_pressure, source_curve
from pondsim.site.circulation_line import Line, system_head
from pondsim.site.pump_curve import PumpCurve

DERIVED = "by derivation"
BEST_EFFICIENCY = 0.90  # of a pump alone; large ones come near it (judgement)
SAME_HEAD = 0.10  # share by which a stated head may differ from the described line's (judgement)
LEAST_SHARE, MOST_SHARE = 0.70, 1.20  # of the flow of best efficiency, ANSI/HI 9.6.3, from memory
PREFERRED = "ANSI/HI 9.6.3, from memory"


def pump_energy_limits(line: Line, normal: AtPool) -> list[Limit]:
    """Efficiency of the pump, its power at the meter, a stated head, and where it runs on its curve."""
    stated = [*_stated_lift(line, normal), *_stated_head(line, normal)]
    found = [*_efficiency(line), *_meter(line, normal), *stated]
    return found if line.curve is None else [*found, *_best_point(line.curve, normal)]


def efficiencies_given(curve: PumpCurve) -> np.ndarray:
    """Efficiency of the pump alone at the points of a curve; empty where its power is not known [1]."""
    if not curve.shaft_power.size:
        return np.array([])
    work = np.asarray(water_power(curve.flow, np.maximum(curve.head, 0.0)))
    return np.divide(work, curve.shaft_power, out=np.zeros_like(work), where=curve.shaft_power > 0.0)


def _efficiency(line: Line) -> list[Limit]:
    found = [] if line.pump.efficiency is None else [line.pump.efficiency]
    if line.curve is not None:
        found += efficiencies_given(line.curve).tolist()
    if not found:
        return []
    return [
        judged(
            "efficiency_of_points",
            "pump",
            "highest efficiency of the pump alone, at the points given",
            max(found),
            "share",
            most=BEST_EFFICIENCY,
            breach="fail",
            source="judgement",
            note="No pump of this size does that: check flow, head, power and speed.",
        )
    ]


def _meter(line: Line, normal: AtPool) -> list[Limit]:
    """A meter reads at least the shaft's power; where that is not known, that of the lifted water."""
    power = line.pump.power
    if power is None or normal.stops:
        return []
    lifted = max(float(water_power(normal.flow, normal.static_lift)), 0.0)
    if line.curve is not None or line.head_is_computed or line.pump.total_head is not None:
        lifted = max(lifted, normal.hydraulic_power)
    least, what = (lifted, "water") if normal.shaft_power is None else (normal.shaft_power, "shaft")
    return [
        judged(
            "power_against_head",
            "pump",
            f"metered power, against that of the {what} at normal pool",
            power,
            "power",
            least=least,
            breach="fail",
            source=DERIVED,
            note="A motor draws more power than it delivers: check the meter, flow and head.",
        )
    ]


def _stated_lift(line: Line, normal: AtPool) -> list[Limit]:
    """A pump gives at least the lift from the pond to the water at the lip, whatever the pipes lose."""
    stated = line.pump.total_head
    if stated is None or line.curve is not None or normal.flow <= 0.0:
        return []
    return [
        judged(
            "head_against_lift",
            "pump",
            "stated total_head, against the lift from normal pool to the lip",
            stated,
            "length",
            least=normal.lip_level - normal.pond_level,
            breach="fail",
            source=DERIVED,
            note="With less head no water comes over the lip: check total_head, and waterfall.drop or lip.",
        )
    ]


def _stated_head(line: Line, normal: AtPool) -> list[Limit]:
    stated = line.pump.total_head
    if stated is None or line.discharge is None or normal.stops:
        return []
    asked = system_head(line, normal.flow, normal.pond_level)
    return [
        judged(
            "head_as_stated",
            "pump",
            "total_head as stated, against what the described line takes at normal pool",
            stated,
            "length",
            least=(1.0 - SAME_HEAD) * asked,
            most=(1.0 + SAME_HEAD) * asked,
            source="judgement",
            note="Power and cost follow the stated head; remove it to use the head of the line.",
        )
    ]


def _best_point(curve: PumpCurve, normal: AtPool) -> list[Limit]:
    """Flow of one pump over that of its best efficiency, where efficiency is known over the flow."""
    if not curve.shaft_power.size or normal.flow <= 0.0 or normal.stops:
        return []
    best = float(curve.flow[int(np.argmax(efficiencies_given(curve)))])
    if best <= 0.0:
        return []
    share = normal.flow / (curve.count * curve.speed * best)
    return [
        judged(
            "flow_of_best_efficiency",
            "pump",
            "flow at normal pool over that of its best efficiency",
            share,
            "share",
            least=LEAST_SHARE,
            most=MOST_SHARE,
            source=PREFERRED,
            note="Far from it a pump wastes power, vibrates and wears bearings and seals. "
            "Best is the best of the points given.",
        )
    ]


def air_energy_limits(unit: Aeration, scenario: Scenario, normal: AirPoint) -> list[Limit]:
    """Electricity of an air source, against the ideal adiabatic compression of the same air."""
    found, curve, inlet = [], source_curve(unit, scenario), inlet_pressure(scenario)

    def ideal(air: np.ndarray | float, pressure: np.ndarray | float) -> np.ndarray:
        return np.asarray(
            adiabatic_power(air_mass(air), unit.inlet_temperature, inlet, inlet + pressure, 1.0)
        )

    def held(code: str, what: str, power: float, least: float) -> Limit:
        note = "No machine needs less: check power, air and pressure."
        return judged(
            code, unit.name, what, power, "power", least=least, breach="fail", source=DERIVED, note=note
        )

    if curve is not None and curve.power is not None:
        least = ideal(curve.flow, curve.pressure)
        worst = int(np.argmin(curve.power - least))
        what = "power on the source's curve, against ideal adiabatic compression"
        found.append(held("power_of_curve", what, float(curve.power[worst]), float(least[worst])))
    if unit.power is not None:
        what = "metered power, against ideal adiabatic compression at normal pool"
        found.append(held("power_of_meter", what, unit.power, float(ideal(normal.air_flow, normal.pressure))))
    return found
