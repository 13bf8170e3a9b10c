"""The hydraulic profile: pond, grate, pipe, well, pump and lip, heights to scale, lengths not."""

from __future__ import annotations

from textwrap import fill
from typing import TYPE_CHECKING

from pondsim.figures import style
from pondsim.units import display, display_unit, from_si

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from pondsim.design.cut import LineCut
    from pondsim.design.line_values import LineSheet

WATER = style.DESIGNS[0]
STEEL = style.INK
GROUND = "#d9d2c4"
WATER_DASH = {"low pool": (0, (2, 1.5)), "normal pool": "solid", "bank top": (0, (6, 2))}
# Places across the page: heights are true, these are not.
POND, SHORE, INTAKE, WELL, WELL_END, RISE, LIP, FALL, END = 0.0, 2.4, 1.9, 5.1, 6.2, 5.65, 9.4, 10.0, 12.0
DIGITS = 5  # of an elevation
NARROW = 20  # letters, between shore and well
LABEL_SHARE = 0.052  # of the height drawn, between labels


class Heights:
    """Elevations in the unit shown."""

    def __init__(self, system: str) -> None:
        self.system, self.unit = system, display_unit("length", system)

    def __call__(self, metres: float) -> float:
        """SI to the unit shown."""
        return float(from_si(metres, self.unit))

    def words(self, name: str, metres: float) -> str:
        """A name with its elevation."""
        return f"{name} {display(metres, 'length', self.system, digits=DIGITS)}"


def draw_profile(axes: Axes, sheet: LineSheet, cut: LineCut, title: str, system: str) -> None:
    """Draw the loop cut lengthwise into `axes`.

    Parameters
    ----------
    axes : matplotlib.axes.Axes
        Alone, or the upper of two.
    sheet, cut : LineSheet, LineCut
        Of one scenario.
    title : str
        The finding.
    system : {"us", "si"}
        Units.
    """
    at = Heights(system)
    low, high = _reach(sheet, cut)
    span = at(high) - at(low)
    axes.set_xlim(POND - 2.6, END + 1.4)
    axes.set_ylim(at(low) - 0.10 * span, at(high) + 0.06 * span)
    _ground(axes, sheet, cut, at)
    _pond(axes, sheet, cut, at)
    _gravity_line(axes, sheet, cut, at, span)
    if cut.well_bottom is not None:
        _well(axes, sheet, cut, at, span)
    _pump_and_discharge(axes, sheet, cut, at, span)
    _waterfall(axes, sheet, cut, at, span)
    style.dress(axes, title, f"elevation [{at.unit}]")
    axes.set_xticks([])
    axes.spines["bottom"].set_visible(False)
    axes.grid(visible=False)
    axes.text(
        0.5, 0.0, "Heights to scale, lengths not; the run of the discharge is drawn where there is room.",
        transform=axes.transAxes, ha="center", va="bottom", fontsize=style.SIZE - 1.5, color=style.INK,
    )  # fmt: skip


def _reach(sheet: LineSheet, cut: LineCut) -> tuple[float, float]:
    bottoms = [cut.bed, cut.pool_bed, cut.intake, cut.well_bottom, cut.suction, cut.pump_off]
    tops = [sheet.high.pond_level, sheet.normal.lip_level]
    return min(level for level in bottoms if level is not None), max(tops)


def _label(
    axes: Axes, x: float, y: float, words: str, *, side: str = "left", colour: str = style.INK
) -> None:
    axes.text(x, y, words, ha=side, va="center", fontsize=style.SIZE - 1.5, color=colour, zorder=8)


def _column(
    axes: Axes, x: float, tip: float, wanted: list[tuple[float, str, str]], gap: float, side: str = "left"
) -> None:
    """Labels one above the other at `x`, each with a thin line to its height at `tip`."""
    places = style.spread([height for height, _, _ in wanted], gap)
    for place, (height, words, colour) in zip(places, wanted, strict=True):
        _label(axes, x, place, words, side=side, colour=colour)
        back = -0.06 if side == "left" else 0.06
        axes.plot([tip, x + back], [height, place], color=colour, linewidth=0.5, zorder=7)


def _ground(axes: Axes, sheet: LineSheet, cut: LineCut, at: Heights) -> None:
    """Bed, shore and the ground the pipes lie in."""
    floor = axes.get_ylim()[0]
    bank = at(sheet.high.pond_level)
    bed, pool_bed = at(cut.bed), at(cut.pool_bed)
    left = [(POND, floor), (POND, bed), (SHORE, bed), (SHORE + 0.5, bank), (LIP, bank), (LIP, floor)]
    axes.fill(*zip(*left, strict=True), color=GROUND, linewidth=0, zorder=0)
    right = [(LIP, floor), (LIP, pool_bed), (END, pool_bed), (END, floor)]
    axes.fill(*zip(*right, strict=True), color=GROUND, linewidth=0, zorder=0)


