"""What `pondsim trench` prints: profile, volumes, silting, well, elevations, cautions."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from pondsim.cli._common import wrapped
from pondsim.units import display, display_unit, from_si, number_text

if TYPE_CHECKING:
    from pondsim.design.trench import TrenchSheet
    from pondsim.scenario.settings import Scenario, Trench

FAR = 200.0  # years from which on "more" is said
WIDE = 46
PORTABLE = 50 * 3.785411784e-3 / 60.0  # m3/s, 50 gpm, a small portable pump


def trench_text(scenario: Scenario, growth: float | None, system: str) -> str:
    """The whole sheet as text of 80 columns."""
    from pondsim.comparison.remarks import sentence  # noqa: PLC0415
    from pondsim.design.elevations import schedule  # noqa: PLC0415
    from pondsim.design.plan_lengths import plan_lengths_apart  # noqa: PLC0415
    from pondsim.design.trench import trench_sheet  # noqa: PLC0415
    from pondsim.words import site_work_cautions  # noqa: PLC0415

    sheet = trench_sheet(scenario)
    parts = [scenario.title]
    if sheet is None:
        parts.append(
            wrapped(
                "No profile: write [trench] with station and bed, from a pole along the line or from "
                "`pondsim soundings POINTS.csv --line LINE.csv`."
            )
        )
    else:
        parts += [
            _profile(sheet, system),
            _volumes(scenario, sheet, system),
            _silting(scenario, growth, system),
        ]
    parts += [wrapped(f"Remark: {sentence(record, system)}") for record in plan_lengths_apart(scenario)]
    parts += _well(scenario, system)
    lines = ["Elevations" + " " * (WIDE - 10) + f"[{display_unit('length', system)}]  from normal pool"]
    pool = scenario.pond.normal_pool
    for mark in schedule(scenario):
        value = from_si(mark.elevation, display_unit("length", system))
        off = from_si(mark.elevation - pool, display_unit("length", system))
        lines.append(f"  {mark.part}, {mark.what}".ljust(WIDE) + f"{value:8.2f}{off:+12.2f}")
    parts.append("\n".join(lines))
    parts.append("\n".join(["Cautions", *(wrapped(text, indent="  ") for text in site_work_cautions())]))
    return "\n\n".join(parts)


def _profile(sheet: TrenchSheet, system: str) -> str:
    unit = display_unit("length", system)
    heads = ("station", "bed", "hard", "invert", "floor", "dug", "cover")
    rows = zip(
        *(sheet.station, sheet.bed, sheet.hard, sheet.invert, sheet.floor, sheet.depth, sheet.cover),
        strict=True,
    )
    lines = [
        f"Trench from the intake to the well [{unit}]; cover: water over the pipe at low pool",
        "".join(head.rjust(10) for head in heads),
    ]
    for row in rows:
        cells = ("-" if math.isnan(v) else f"{float(from_si(v, unit)):.2f}" for v in row)
        lines.append("".join(cell.rjust(10) for cell in cells))
    if sheet.shore < sheet.station[-1]:
        lines.append(f"  the line leaves the water at {display(sheet.shore, 'length', system)}")
    room = display(abs(sheet.under_intake), "length", system)
    lines.append(
        f"  the opening is {room} above the bed as sounded there"
        if sheet.under_intake > 0.0
        else f"  the opening is BURIED: its bottom lies {room} under the bed as sounded there"
    )
    return "\n".join(lines)


def _rows(head: str, rows: list[tuple[str, str]]) -> str:
    return "\n".join([head, *((f"  {name}".ljust(WIDE) + value).rstrip() for name, value in rows)])


def _volumes(scenario: Scenario, sheet: TrenchSheet, system: str) -> str:
    assert scenario.trench is not None

    def volume(value: float) -> str:
        return display(value, "deposit", system)

    return _rows(
        "Volumes",
        [
            ("in place, muck under water", volume(sheet.muck)),
            ("in place, firm soil under water", volume(sheet.firm)),
            ("in place, on shore", volume(sheet.dry)),
            ("together, by average end areas", volume(sheet.volume)),
            ("the same by the prismoidal rule", volume(sheet.prismoidal)),
            ("overdig, beside the pay line", volume(sheet.overdig)),
            ("more if the muck lies flatter than drawn", volume(sheet.flatter)),
            ("bedding stone", volume(sheet.bedding)),
            ("backfill: trench less bedding and pipe", volume(sheet.backfill)),
            (f"spoil, loose, {100.0 * scenario.trench.swell:.0f} % more", volume(sheet.spoil)),
            ("deepest cut on shore", display(sheet.deepest_dry, "length", system)),
            *_slope(scenario.trench, sheet.drawn_down),
        ],
    )


def _slope(trench: Trench, safety: float) -> list[tuple[str, str]]:
    """Safety of the muck's slope, and below 1 what that means and what to do."""
    rows = [("muck slope, safety if drawn down fast", number_text(safety, 2))]
    if safety < 1.0:
        stands = f"{math.ceil(10.0 * trench.muck_slope / safety) / 10.0:g}"
        rows.append((f"  below 1 it slides: lower the water slowly, or dig {stands} to 1 and flatter", ""))
    return rows


