"""What the aeration is held against: `limits(scenario)`, and the numbers behind it, `air_sheet(scenario)`."""

from __future__ import annotations

import math
from collections.abc import Iterator

from pondsim.design.air_sheet import AirSheet, AirUnit, PlumeStop, air_sheet
from pondsim.design.energy_limits import air_energy_limits
from pondsim.design.limits import Limit
from pondsim.physics.air_pipes import mach_number
from pondsim.scenario.settings import Scenario
from pondsim.site.air_line import TUBING_AIR, AirPoint
from pondsim.units import display

__all__ = ["AirSheet", "AirUnit", "PlumeStop", "air_sheet", "limits"]

PRACTICE = "common practice, no source"
JUDGEMENT = "judgement"
COMPUTED = "computed"
SCFM = 0.3048**3 / 60.0  # standard m3/s
LEAST_AIR = 1.0 * SCFM  # through a diffuser; common practice, no source
MOST_AIR = 3.0 * SCFM  # through a diffuser; common practice, no source
COMPRESSOR_FROM = 8 * 0.3048  # m of water from which a compressor is usual; common practice, no source
BLOWER_TO = 10 * 0.3048  # m of water to which a blower is usual; common practice, no source
FASTEST = 15.24  # m/s, 3000 ft/min in air pipes (from memory)
CHOKED = 0.845  # Mach number at the end of an isothermal tube, 1/sqrt(1.4)
LOST_SHARE = 0.5  # of the water's pressure, lost in tubing and main line (judgement)
HIGH_GROUND = 300.0  # m, from which a sheet in scfm may flatter (judgement)
RULE_DEPTH = 3.0  # m, shallower ponds are not what the areal rule was made for (from memory)


def limits(scenario: Scenario) -> tuple[Limit, ...]:
    """Every limit of the aeration, unit by unit, then of all units.

    Parameters
    ----------
    scenario : Scenario
        As `read_scenario` returns it.

    Returns
    -------
    tuple of Limit
        Empty without aeration. SI.

    Notes
    -----
    Raises: nothing; a source that gives no air is a verdict "fail".
    """
    if not scenario.aeration:
        return ()
    sheet = air_sheet(scenario)
    found: list[Limit] = []
    for given, unit in zip(scenario.aeration, sheet.units, strict=True):
        found += [*_air(unit), *_source(unit), *_pressures(unit), *_line(unit), *_yield(unit)]
        found += [*air_energy_limits(given, scenario, unit.normal), *_plumes(unit)]
    return (*found, *_altitude(scenario), *_rule(sheet))


def _verdict(value: float, least: float | None, most: float | None) -> str:
    low = least is not None and value < least * (1.0 - 1e-9)
    high = most is not None and value > most * (1.0 + 1e-9)
    return "warn" if low or high else "pass"


def _limit(
    code: str,
    part: str,
    what: str,
    value: float | None,
    kind: str,
    verdict: str,
    source: str,
    note: str = "",
    *,
    least: float | None = None,
    most: float | None = None,
) -> Limit:
    return Limit(code, part, what, value, kind, least, most, verdict, source, note)


def _air(unit: AirUnit) -> Iterator[Limit]:
    each = unit.air_per_diffuser
    verdict, note = _verdict(each, LEAST_AIR, MOST_AIR), ""
    if each <= 0.0:
        verdict, note = "fail", "No air reaches the diffusers."
    elif each < LEAST_AIR:
        note = "So little air lifts little water; fewer diffusers on the same source mix more."
    elif each > MOST_AIR:
        note = "Coarse bubbles and a noisy boil; more diffusers use the same air better."
    what = "standard air through each diffuser"
    yield _limit(
        "air_per_diffuser",
        unit.name,
        what,
        each,
        "air_flow",
        verdict,
        PRACTICE,
        note,
        least=LEAST_AIR,
        most=MOST_AIR,
    )
    what = "standard air of the whole unit"
    yield _limit("air_of_unit", unit.name, what, unit.normal.air_flow, "air_flow", "reported", COMPUTED)
    what = "the same as free air at the inlet"
    note = "Free cfm is measured at the inlet of the source, scfm at 68 degF and 14.7 psi; do not mix them."
    yield _limit("free_air", unit.name, what, unit.free_air, "free_air", "reported", COMPUTED, note)


def _source(unit: AirUnit) -> Iterator[Limit]:
    """Kind of source by depth, and whether water is over the diffusers at low pool."""
    depth, what = (
        unit.normal.depth,
        f"water over the diffusers, for a {unit.source or 'source of no stated kind'}",
    )
    if unit.source == "blower":
        verdict = _verdict(depth, None, BLOWER_TO)
        note = "" if verdict == "pass" else "From 8 to 10 ft down a piston or vane compressor is usual."
        yield _limit(
            "depth_for_blower", unit.name, what, depth, "length", verdict, PRACTICE, note, most=BLOWER_TO
        )
    elif unit.source == "compressor":
        reported = depth < COMPRESSOR_FROM
        note = "At this depth a blower also works and gives more air for the money." if reported else ""
        verdict = "reported" if reported else "pass"
        yield _limit(
            "depth_for_compressor",
            unit.name,
            what,
            depth,
            "length",
            verdict,
            PRACTICE,
            note,
            least=COMPRESSOR_FROM,
        )
    else:
        note = "Shallow: a blower. From 8 to 10 ft down: a piston or vane compressor."
        yield _limit("depth_for_source", unit.name, what, depth, "length", "reported", PRACTICE, note)
    if unit.low.depth <= 0.0:
        what, note = "water over the diffusers at low pool", "The diffusers lie dry at low pool."
        yield _limit(
            "diffusers_dry", unit.name, what, unit.low.depth, "length", "fail", COMPUTED, note, least=0.0
        )


