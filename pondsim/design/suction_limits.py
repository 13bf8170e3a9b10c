"""What the line is held against up to the pump: grate, intake pipe, gravity line, wet well."""

from __future__ import annotations

import math

from pondsim.design.limits import Limit
from pondsim.design.line_values import AtPool
from pondsim.design.verdict import judged, source_of
from pondsim.scenario.settings import Intake, Scenario, WetWell
from pondsim.site.circulation_line import Line, pipe_bottom
from pondsim.units import display

DEEP_WELL = 6.096  # m, 20 ft, from which an engineer designs the shoring (from memory)
ABSURD_WELL = 15.24  # m, 50 ft, deeper than any well of a pond loop; judgement
SUBMERGENCE = "ANSI/HI 9.8, S = D(1 + 2.3 Fr)"


def bed_limits(line: Line) -> list[Limit]:
    """Whether the intake lies over the bed, its pipe in full."""
    what = "intake's center" if line.opening is None else "bottom of the pipe"
    bed = display(line.bed, "length", digits=5)
    after = f" after dredging from {line.dug[-1].date:%Y-%m-%d}" if line.dug else ""
    taken = "" if line.intake.bed is not None else f" (the lowest of its zone{after}: write intake.bed)"
    return [
        judged(
            "pipe_over_bed",
            "intake",
            f"{what} over the bed under it",
            pipe_bottom(line) - line.bed,
            "length",
            least=0.0,
            breach="fail",
            source="by derivation",
            note=f"The bed there is {bed}{taken}. A buried pipe draws mud: raise it, or dig a sump.",
        )
    ]


def grate_limits(scenario: Scenario, intake: Intake, normal: AtPool) -> list[Limit]:
    """Velocity through the grate."""
    if normal.grate_velocity is None:
        return []
    blocked = f"{100.0 * intake.grate_blocked:.0f} % blocked"
    return [
        judged(
            "clean_grate_velocity",
            "intake",
            "velocity through the clean grate at normal pool",
            normal.grate_velocity,
            "speed",
        ),
        judged(
            "grate_velocity",
            "intake",
            f"velocity through the grate {blocked} at normal pool",
            normal.grate_velocity_blocked,
            "speed",
            most=intake.max_grate_velocity,
            source=source_of(scenario, "intake.max_grate_velocity"),
            note="Higher velocity draws in or pins fish and debris; a larger grate lowers it.",
        ),
    ]


def opening_limits(scenario: Scenario, intake: Intake, normal: AtPool, lowest: AtPool) -> list[Limit]:
    """Velocity in the intake pipe, water over it, and the most it can give."""
    if normal.intake_velocity is None:
        return [_over_centre(intake, lowest)]
    starving = None if math.isinf(lowest.starving_flow) else lowest.starving_flow
    return [
        judged(
            "intake_velocity",
            "intake",
            "velocity in the pipe at normal pool",
            normal.intake_velocity,
            "speed",
            most=intake.max_pipe_velocity,
            source=source_of(scenario, "intake.max_pipe_velocity"),
        ),
        *_cover(scenario, intake, lowest),
        judged(
            "intake_max_flow",
            "intake",
            f"maximum flow of the intake at {lowest.name}",
            starving,
            "flow",
            least=lowest.flow,
            breach="fail",
            source="by derivation",
            note=f"Beyond it {lowest.starved_by}." if starving is not None else "Nothing limits it.",
        ),
    ]


def _cover(scenario: Scenario, intake: Intake, lowest: AtPool) -> list[Limit]:
    """Water over the pipe: by practice, and against vortices in both readings of the level of reference."""
    air = "Too little water lets a vortex draw air, and the pump loses flow and runs rough."
    return [
        judged(
            "cover",
            "intake",
            f"water over the top of the pipe at {lowest.name}",
            lowest.cover_top,
            "length",
            least=intake.min_cover,
            breach="warn" if (lowest.cover_top or 0.0) > 0.0 else "fail",
            source=source_of(scenario, "intake.min_cover"),
        ),
        judged(
            "cover_against_vortices_top",
            "intake",
            f"water over the top of the pipe against vortices at {lowest.name}",
            lowest.cover_top,
            "length",
            least=lowest.submergence,
            source=SUBMERGENCE,
            note=f"{air} Its level of reference is not verified for a pipe: this is the safer reading.",
        ),
        judged(
            "cover_against_vortices_center",
            "intake",
            f"water over the pipe's centerline against vortices at {lowest.name}",
            lowest.cover_centre,
            "length",
            least=lowest.submergence,
            breach="fail",
            source=SUBMERGENCE,
            note=f"{air} This is the milder reading.",
        ),
    ]