def _pond(axes: Axes, sheet: LineSheet, cut: LineCut, at: Heights) -> None:
    """Water lines of the pond at both ends of the loop, and the bed."""
    pools = sheet.pools if cut.low_stated else sheet.pools[1:]
    normal, bed, bank = (at(z) for z in (sheet.normal.pond_level, cut.bed, sheet.high.pond_level))
    wanted = [(bed, at.words("bed", cut.bed), style.INK)]
    for pool in pools:
        level = at(pool.pond_level)
        toe = SHORE + 0.5 * (level - bed) / (bank - bed) if bank > bed else SHORE
        for ends in ([POND, toe], [LIP + 0.15, END]):
            axes.plot(ends, [level, level], color=WATER, linestyle=WATER_DASH[pool.name], linewidth=1.2)
        if pool is sheet.normal:
            water = [(POND, bed), (SHORE, bed), (toe, level), (POND, level)]
            axes.fill(*zip(*water, strict=True), color=WATER, alpha=0.10, linewidth=0)
        wanted.append((level, at.words(pool.name, pool.pond_level), WATER))
    axes.fill_between([LIP, END], at(cut.pool_bed), normal, color=WATER, alpha=0.10, linewidth=0)
    gap = LABEL_SHARE * (axes.get_ylim()[1] - axes.get_ylim()[0])
    _column(axes, POND - 0.25, POND, sorted(wanted), gap, side="right")


def _gravity_line(axes: Axes, sheet: LineSheet, cut: LineCut, at: Heights, span: float) -> None:
    """Grate, opening and the pipe to the well or the pump."""
    centre, bore = cut.intake, cut.opening or 0.0
    if cut.grate:
        axes.plot(
            [INTAKE - 0.15] * 2, [at(cut.bed), at(cut.intake + 0.5 * bore) + 0.08 * span], color=STEEL,
            linewidth=2.0, linestyle=(0, (0.6, 0.6)), zorder=6,
        )  # fmt: skip
        _label(axes, INTAKE - 0.3, at(cut.intake + 0.5 * bore) + 0.03 * span, "grate", side="right")
    inlet = centre - 0.5 * bore
    outlet = inlet if cut.outlet is None else cut.outlet
    end = WELL if cut.well_bottom is not None else RISE
    thick = cut.gravity_bore or bore
    if cut.gravity_length is None and cut.well_bottom is None:
        axes.plot([INTAKE, RISE], [at(centre), at(centre)], color=STEEL, linewidth=1.4, zorder=5)
    else:
        axes.fill(
            [INTAKE, end, end, INTAKE], [at(z) for z in (inlet, outlet, outlet + thick, inlet + thick)],
            facecolor="white", edgecolor=STEEL, linewidth=1.0, zorder=5,
        )  # fmt: skip
    below = at(min(inlet, outlet)) - 0.035 * span
    _label(axes, INTAKE, below, at.words("invert" if bore else "intake", inlet if bore else centre))
    if cut.outlet is not None:
        _label(axes, end - 0.05, below - 0.045 * span, at.words("invert", cut.outlet), side="right")
    words = _pipe_words(sheet.gravity_pipe, sheet.bores[1], cut.gravity_length, at.system)
    if words:
        middle, over = 0.5 * (SHORE + 0.4 + WELL), at(max(inlet, outlet) + thick) + 0.055 * span
        _label(axes, middle, over, fill(words, NARROW), side="center")


def _pipe_words(name: str, bore: float | None, length: float | None, system: str) -> str:
    """Size and length of a pipe; the standard's name is on the sheet, not in the picture."""
    if length is None or bore is None:
        return ""
    size = name.split(",", maxsplit=1)[0] if name else f"{display(bore, 'short_length', system)} inside"
    return f"{size}, {display(length, 'length', system)}"