def _pressures(unit: AirUnit) -> Iterator[Limit]:
    """Pressure at the source at three levels of the pond, against the most its curve has."""
    for words, point in (("normal pool", unit.normal), ("low pool", unit.low), ("bank top", unit.high)):
        what, most, verdict, note = f"pressure at the source at {words}", None, "reported", ""
        if unit.curve is not None:
            most = float(unit.curve.pressure[-1])
            verdict, note = _held(point, most)
            if verdict == "fail" and words == "bank top":
                verdict = "warn"  # hours of a storm
            if unit.curve.generic:
                note = f"{note} The curve is a guess round the rated point; ask for the maker's.".strip()
        yield _limit(
            "source_pressure", unit.name, what, point.pressure, "pressure", verdict, COMPUTED, note, most=most
        )


def _held(point: AirPoint, most: float) -> tuple[str, str]:
    if point.air_flow <= 0.0:
        return "fail", "More than the pressure of the source: no air."
    if point.pressure >= most * (1.0 - 1e-9):
        return "warn", "The source runs at its highest pressure and blows part of its air off."
    return "pass", ""


def _line(unit: AirUnit) -> Iterator[Limit]:
    """Losses and velocities at normal pool."""
    point = unit.normal
    if math.isnan(point.tubing_velocity):
        what = "pressure lost in tubing and diffuser, as stated"
        note = "Write tubing_diameter and tubing_length, and it is computed."
        yield _limit(
            "loss_as_stated", unit.name, what, point.diffuser, "pressure", "reported", PRACTICE, note
        )
        return
    what, lost = "pressure lost in tubing and main line", point.tubing + point.main_line
    most = LOST_SHARE * point.water
    verdict = _verdict(lost, None, most)
    note = (
        "" if verdict == "pass" else "More than half of the water pressure: use larger tubing or more lines."
    )
    yield _limit("loss_in_line", unit.name, what, lost, "pressure", verdict, JUDGEMENT, note, most=most)
    what = "pressure lost in the diffuser"
    yield _limit("loss_in_diffuser", unit.name, what, point.diffuser, "pressure", "reported", PRACTICE)
    for words, velocity in (("tubing", point.tubing_velocity), ("main line", point.main_velocity)):
        if math.isnan(velocity):
            continue
        verdict, note, what = _verdict(velocity, None, FASTEST), "", f"velocity at the end of the {words}"
        if mach_number(velocity, TUBING_AIR) >= CHOKED:
            verdict, note = "fail", "No line carries air this fast; this cannot be built."
        source = "metcalf2003, from memory"
        yield _limit("line_velocity", unit.name, what, velocity, "speed", verdict, source, note, most=FASTEST)


def _yield(unit: AirUnit) -> Iterator[Limit]:
    clean = "Into oxygen-free clean water at 20 degC; expect half or less in the pond."
    yield _limit(
        "transfer_in_clean_water",
        unit.name,
        "SOTR",
        unit.transfer,
        "mass_rate",
        "reported",
        "asce2006",
        clean,
    )
    yield _limit("air_power", unit.name, "electric power", unit.normal.power, "power", "reported", COMPUTED)
    what = "oxygen per electricity at those conditions"
    yield _limit(
        "transfer_per_energy",
        unit.name,
        what,
        unit.per_energy,
        "mass_per_energy",
        "reported",
        "asce2006",
        clean,
    )


def _plumes(unit: AirUnit) -> Iterator[Limit]:
    """Whether the plume reaches the surface of a pond that is layered as in July."""
    source = "wuest1992, simplified, from memory; layering assumed"
    for stop in unit.plumes:
        cooler = f"{display(stop.difference, 'temperature_difference')} ({stop.difference:g} degC)"
        what = f"end of the plume below the surface, bottom {cooler} cooler"
        verdict, note = "pass", "It reaches the surface; what it carries sinks back until the pond is mixed."
        if stop.below > 0.0:
            verdict = "warn"
            note = "It stops below the surface and does not mix the top while the pond is so layered."
        yield _limit("plume_end", unit.name, what, stop.below, "length", verdict, source, note, most=0.0)


def _altitude(scenario: Scenario) -> Iterator[Limit]:
    """A curve in standard air taken at sea level promises too much high up."""
    if scenario.place.elevation <= HIGH_GROUND:
        return
    note = (
        "A data sheet in scfm measured at sea level overstates the air here, since a machine moves volume; "
        "if so, write its numbers as free air (source_free_flow, rated_free_flow)."
    )
    for unit in scenario.aeration:
        if unit.source_flow is not None or unit.rated_flow is not None:
            what, height = "elevation of the place", scenario.place.elevation
            yield _limit(
                "sea_level_curve",
                unit.name,
                what,
                height,
                "length",
                "warn",
                JUDGEMENT,
                note,
                most=HIGH_GROUND,
            )


def _rule(sheet: AirSheet) -> Iterator[Limit]:
    """All the air against the areal rule for mixing a lake."""
    what, air, least = (
        "most air of all units at one time, by the areal rule for mixing a lake",
        sheet.air_flow,
        sheet.air_by_rule,
    )
    verdict, note = _verdict(air, least, None), ""
    if sheet.deepest < RULE_DEPTH:
        verdict, note = "reported", "The rule is for lakes deeper than about 10 ft; here it says little."
    yield _limit(
        "air_by_areal_rule",
        "aeration",
        what,
        air,
        "air_flow",
        verdict,
        "lorenzen1977, from memory",
        note,
        least=least,
    )
