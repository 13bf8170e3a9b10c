"""What `pondsim soundings` prints: a table of zones, remarks, and keys for a scenario."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pondsim.cli._common import wrapped
from pondsim.units import display, display_unit, from_si, number_text

if TYPE_CHECKING:
    from collections.abc import Iterable

    from pondsim.site.soundings import SoundedPond, ZoneBed
    from pondsim.site.trench_line import LineBed

BARE = 0.01  # share of a zone without soundings that is worth a word
COARSE = 0.02  # share by which the table's volume may differ from that of the soundings


def pond_text(pond: SoundedPond, system: str) -> str:
    """Areas, depths, muck and shelf of each zone and of the pond, with remarks."""
    kinds = ("area", "volume", "length", "length", "deposit", "area")
    heads = ("area", "volume", "deepest", "mean", "muck", "shelf")
    units = [display_unit(kind, system) for kind in kinds]
    rows = [(zone.outline.name, _row(zone)) for zone in pond.zones]
    if len(rows) > 1:
        area, volume = (sum(row[k] or 0.0 for _, row in rows) for k in (0, 1))
        muck = [row[4] for _, row in rows if row[4] is not None]
        whole = (area, volume, max(row[2] or 0.0 for _, row in rows), volume / area)
        shelf = sum(row[5] or 0.0 for _, row in rows)
        rows.append(("whole pond", (*whole, sum(muck) if muck else None, shelf)))
    wide = max(10, *(len(name) for name, _ in rows)) + 2
    levels = pond.levels
    lines = [
        f"At normal pool, {display(levels.pool, 'length', system, 5)}; shelf: shallower than "
        f"{display(levels.shelf, 'length', system)}",
        " " * wide + "".join(head.rjust(11) for head in heads),
        " " * wide + "".join(f"[{unit}]".rjust(11) for unit in units),
    ]
    for name, values in rows:
        cells = (
            "-" if value is None else number_text(from_si(value, unit))
            for value, unit in zip(values, units, strict=True)
        )
        lines.append(f"  {name}".ljust(wide) + "".join(cell.rjust(11) for cell in cells))
    return "\n".join([*lines, *_remarks(pond, system)])


def _row(zone: ZoneBed) -> tuple[float | None, ...]:
    mean = zone.volume / zone.water_area if zone.water_area else 0.0
    return (zone.water_area, zone.volume, zone.deepest, mean, zone.muck, zone.shelf)


def _remarks(pond: SoundedPond, system: str) -> list[str]:
    found = []
    for zone in pond.zones:
        name, whole = zone.outline.name, zone.outline.area
        if zone.uncovered > BARE * whole:
            found.append(
                f"{name}: {100.0 * zone.uncovered / whole:.0f} % of its outline lies outside the soundings "
                "and is left out; add points at the water's edge, or depth 0 to its corners."
            )
        off = zone.table_volume / zone.volume - 1.0 if zone.volume else 0.0
        if abs(off) > COARSE:
            found.append(
                f"{name}: by straight lines between its stages it holds {100.0 * off:+z.1f} % against the "
                "soundings; take a smaller --step."
            )
    if pond.levels.pool > pond.levels.water:
        found.append("Above the water level of that day the bank slope replaces soundings.")
    if pond.thickness is None:
        found.append("No hard bottom was read, so muck is not known; read the pole twice.")
    return [wrapped(f"Remark: {text}") for text in found]


def keys_text(pond: SoundedPond, line: LineBed | None, system: str) -> str:
    """Keys of zones, passages and trench as TOML."""
    unit, area_unit = ("ft", "ft2") if system == "us" else ("m", "m2")
    digits = 2 if system == "us" else 3

    def listed(values: Iterable[float], unit: str, digits: int) -> str:
        return "[" + ", ".join(f'"{float(from_si(v, unit)):.{digits}f} {unit}"' for v in values) + "]"

    lines = ["# from soundings; stage and area bottom first, the last row is the bank by its slope"]
    for zone in pond.zones:
        lines += [
            "",
            "[[zone]]",
            f'name = "{zone.outline.name}"',
            f"centre = {listed(zone.outline.centre, unit, 1)}",
            f"stage = {listed(zone.stage, unit, digits)}",
            f"area = {listed(zone.area, area_unit, 0)}",
        ]
    for passage in pond.passages:
        lines += [
            "",
            "[[connection]]",
            f'between = ["{passage.between[0]}", "{passage.between[1]}"]',
            f'width = "{float(from_si(passage.width, unit)):.1f} {unit}"',
            f'sill = "{float(from_si(passage.sill, unit)):.{digits}f} {unit}"',
        ]
    if line is not None:
        lines += ["", "# for the design; its first bed counts as intake.bed", "[trench]"]
        lines.append(f"station = {listed(line.station, unit, 1)}")
        lines.append(f"bed = {listed(line.bed, unit, digits)}")
        if line.hard is not None:
            lines.append(f"hard = {listed(line.hard, unit, digits)}")
        lines += ["", "[layout]", f"gravity_east = {listed(line.corner_x, unit, 1)}"]
        lines.append(f"gravity_north = {listed(line.corner_y, unit, 1)}")
    return "\n".join(lines) + "\n"
