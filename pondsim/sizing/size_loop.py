"""Flow of the loop and drop of its waterfall as sizes to find."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from pondsim.errors import ScenarioError
from pondsim.scenario.settings import Scenario
from pondsim.scenario.values import value_at
from pondsim.scenario.vary import TAKEN_OUT, Change, find, laid_value
from pondsim.site.circulation_line import flow_at_normal_pool
from pondsim.sizing.own import pump_efficiency
from pondsim.sizing.size import PRACTICE, Size, metered, within
from pondsim.units import DISPLAY, to_si


def flow_size(path: Path, scenario: Scenario) -> Size:
    """Size of the flow of the pump: each stated, with the efficiency of the design."""
    if scenario.pump is None:
        raise ScenarioError(f"{path}: has no [pump], so there is no flow to size")
    present = flow_at_normal_pool(scenario)
    practice = tuple(to_si(text, "m3/s") for text in PRACTICE["flow"])
    kept = pump_efficiency(scenario)
    motor = scenario.pump.motor_efficiency

    def changes(value: float, source: Path) -> tuple[Change, ...]:
        laid = laid_value("pump.flow", value, "m3/s", "gpm", source)
        if kept is None:
            return (laid,)
        efficiency = Change("pump.efficiency", min(max(kept / motor, 0.05), 0.95), source)
        return laid, efficiency, Change("pump.nameplate_power", TAKEN_OUT, source)  # of the present motor

    return Size(
        "flow",
        "flow of the pump",
        "m3/s",
        *DISPLAY["flow"],
        present,
        within(present, *practice) if present else (practice[0], practice[1]),
        False,
        changes,
        flow_at_normal_pool,
        (*_flow_notes(path, scenario, kept), *metered(path, "pump.power")),
        without_loop,
    )


def _flow_notes(path: Path, scenario: Scenario, efficiency: float | None) -> tuple[str, ...]:
    """Where the head and the electricity of a sized flow come from."""
    assert scenario.pump is not None
    notes = []
    head = find(path, "pump.total_head", path).entry
    if head is not None:
        notes.append(
            f"The pump works against its stated {head.value} at every flow; in the same pipe a larger flow "
            "meets more."
        )
    if scenario.pump.flow is None:
        notes.append(
            "The row of the design as it stands is the untouched run, on the pump's own curve. In the other "
            "rows the flow is taken as stated, at every level of the pond, and its head follows from the "
            "line as described."
        )
    if efficiency is not None:
        notes.append(
            f"Their efficiency is that of the design at normal pool, {100.0 * efficiency:.0f} % overall "
            f"(wire to water): a pump chosen for that flow, not this pump forced to it."
        )
    return tuple(notes)


def without_loop(scenario: Scenario) -> Scenario:
    """The scenario with no circulation loop."""
    return replace(
        scenario, intake=None, gravity_line=None, wet_well=None, pump=None, discharge=None, waterfall=None
    )


def drop_size(path: Path, scenario: Scenario) -> Size:
    """Size of the drop of the waterfall, with its lip and a stated head."""
    if scenario.waterfall is None:
        raise ScenarioError(f"{path}: has no [waterfall], so there is no drop to size")
    present = scenario.waterfall.drop
    least, most = (to_si(text, "m") for text in PRACTICE["drop"])
    head = value_at(scenario, "pump.total_head")
    stated = head is not None and find(path, "pump.total_head", path).entry is not None

    lip = scenario.waterfall.lip
    with_drop = [("pump.total_head", head)] if stated else []
    with_drop += [] if lip is None else [("waterfall.lip", lip)]

    def changes(value: float, source: Path) -> tuple[Change, ...]:
        moved = (laid_value(key, at + value - present, "m", "ft", source) for key, at in with_drop)
        return laid_value("waterfall.drop", value, "m", "ft", source), *moved

    notes = ("The pump's total head grows with the drop, foot by foot.",) if stated else ()
    if lip is not None:
        notes = (*notes, "The lip moves with the drop, foot by foot.")
    if scenario.pump is not None and scenario.pump.flow is None:
        notes = (*notes, "The pump stays on its curve: the higher the drop, the less it delivers.")
    return Size(
        "drop",
        "drop of the waterfall",
        "m",
        *DISPLAY["length"],
        present,
        within(present, least, most) if present > 0.0 else (least, most),
        False,
        changes,
        lambda found: value_at(found, "waterfall.drop"),
        (*notes, *metered(path, "pump.power")),
        without_loop,
    )