def _over_centre(intake: Intake, lowest: AtPool) -> Limit:
    """Water over an intake of unknown size: with too little over its centre there is less over its top."""
    over, least = lowest.cover_centre, intake.min_cover
    return judged(
        "cover_over_center",
        "intake",
        f"water over the intake's center at {lowest.name}",
        over,
        "length",
        least=least if over < least else None,
        note="The required cover is measured from the top of the pipe; give its size to check it there.",
    )


def gravity_limits(scenario: Scenario, line: Line, normal: AtPool, lowest: AtPool) -> list[Limit]:
    """Fall of the gravity line, its outlet, and its velocity: the well must not fall, nor silt lie."""
    intake = line.intake
    if normal.gravity_velocity is None:
        return []
    return [
        *_fall_and_outlet(scenario, line, lowest),
        judged(
            "gravity_velocity",
            "gravity line",
            "velocity at normal pool, head loss",
            normal.gravity_velocity,
            "speed",
            most=intake.max_pipe_velocity,
            source=source_of(scenario, "intake.max_pipe_velocity"),
            note="Higher velocity draws the well down.",
        ),
        judged(
            "gravity_silt_velocity",
            "gravity line",
            "velocity at normal pool, silt carried",
            normal.gravity_velocity,
            "speed",
            least=intake.min_pipe_velocity,
            source=source_of(scenario, "intake.min_pipe_velocity"),
            note="Lower velocity lets silt settle in the pipe.",
        ),
    ]


def _fall_and_outlet(scenario: Scenario, line: Line, lowest: AtPool) -> list[Limit]:
    """A gravity line runs level or down to the well, and ends under the well's water."""
    outlet = None if scenario.gravity_line is None else scenario.gravity_line.outlet
    if outlet is None or line.gravity is None:
        return []
    found = [
        judged(
            "gravity_fall",
            "gravity line",
            "fall from the intake to the well, invert to invert",
            pipe_bottom(line) - outlet,
            "length",
            least=0.0,
            note="A line that rises to the well traps air at its high end and silt at its low end.",
        )
    ]
    if lowest.well_level is None or lowest.stops:
        return found
    return [
        *found,
        judged(
            "gravity_outlet_cover",
            "gravity line",
            f"water over the top of its outlet at {lowest.name}, pump running",
            lowest.well_level - outlet - line.gravity.diameter,
            "length",
            least=0.0,
            breach="fail" if lowest.well_level < outlet else "warn",
            source="by derivation",
            note="An outlet above the water lets it fall into the well, with air that the pump draws.",
        ),
    ]


def well_limits(scenario: Scenario, normal: AtPool, lowest: AtPool) -> list[Limit]:
    """Water over the floats, running and at the start."""
    well = scenario.wet_well
    if well is None or lowest.well_level is None:
        return []
    found = [
        _depth(well, scenario.pond.bank_top),
        *(one for pool in dict.fromkeys((normal, lowest)) for one in _over_pump_off(well, pool)),
    ]
    if well.alarm is None:
        return found
    alarm = judged(
        "alarm",
        "wet well",
        f"water over the alarm at {lowest.name}, pump running",
        lowest.well_level - well.alarm,
        "length",
        least=0.0,
        source="by derivation",
        note="If the well runs below it at low pool, the alarm goes off every dry summer.",
    )
    return [*found, alarm]


def _depth(well: WetWell, grade: float) -> Limit:
    """Depth of the well below the ground, taken as the bank top."""
    depth = grade - well.bottom
    return judged(
        "well_depth",
        "wet well",
        "depth of its floor below the bank top",
        depth,
        "length",
        most=DEEP_WELL,
        breach="fail" if depth > ABSURD_WELL else "warn",
        source="29 CFR 1926.652, from memory",
        note="An excavation deeper than 20 ft has its shoring designed by a registered professional engineer."
        if depth <= ABSURD_WELL
        else "No pond loop needs a well this deep: check the elevations.",
    )


def _over_pump_off(well: WetWell, pool: AtPool) -> list[Limit]:
    found = [
        judged(
            "over_pump_off",
            "wet well",
            f"water over pump-off at {pool.name}, pump running",
            pool.over_pump_off,
            "length",
            least=0.0,
            breach="fail",
            source="by derivation",
            note="Below it the pump stops, the well fills and it starts again, over and over.",
        )
    ]
    if pool.start is not None:
        found.append(
            judged(
                "over_pump_off_at_start",
                "wet well",
                f"lowest water over pump-off at {pool.name} when the pump starts",
                pool.pond_level - pool.start.fall - well.pump_off,
                "length",
                least=0.0,
                breach="fail",
                source="by derivation",
                note=f"The well falls for {pool.start.time:.0f} s before the gravity line has caught up.",
            )
        )
    return found
