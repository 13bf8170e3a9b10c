"""What the circulation line is held against: velocities, water over it, floats, the pump on its curve."""

from __future__ import annotations

from pondsim.design.energy_limits import pump_energy_limits
from pondsim.design.limits import Limit
from pondsim.design.line_sheet import line_sheet
from pondsim.design.line_values import AtPool, LineSheet
from pondsim.design.suction_limits import (
    bed_limits,
    grate_limits,
    gravity_limits,
    opening_limits,
    well_limits,
)
from pondsim.design.verdict import judged, source_of
from pondsim.design.waterfall_limits import waterfall_limits
from pondsim.scenario.settings import Pump, Scenario
from pondsim.site.circulation_line import circulation_line
from pondsim.site.pump_curve import PumpCurve

__all__ = ["limits", "line_sheet"]


def limits(scenario: Scenario) -> tuple[Limit, ...]:
    """Everything the line is held against, in the order of the water; empty where there is no loop.

    "fail" is what stops the loop or draws air; "warn" leaves practice; "reported" is informational.
    Limits stand at
    normal pool, and at low pool where the file names one. Raises: nothing.
    """
    sheet, line = line_sheet(scenario), circulation_line(scenario)
    if sheet is None or line is None or scenario.intake is None:
        return ()
    lowest = sheet.normal if scenario.pond.low_pool is None else sheet.low
    return (
        *bed_limits(line),
        *grate_limits(scenario, scenario.intake, sheet.normal),
        *opening_limits(scenario, scenario.intake, sheet.normal, lowest),
        *gravity_limits(scenario, line, sheet.normal, lowest),
        *well_limits(scenario, sheet.normal, lowest),
        *_pump(scenario, sheet, line.curve, lowest),
        *pump_energy_limits(line, sheet.normal),
        *_discharge(scenario, sheet.normal),
        *waterfall_limits(scenario, sheet),
    )


def _pump(scenario: Scenario, sheet: LineSheet, curve: PumpCurve | None, lowest: AtPool) -> list[Limit]:
    pump, normal = scenario.pump, sheet.normal
    assert pump is not None
    found = [
        judged("pump_flow", "pump", "flow at normal pool", normal.flow, "flow"),
        judged("pump_head", "pump", "head at normal pool", normal.head, "length"),
        judged("pump_power", "pump", "electric power at normal pool", normal.electric_power, "power"),
    ]
    if normal.efficiency is not None:
        found.append(
            judged(
                "pump_efficiency", "pump", "efficiency of the pump at normal pool", normal.efficiency, "share"
            )
        )
    if curve is not None:
        found += _on_curve(sheet, curve, lowest)
    return [*found, *_suction_head(pump, lowest), *_motor(pump, sheet)]


def _suction_head(pump: Pump, lowest: AtPool) -> list[Limit]:
    if lowest.npsh_available is None:
        return []
    required = pump.npsh_required
    return [
        judged(
            "suction_head",
            "pump",
            f"suction head available (NPSH) at {lowest.name}",
            lowest.npsh_available,
            "length",
            least=required,
            breach="fail",
            source="the pump's maker" if required is not None else "by definition",
            note="With less than it needs the pump cavitates.",
        )
    ]


def _motor(pump: Pump, sheet: LineSheet) -> list[Limit]:
    if pump.nameplate_power is None:
        return []
    shafts = [pool.shaft_power for pool in sheet.pools if pool.shaft_power is not None]
    return [
        judged(
            "shaft_power",
            "pump",
            "shaft power of one pump, most from low pool to bank top",
            max(shafts) / pump.count if shafts else None,
            "power",
            most=pump.nameplate_power,
            breach="fail",
            source="nameplate",
            note="More overloads the motor.",
        )
    ]


def _on_curve(sheet: LineSheet, curve: PumpCurve, lowest: AtPool) -> list[Limit]:
    given = "points given" if curve.stated else "shape drawn through one point"
    found = [
        judged(
            "flow_on_curve",
            "pump",
            f"flow at {pool.name} on its curve",
            pool.flow,
            "flow",
            least=curve.least_flow,
            most=curve.most_flow,
            source="the pump's curve",
            note=f"Beyond the {given} its performance is not given.",
        )
        for pool in dict.fromkeys((lowest, sheet.high))
    ]
    if lowest.flow <= 0.0:
        found.append(
            judged(
                "flow_reached",
                "pump",
                f"flow at {lowest.name}",
                lowest.flow,
                "flow",
                least=1e-6,
                breach="fail",
                source="by derivation",
                note="The pump does not reach the lip.",
            )
        )
    return found


def _discharge(scenario: Scenario, normal: AtPool) -> list[Limit]:
    if scenario.discharge is None:
        return []
    return [
        judged(
            "discharge_velocity",
            "discharge",
            "velocity at normal pool",
            normal.discharge_velocity,
            "speed",
            most=scenario.discharge.max_velocity,
            source=source_of(scenario, "discharge.max_velocity"),
            note="Higher velocity loses head and causes water hammer when the pump stops.",
        ),
        judged("discharge_loss", "discharge", "head lost at normal pool", normal.discharge_loss, "length"),
    ]
