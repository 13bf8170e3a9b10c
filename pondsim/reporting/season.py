"""The pond in plan and through the season: ages by zone, dawns, lines by depth, time-depth pictures."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pondsim.comparison.names import quoted
from pondsim.figures.dawn import dawn_by_zone
from pondsim.figures.depth_lines import depth_lines
from pondsim.figures.plan import plan_map
from pondsim.figures.time_depth import time_depth
from pondsim.reporting.blocks import Block, Part, Picture, note, said
from pondsim.reporting.pictures import missing, picture
from pondsim.reporting.smell import smell_blocks
from pondsim.reporting.study import Study, fact

if TYPE_CHECKING:
    import xarray as xr

SHOWN = 2  # zones whose lines are drawn
OXYGEN, WARMTH = "dissolved_oxygen", "water_temperature"


def plan_part(study: Study) -> Part:
    """Maps of the designs: zones with their ages and what stands where."""
    lacking = missing(study.datasets, "zone_x", "zone_y")
    if lacking:
        return Part("plan", "The zones in plan", (lacking,))
    shown = [k for k, dataset in enumerate(study.datasets) if _has_equipment(dataset)] or [0]
    maps = [_map(study, design) for design in shown]
    same = [study.titles[k] for k in range(len(study.datasets)) if k not in shown]
    blocks: list[Block] = [
        said(
            "Circles have the area of the zones and lie near their centers. Days since the waterfall: age of "
            "the water of a zone since it was there; the note under each map says how it was taken."
        ),
        *maps,
    ]
    if same and shown != [0]:
        blocks.append(note(f"Without equipment, so with no map of its own: {quoted(same)}."))
    return Part("plan", "The zones in plan", tuple(blocks))


def _has_equipment(dataset: xr.Dataset) -> bool:
    return bool(dataset.attrs.get("pump_flow_m3_per_s", 0.0)) or bool(dataset.sizes.get("unit", 0))


def _map(study: Study, design: int) -> Picture:
    dataset = study.datasets[design]
    if fact(dataset, "layout") is None:  # of an older version, or unreadable
        dataset = dataset.assign_attrs(layout="{}")
    return picture(
        f"plan-{design}",
        lambda system: plan_map(dataset, system=system),
        f'With "{study.titles[design]}": zones, passages, equipment, inflow and outlet.',
        study.titles,
    )


def dawn_part(study: Study) -> Part:
    """Dawns of every zone through the season."""
    drawn = picture(
        "dawn",
        lambda system: dawn_by_zone(study.datasets, system=system),
        "Oxygen at dawn by zone: the lowest of each day in the top meter, from two hours before sunrise to "
        "three after. Fish die in one night, so look at single dawns, not at means.",
        study.titles,
        alike_units=True,
        pointer=True,
    )
    return Part("dawn", "Oxygen at dawn, day by day", (drawn,))


def depth_part(study: Study) -> Part:
    """Top, mid and bottom lines of the zones in need, then the deepest zone by time and depth."""
    first, deepest = study.zones_by_need[:SHOWN], study.deepest_zone()
    blocks: list[Block] = [
        said(
            f"The {'two zones' if len(first) > 1 else 'zone'} with the lowest dawn oxygen. "
            "`pondsim plot ... lines --zone NAME` draws any other zone."
        ),
        *(_lines(study, zone, OXYGEN) for zone in first),
        _lines(study, deepest, WARMTH),
        _field(study, deepest),
    ]
    blocks += smell_blocks(study)
    return Part("depths", "Oxygen and temperature by depth", tuple(blocks))


def _lines(study: Study, zone: str, variable: str) -> Picture:
    oxygen = variable == OXYGEN
    return picture(
        f"{'oxygen' if oxygen else 'warmth'}-{study.comparison.zones.index(zone)}",
        lambda system: depth_lines(study.of_zone(zone), zone, variable, system=system),
        f"{'Oxygen' if oxygen else 'Temperature'} in {zone} at the top, mid and bottom.",
        study.titles,
        alike_units=oxygen,
        pointer=True,
    )


def _field(study: Study, zone: str) -> Picture:
    return picture(
        "time-depth",
        lambda system: time_depth(study.of_zone(zone), zone, OXYGEN, system=system),
        f"Oxygen in {zone}, the deepest zone, by time and elevation, one scale for all designs.",
        study.titles,
    )
