"""Close-ups of the largest storm and the hottest week, and whether a design does harm at the outlet."""

from __future__ import annotations

import numpy as np

from pondsim.comparison.harm import storm_harm
from pondsim.comparison.storms import storm_digits, storm_value, storm_words
from pondsim.figures.depth_lines import depth_lines
from pondsim.figures.water import level_and_outflow
from pondsim.measures import FINE, event_measures, peak_words, step_hours
from pondsim.measures.windows import WEEK
from pondsim.reporting.blocks import Block, Both, Cell, Group, Part, Picture, Row, Table, alike, note, said
from pondsim.reporting.harm import harm_table, season_lines, sentences
from pondsim.reporting.pictures import missing, picture
from pondsim.reporting.study import Study, Window, around, moment_words
from pondsim.reporting.tables import measure_table, with_unit
from pondsim.units import number_text

STORM_NEEDS = ("inflow", "outflow", "rain_intensity", "solids_in_rate", "solids_out_rate")


def events_part(study: Study) -> Part:
    """The largest storm and the hottest week of the run, side by side."""
    return Part(
        "events",
        f"The largest {study.storm_word} and the {_span_word(study)}",
        (*_storm(study), *_week(study)),
    )


def _span_word(study: Study) -> str:
    """What the close-up is of: a run of no more than a week has no hottest one."""
    return "hottest week" if study.comparison.days > WEEK else "whole run"


def _storm(study: Study) -> list[Block]:
    if study.storm is None:
        return [note("No storm or snowmelt brings water in this run, or the results do not show it.")]
    begin, end = study.storm
    words = said(
        f"The {study.storm_word} that brings most water begins at {moment_words(begin)}; its inflow lasts "
        f"until {moment_words(end)}. Shown with the day before and the days after."
    )
    return [words, _levels(study, around(study, study.storm))]


def _levels(study: Study, shown: Window) -> Picture:
    return picture(
        "storm-level",
        lambda system: level_and_outflow(study.datasets, start=shown[0], end=shown[1], system=system),
        f"Water surface elevation and outflow around the {study.storm_word}.",
        study.titles,
        key=True,
        pointer=True,
    )


def _oxygen(study: Study, shown: Window, zone: str) -> Picture:
    return picture(
        "week-oxygen",
        lambda system: depth_lines(study.of_zone(zone), zone, start=shown[0], end=shown[1], system=system),
        f"Oxygen in {zone}{_why(study)}, in the {_span_word(study)}.",
        study.titles,
        alike_units=True,
        pointer=True,
    )


def _why(study: Study) -> str:
    """Why a zone is the one shown; "" where there is no other."""
    return ", the zone with the lowest dawn oxygen" if len(study.comparison.zones) > 1 else ""


def _week(study: Study) -> list[Block]:
    lacking = missing(study.datasets, "air_temperature")
    if lacking or study.week is None:
        return [lacking or note("The run is too short to have a hottest week.")]
    begin, end = study.week
    end = min(end, study.datasets[0]["time"].values[-1])
    zone = study.zones_by_need[0]
    heads = {"hottest week": "Hottest week, by mean air temperature", "whole run": "Whole run"}
    return [
        _oxygen(study, (begin, end), zone),
        note(f"{heads[_span_word(study)]}: {moment_words(begin)} to {moment_words(end)}."),
    ]


def harm_part(study: Study) -> Part:
    """What the pond owes downstream, in the storm and over the run."""
    blocks: list[Block] = []
    table = measure_table(
        study.comparison,
        "outlet",
        "Outlet and level over the whole run",
        lambda row: row.section == "Outlet and level",
    )
    if table is not None:
        blocks.append(table)
    blocks += season_lines(study)
    blocks += _storm_harm(study)
    return Part("harm", "Does it harm what the pond is there for", tuple(blocks))


def _storm_harm(study: Study) -> list[Block]:
    lacking = missing(study.datasets, *STORM_NEEDS)
    if lacking:
        return [lacking]
    if study.storm is None:
        return [
            note("No storm or snowmelt brings water in this run, so peaks and drawdown cannot be compared.")
        ]
    begin, end = (str(np.datetime_as_string(moment, unit="s")) for moment in study.storm)
    word = study.storm_word
    if study.storm[1] >= study.datasets[0]["time"].values[-1]:
        return [
            note(f"The largest {word} lasts until the run ends, so peaks and drawdown cannot be compared.")
        ]
    found = [
        event_measures(dataset.assign_attrs(event_start=begin, event_end=end)) for dataset in study.datasets
    ]
    step = step_hours(study.datasets[0]["time"].values)
    lines = [(), *(storm_harm(one, found[0], peak_words(step)) for one in found[1:])]
    blocks: list[Block] = [_storm_table(study, found, peak_words(step))]
    table = harm_table(
        "storm_lines", f"In that {word}: each line with its own tolerance", lines, study.titles
    )
    blocks += [table, *sentences(lines, study.titles)] if table else []
    blocks.append(
        note(
            "Out: until the run ends. Drawdown: from the highest level until a tenth of the rise is left. "
            "Water out is what the outlet draws, weighted by the flow; lowest oxygen in the top meter of any "
            f"zone, over up to 5 days before and after the {word} begins."
        )
    )
    if step > FINE:
        blocks.append(
            note(
                f"Results are kept every {step:g} h, which flattens peaks: pondsim storm DESIGN --existing "
                "EXISTING computes the same measures every few minutes."
            )
        )
    return blocks


def _storm_table(study: Study, found: list[dict[str, float]], peak: str) -> Table:
    """Measures of the storm, a column for each design; what is worse than today is marked."""
    marks = [{line.key for line in storm_harm(one, found[0]) if line.worse} for one in found]
    rows = []
    for key in found[0]:
        shown = storm_words(key, peak)
        if shown is None:
            continue
        units = [storm_value(found[0], key, system)[1] for system in ("us", "si")]
        cells = tuple(
            Cell(
                Both(*(number_text(storm_value(one, key, s)[0], storm_digits(key)) for s in ("us", "si"))),
                "!" if key in marks[design] else "",
                order=None if np.isnan(one.get(key, np.nan)) else one[key],
                key=f"storm.{key}#{design}",
            )
            for design, one in enumerate(found)
        )
        rows.append(Row(with_unit(shown[0], *units), cells))
    caption = alike(f"The largest {study.storm_word} at the outlet; ! worse than the existing pond")
    return Table("storm", caption, ("measure", *study.titles), (Group(alike(""), tuple(rows)),))
