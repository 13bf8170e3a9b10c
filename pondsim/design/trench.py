"""The trench of the gravity line: depth, volumes, cover, and how the intake silts up."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from pondsim.design.limits import Limit
from pondsim.design.verdict import judged, source_of
from pondsim.physics.earthwork import (
    bedding_section,
    end_area_volume,
    prismoidal_volume,
    trench_section,
)
from pondsim.physics.trench_silting import pit_fill, pit_fill_time, slope_safety
from pondsim.scenario.defaults import default_parameter
from pondsim.scenario.settings import Scenario, Trench
from pondsim.site.pipe_run import bore, outside
from pondsim.site.pond import FloatArray

YEAR = 365.25 * 86400.0  # s
SILT_ANGLE = math.radians(28.0)  # angle of repose of silt under water, 26 to 30 degrees; from memory
DRAWN_DOWN = 0.45  # weight of soil under water over soaked soil
DEEPER = (0.0, 0.3048, 0.6096)  # m, sumps looked at beside the one drawn: 0, 1 and 2 ft deeper
PART = "trench"


@dataclass(frozen=True, eq=False)
class TrenchSheet:
    """The trench, station by station from the intake to the well; SI.

    Attributes
    ----------
    station, bed, hard : along the line; top of muck or ground; hard bottom [m]
    invert, top : of the pipe: inside bottom, outside top [m]
    floor : drawn floor of the trench [m]
    depth : from bed to floor, 0 where the pipe stands free [m]
    cover : water over the pipe's top at low pool where it lies in the pond; NaN on shore [m]
    muck, firm, dry : volume in place, muck and firm soil under water, and on shore [m3]
    prismoidal : the whole by the prismoidal rule [m3]
    flatter : more to dig if the muck lies as flat as its range allows [m3]
    overdig : beside the pay line [m3]
    bedding : stone [m3]
    pipe : volume of the pipe in the trench [m3]
    spoil : loose, as it is carried [m3]
    shore : station at which the line leaves the water at normal pool; inf where it does not [m]
    deepest_dry : deepest cut on shore [m]
    under_intake : from the bed to the bottom of the opening; below 0 it is buried [m]
    drawn_down : factor of safety of the muck's slope when the water is drawn down fast [1]
    """

    station: FloatArray
    bed: FloatArray
    hard: FloatArray
    invert: FloatArray
    top: FloatArray
    floor: FloatArray
    depth: FloatArray
    cover: FloatArray
    muck: float
    firm: float
    dry: float
    prismoidal: float
    flatter: float
    overdig: float
    bedding: float
    pipe: float
    spoil: float
    shore: float
    deepest_dry: float
    under_intake: float
    drawn_down: float

    @property
    def volume(self) -> float:
        """In place, drawn lines. [m3]"""
        return self.muck + self.firm + self.dry

    @property
    def backfill(self) -> float:
        """What goes back: the trench less bedding and pipe. [m3]"""
        return max(self.volume - self.bedding - self.pipe, 0.0)


def trench_sheet(scenario: Scenario) -> TrenchSheet | None:
    """The trench of a scenario; None where it has no profile. Raises: nothing."""
    trench, line, intake = scenario.trench, scenario.gravity_line, scenario.intake
    if trench is None or not trench.station or line is None or intake is None:
        return None
    inside = bore(line) or 0.0
    over = outside(line) or inside
    wall = 0.5 * (over - inside)
    station, bed = np.array(trench.station), np.array(trench.bed)
    hard = np.array(trench.hard) if trench.hard else bed.copy()
    start = intake.elevation - intake.riser - 0.5 * inside
    end = start if line.outlet is None else line.outlet
    invert = start + (end - start) * station / station[-1]
    floor = invert - wall - trench.bedding
    pool = scenario.pond.normal_pool
    low = pool if scenario.pond.low_pool is None else scenario.pond.low_pool
    fine, (beds, hards, floors) = _fine(station, bed, hard, floor)
    sections = _sections(beds, hards, floors, trench, pool)
    cut = sections.sum(axis=0) > 0.0
    long = float(np.trapezoid(cut.astype(float), fine))
    volumes = [end_area_volume(fine, row) for row in sections]
    steep = _sections(beds, hards, floors, trench, pool, default_parameter("trench.muck_slope").high)
    flatter = max(end_area_volume(fine, steep[0]) - volumes[0], 0.0)
    in_place = sum(volumes)
    dry = bed > pool
    opening = bore(intake) or inside
    return TrenchSheet(
        station=station,
        bed=bed,
        hard=hard,
        invert=invert,
        top=invert + inside + wall,
        floor=floor,
        depth=np.maximum(bed - floor, 0.0),
        cover=np.where(dry, np.nan, low - invert - inside - wall),
        muck=volumes[0],
        firm=volumes[1],
        dry=volumes[2],
        prismoidal=_prismoidal(station, bed, hard, floor, trench, pool),
        flatter=flatter,
        overdig=trench.overdig * trench.bottom_width * long,
        bedding=bedding_section(trench.bottom_width, over, trench.bedding, trench.bedding_over) * long,
        pipe=0.25 * math.pi * over**2 * long,
        spoil=in_place * (1.0 + trench.swell),
        shore=_shore(station, bed, pool),
        deepest_dry=float(np.max(np.where(dry, bed - floor, 0.0), initial=0.0)),
        under_intake=intake.elevation - 0.5 * opening - float(bed[0]),
        drawn_down=float(slope_safety(SILT_ANGLE, trench.muck_slope, DRAWN_DOWN)),
    )


def _fine(station: FloatArray, *rows: FloatArray) -> tuple[FloatArray, list[FloatArray]]:
    """The profile at ten places between stations, so that ends of the cut are met within a tenth."""
    places = np.arange(station.size, dtype=float)
    finer = np.interp(np.linspace(0.0, station.size - 1.0, 10 * (station.size - 1) + 1), places, station)
    return finer, [np.interp(finer, station, row) for row in rows]


def _sections(
    bed: FloatArray,
    hard: FloatArray,
    floor: FloatArray,
    trench: Trench,
    pool: float,
    muck_slope: float | None = None,
) -> FloatArray:
    """Cross-sections in muck and firm soil under water and of the dry cut. (3, n) [m2]"""
    depth = np.maximum(bed - floor, 0.0)
    firm = np.clip(hard - floor, 0.0, depth)
    muck, slope = depth - firm, trench.muck_slope if muck_slope is None else muck_slope
    width = trench.bottom_width
    in_firm = np.asarray(trench_section(width, firm, 0.0, trench.firm_slope, slope))
    both = np.asarray(trench_section(width, firm, muck, trench.firm_slope, slope))
    on_shore = np.asarray(trench_section(width, depth, 0.0, trench.dry_slope, slope))
    dry = bed > pool
    return np.array(
        [
            np.where(dry, 0.0, both - in_firm),
            np.where(dry, 0.0, in_firm),
            np.where(dry, on_shore, 0.0),
        ]
    )


def _prismoidal(
    station: FloatArray, bed: FloatArray, hard: FloatArray, floor: FloatArray, trench: Trench, pool: float
) -> float:
    middle = [0.5 * (row[1:] + row[:-1]) for row in (bed, hard, floor)]
    ends = _sections(bed, hard, floor, trench, pool).sum(axis=0)
    between = _sections(middle[0], middle[1], middle[2], trench, pool).sum(axis=0)
    return prismoidal_volume(station, ends, between)


def _shore(station: FloatArray, bed: FloatArray, pool: float) -> float:
    dry = np.flatnonzero(bed >= pool)
    if not dry.size:
        return math.inf
    if dry[0] == 0:
        return 0.0
    low, high = dry[0] - 1, dry[0]
    share = (pool - bed[low]) / (bed[high] - bed[low])
    return float(station[low] + share * (station[high] - station[low]))


@dataclass(frozen=True)
class Silting:
    """How the intake silts with a sump so much deeper than drawn.

    Attributes
    ----------
    deeper : than drawn [m]
    room : from the floor under the opening up to its bottom [m]
    low : years until less than the least clearance is left [yr]
    buried : years until the bed reaches the opening [yr]
    after_a_year : rise within a year of a cleaning [m]
    yearly : silt to take out each year [m3]
    kept : whether a cleaning every year keeps the least clearance
    """

    deeper: float
    room: float
    low: float
    buried: float
    after_a_year: float
    yearly: float
    kept: bool


def silting(scenario: Scenario, growth: float | None = None) -> tuple[Silting, ...]:
    """Years in which the intake loses its clearance and is buried, as drawn and with a deeper sump.

    Parameters
    ----------
    scenario : Scenario
        With `[trench]`.
    growth : float, optional
        Rise of the bed at the intake; else `trench.growth`. [m/s]

    Returns
    -------
    tuple of Silting
        Empty where no rate or no profile is known. An order of magnitude: a factor of three either way.
    """
    trench, sheet = scenario.trench, trench_sheet(scenario)
    rate = growth if growth is not None or trench is None else trench.growth
    if trench is None or sheet is None or rate is None:
        return ()
    pipe_pit = max(float(sheet.bed[0] - sheet.floor[0]), 0.0) if sheet.under_intake < 0.0 else 0.0
    found = []
    for deeper in DEEPER:
        depth = pipe_pit + trench.sump_depth + deeper
        room = sheet.under_intake + depth
        pit = (depth, rate, trench.trapping, trench.creep, trench.bottom_width)
        low = pit_fill_time(room - trench.min_clearance, *pit)
        after = float(pit_fill(YEAR, *pit))
        found.append(
            Silting(
                deeper,
                room,
                low / YEAR,
                pit_fill_time(room, *pit) / YEAR,
                after,
                after * trench.bottom_width * trench.sump_length,
                room - after >= trench.min_clearance,
            )
        )
    return tuple(found)


def trench_limits(scenario: Scenario) -> list[Limit]:
    """What the trench is held against: bed under the intake, cover along the line, walls on shore."""
    trench, sheet, intake = scenario.trench, trench_sheet(scenario), scenario.intake
    if trench is None or sheet is None or intake is None:
        return []
    found = [
        judged(
            "sounded_clearance",
            PART,
            "bed to the bottom of the intake's opening, as sounded",
            sheet.under_intake + trench.sump_depth,
            "length",
            least=trench.min_clearance,
            source=source_of(scenario, "trench.min_clearance"),
            note="Below 0 it draws mud; a sump or a higher opening gives room.",
        ),
    ]
    wet = sheet.cover[~np.isnan(sheet.cover)]
    if wet.size > 1 and wet.min() < sheet.cover[0]:
        found.append(
            judged(
                "cover_on_the_way",
                PART,
                "least water over the pipe on its way, low pool",
                float(wet.min()),
                "length",
                least=intake.min_cover,
                source=source_of(scenario, "intake.min_cover"),
                note="Lower the pipe; the trench gets deeper by as much.",
            )
        )
    found.append(
        judged("deepest_cut", PART, "deepest cut on shore", sheet.deepest_dry, "length", source="osha1926")
    )
    return found