def _silting(scenario: Scenario, growth: float | None, system: str) -> str:
    from pondsim.design.trench import silting  # noqa: PLC0415

    found = silting(scenario, growth)
    if not found:
        return wrapped(
            "Silting: not known. State trench.growth, or give --growth or --results: how fast the bed rises "
            "at the intake."
        )
    assert scenario.trench is not None
    rate = growth if growth is not None else scenario.trench.growth
    assert rate is not None
    unit = "in/yr" if system == "us" else "mm/yr"
    rate_unit = "in" if system == "us" else "mm"
    yearly = number_text(float(from_si(rate * 365.25 * 86400.0, rate_unit)))
    lines = [
        f"Silting at the intake, bed rising {yearly} {unit}; years within a factor of three",
        "  sump".ljust(22) + "room under".rjust(14) + "clearance lost".rjust(16) + "buried".rjust(12)
        + "out yearly".rjust(14),
    ]  # fmt: skip
    for one in found:
        name = "as drawn" if one.deeper == 0.0 else f"{display(one.deeper, 'length', system)} deeper"
        taken = display(one.yearly, "deposit", system)
        cells = (
            display(one.room, "length", system).rjust(14),
            _years(one.low).rjust(16),
            _years(one.buried).rjust(12),
            f"{taken}{'' if one.kept else ' *'}".rjust(14),
        )
        lines.append(f"  {name}".ljust(22) + "".join(cells))
    if any(not one.kept for one in found):
        lines.append("  * yearly cleaning does not keep the minimum clearance")
    drawn = found[0]
    word = "is kept" if drawn.kept else "is not kept even"
    lines.append(f"  With a cleaning every year the clearance {word}, as drawn.")
    return "\n".join(lines)


def _years(value: float) -> str:
    if value > FAR:
        return f"over {FAR:.0f} yr"
    return "now" if value <= 0.0 else f"year {value:.1f}"


def _well(scenario: Scenario, system: str) -> list[str]:
    from pondsim.design.well import band_volume, draining, well_built  # noqa: PLC0415
    from pondsim.site.circulation_line import flow_at_normal_pool  # noqa: PLC0415

    well, built, flow = scenario.wet_well, well_built(scenario), flow_at_normal_pool(scenario)
    if well is None:
        return []
    rows = [("floor below normal pool", display(scenario.pond.normal_pool - well.bottom, "length", system))]
    if built is not None and well.structure is not None:
        mass = display(built.weight, "mass", system)
        lift = display(built.uplift, "mass", system)
        rows += [
            ("concrete and cover", mass),
            ("soil counted on the lip, under water", display(built.soil, "mass", system)),
            ("uplift, pumped dry, highest groundwater", lift),
            ("factor against floating", number_text(built.safety)),
            ("concrete to add for the required factor", display(built.missing, "deposit", system)),
        ]
    band = band_volume(well)
    if band is not None and flow:
        rows += _starts(band, flow, system)
    emptied = draining(scenario, flow or 0.0)
    if emptied is not None:
        rows.append(("to drain for cleaning, valve shut", display(emptied.volume, "tank", system)))
        if flow:
            rows.append(("  by its own pump to pump-off in", f"{emptied.own_pump / 60.0:.1f} min"))
        portable = emptied.rest / PORTABLE / 3600.0
        rows.append(("  the rest", display(emptied.rest, "tank", system)))
        rows.append(("  by a portable pump of 50 gpm in", f"{portable:.1f} h"))
    return [_rows("Wet well", rows)]


def _starts(band: float, flow: float, system: str) -> list[tuple[str, str]]:
    """Water between the floats and the starts it allows; over the motor's limit when that counts."""
    from pondsim.design.well import LEAST_CYCLE  # noqa: PLC0415
    from pondsim.physics.float_band import least_band_volume, most_starts  # noqa: PLC0415

    starts, most = 3600.0 * float(most_starts(band, flow)), 3600.0 / LEAST_CYCLE
    rows = [
        ("between the floats", display(band, "tank", system)),
        ("starts at the worst inflow", f"{starts:.0f} an hour"),
    ]
    if starts > most:
        least = display(float(least_band_volume(LEAST_CYCLE, flow)), "tank", system)
        rows += [
            (f"  more than {most:.0f} an hour wear a motor; {least} between the floats keep to that", ""),
            ("  counts where the line is blocked; one that keeps up does not cycle the pump", ""),
        ]
    return rows