def _well(axes: Axes, sheet: LineSheet, cut: LineCut, at: Heights, span: float) -> None:
    """Walls, water with the pump running, floats."""
    assert cut.well_bottom is not None
    bottom, top = at(cut.well_bottom), at(sheet.high.pond_level) + 0.02 * span
    axes.fill_between([WELL, WELL_END], bottom, top, color="white", linewidth=0, zorder=3)
    axes.plot(
        [WELL, WELL, WELL_END, WELL_END], [top, bottom, bottom, top], color=STEEL, linewidth=2.0, zorder=6
    )
    wanted = [(bottom, at.words("floor", cut.well_bottom), style.INK)]
    if sheet.normal.well_level is not None and not sheet.normal.stops:
        level = at(sheet.normal.well_level)
        axes.fill_between([WELL, WELL_END], bottom, level, color=WATER, alpha=0.10, linewidth=0, zorder=4)
    for pool in sheet.pools if cut.low_stated else sheet.pools[1:]:
        if pool.well_level is None or pool.stops:
            continue
        level = at(pool.well_level)
        axes.plot(
            [WELL, WELL_END],
            [level, level],
            color=WATER,
            linestyle=WATER_DASH[pool.name],
            linewidth=1.2,
            zorder=5,
        )
        name = f"runs at {pool.name.removesuffix(' pool')}"
        wanted.append((level, at.words(name, pool.well_level), WATER))
    for name, elevation, face in (("pump-off", cut.pump_off, style.LIMIT), ("alarm", cut.alarm, "white")):
        if elevation is not None:
            x, y = WELL_END - 0.2, at(elevation)
            axes.plot(
                [x],
                [y],
                marker="o",
                markersize=6,
                markerfacecolor=face,
                markeredgecolor=style.LIMIT,
                zorder=7,
            )
            wanted.append((y, at.words(name, elevation), style.LIMIT))
    _column(axes, WELL_END + 0.35, WELL_END, sorted(wanted), LABEL_SHARE * 1.16 * span)


def _pump_and_discharge(axes: Axes, sheet: LineSheet, cut: LineCut, at: Heights, span: float) -> None:
    if cut.suction is not None:
        suction = at(cut.suction)
    elif cut.well_bottom is not None:
        suction = at(cut.well_bottom) + 0.07 * span
    else:
        suction = at(cut.intake)
    run = at(sheet.high.pond_level) + 0.035 * span
    crest = at(sheet.normal.lip_level if cut.crest is None else cut.crest)
    axes.plot(
        [RISE, RISE, LIP - 0.3, LIP - 0.3, LIP], [suction, run, run, crest, crest],
        color=STEEL, linewidth=2.6, solid_joinstyle="round", zorder=6.5,
    )  # fmt: skip
    axes.plot([RISE], [suction], marker="o", markersize=13, color="white", markeredgecolor=STEEL, zorder=7)
    axes.plot([RISE], [suction], marker="^", markersize=6, color=STEEL, zorder=7.1)
    words = _pipe_words(sheet.discharge_pipe, sheet.bores[2], cut.discharge_length, at.system)
    label = "pump" if cut.well_bottom is None else ""
    if label:
        _label(axes, RISE + 0.3, suction, label)
    if words:
        _label(axes, LIP - 0.45, run + 0.03 * span, words, side="right")


def _waterfall(axes: Axes, sheet: LineSheet, cut: LineCut, at: Heights, span: float) -> None:
    """Lip, free falls and the pool below."""
    water, pool = at(sheet.normal.lip_level), at(sheet.normal.pond_level)
    crest = at(sheet.normal.lip_level if cut.crest is None else cut.crest)
    foot, wall = at(cut.pool_bed), [LIP - 0.12, LIP + 0.15]
    axes.fill_between(wall, foot, crest, color=STEEL, linewidth=0, zorder=6)
    step = (water - pool) / cut.steps
    x, y = LIP + 0.15, water
    width = 0.55 / cut.steps
    for count in range(cut.steps):
        axes.plot(
            [x, x + 0.5 * width, x + 0.5 * width], [y, y, y - step], color=WATER, linewidth=2.2, zorder=7
        )
        x, y = x + 0.5 * width, y - step
        if count + 1 < cut.steps:
            axes.plot([x, x + 0.5 * width], [y, y], color=STEEL, linewidth=1.6, zorder=6.8)
            x += 0.5 * width
    name = "water at the lip" if cut.crest is None else "lip"
    wanted = [(crest, at.words(name, sheet.normal.lip_level if cut.crest is None else cut.crest), style.INK)]
    _column(axes, FALL + 0.35, LIP + 0.15, wanted, 0.05 * span)
    falls = f"{cut.steps} free falls" if cut.steps > 1 else "a free fall"
    drop = display(sheet.normal.lip_level - sheet.normal.pond_level, "length", at.system)
    axes.text(
        FALL + 0.45, 0.5 * (water + pool), f"{drop} in\n{falls}", ha="left", va="center", color=WATER,
        fontsize=style.SIZE - 1.5, bbox={"facecolor": "white", "edgecolor": "none", "pad": 1.0}, zorder=8,
    )  # fmt: skip
    _column(axes, END + 0.1, END, [(at(cut.pool_bed), at.words("bed", cut.pool_bed), style.INK)], 0.05 * span)
