"""Storms as text and data: one design beside another, storm by storm, and what is worse line by line."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from pondsim.cli._common import check_weather, progress, say_when_compiling, wrapped
from pondsim.comparison.cells import letter
from pondsim.comparison.harm import HarmLine, harm_sentence, storm_harm
from pondsim.comparison.names import quoted
from pondsim.comparison.remarks import remarks_of
from pondsim.comparison.storms import storm_digits, storm_value, storm_words
from pondsim.errors import ScenarioError
from pondsim.measures import event_measures, event_word
from pondsim.records import plain
from pondsim.units import display_unit, from_si, number_text, to_si

if TYPE_CHECKING:
    import xarray as xr

    from pondsim.comparison.remarks import Remark
    from pondsim.scenario.read import Reading
    from pondsim.scenario.settings import Scenario

WIDTH, LABEL, COLUMN = 80, 44, 12
LEGEND = (
    "Water in, rain and runoff: while the inflow lasts. Out: until the run ends, a week later at "
    "most. Detention: from the center of the inflow to that of as much outflow. Drawdown: from the highest "
    "level until a tenth of the rise over normal pool is left. Water out: what the outlet draws, weighted by "
    "the flow. Lowest oxygen: top 3.3 ft (1 m) of any zone, over up to 5 days before and after it "
    "begins. Rain on the pond itself is counted apart from inflow and runoff. - : not within the run."
)


@dataclass(frozen=True)
class StormTable:
    """One storm for every design.

    Attributes
    ----------
    name : of the storm, or "" for the largest of the period
    word : "storm", or "snowmelt" where that brings the water
    begin, end : first rain and end of its runoff, as text
    pool : stated water surface elevation at its first rain [m]; NaN where each design has its own
    titles : of the designs, the existing pond first where there is one
    measures : of each, as `event_measures` gives them
    compared : whether the first is the existing pond
    remarks : of each, what its run says of itself, as plain data with a text
    """

    name: str
    begin: str
    end: str
    pool: float
    titles: tuple[str, ...]
    measures: tuple[dict[str, float], ...]
    compared: bool
    word: str = "storm"
    remarks: tuple[tuple[dict[str, Any], ...], ...] = ()

    def harm(self, design: int) -> tuple[HarmLine, ...]:
        """Lines by which a design is held against the existing pond; none where there is none."""
        if not self.compared or design == 0:
            return ()
        return storm_harm(self.measures[design], self.measures[0])


def storm_table(results: Sequence[xr.Dataset], *, compared: bool) -> StormTable:
    """One storm from the results of each design."""
    first = results[0].attrs
    begin, end = (str(first[f"event_{key}"])[:16].replace("T", " ") for key in ("start", "end"))
    return StormTable(
        str(first.get("storm_name", "")),
        begin,
        end,
        float(first.get("storm_pool_m", np.nan)),
        tuple(str(one.attrs["title"]) for one in results),
        tuple(event_measures(one) for one in results),
        compared,
        event_word(results[0]),
        tuple(tuple(plain(said.record) | {"text": said.text} for said in remarks_of(one)) for one in results),
    )


def joined_tables(by_design: Sequence[StormTable]) -> StormTable:
    """One storm of several designs from the table of each."""
    titles = tuple(one.titles[0] for one in by_design)
    measures = tuple(one.measures[0] for one in by_design)
    remarks = tuple(one.remarks[0] for one in by_design)
    return replace(by_design[0], titles=titles, measures=measures, remarks=remarks)


def storm_notes(tables: Sequence[StormTable], known: Sequence[Sequence[Remark]]) -> list[str]:
    """What runs of storms say of themselves, each sentence once, with the storms and the designs it is of.

    What is `known` of a design from its season is not said again.
    """
    said: dict[str, dict[str, dict[str, None]]] = {}
    for table in tables:
        for title, remarks, season in zip(table.titles, table.remarks, known, strict=True):
            heard = {one.text for one in season}
            for text in (one["text"] for one in remarks if one["text"] not in heard):
                said.setdefault(text, {}).setdefault(table.name, {})[title] = None
    found = []
    for text, of in said.items():
        storms = "storm" if len(of) == 1 else "storms"
        designs = dict.fromkeys(title for titles in of.values() for title in titles)
        whose = "" if len(designs) == len(tables[0].titles) else f", {quoted(designs)}"
        found.append(f"{storms} {', '.join(of)}{whose}: {text}")
    return found


def pool_of(text: str, scenario: Scenario) -> float:
    """A stated pool from an option: "normal", or an elevation with its unit. [m]"""
    if text == "normal":
        return scenario.pond.normal_pool
    try:
        level = to_si(text, "m")
    except ScenarioError as error:
        raise ScenarioError(f"--pool {text}: {error}") from None
    from pondsim.site.dredged import zones_at  # noqa: PLC0415

    bottom = min(zone.stage[0] for zone in zones_at(scenario, 0.0))
    if not bottom < level <= scenario.pond.bank_top:
        raise ScenarioError(
            f"--pool {text}: is not between the deepest bed, {bottom:.2f} m, and the bank top, "
            f"{scenario.pond.bank_top:.2f} m"
        )
    return level


def run_named(readings: Sequence[Reading], names: Sequence[str], pool: str) -> list[list[xr.Dataset]]:
    """Results by storm, then by design, of storms chosen by name, all from one stated pool."""
    from pondsim.ensemble.runner import run_tasks  # noqa: PLC0415
    from pondsim.storm import run_storms  # noqa: PLC0415

    for reading in readings:
        check_storms(reading, names)
        check_weather(reading.scenario)
    level = pool_of(pool, readings[0].scenario)
    say_when_compiling()

    def run_one(reading: Reading) -> list[xr.Dataset]:
        return run_storms(reading.scenario, names, reading.text, level)

    with progress("Simulating ") as report:
        by_design = run_tasks(run_one, list(readings), report=report)
    return [list(one) for one in zip(*by_design, strict=True)]


def check_storms(reading: Reading, names: Sequence[str]) -> None:
    """Refuse storms that are not there or can bring no water; the message names the file of the pond."""
    from pondsim.storm import storm_named  # noqa: PLC0415

    for name in names:
        try:
            storm_named(reading.scenario, name)
        except ScenarioError as error:
            raise ScenarioError(f"{reading.where['pond.normal_pool'][0]}: {error}") from None


def names_of(text: str, readings: Sequence[Reading]) -> list[str]:
    """Names of storms from an option: "2yr,10yr", or "all"."""
    if text.strip() == "all":
        found = [storm.name for storm in readings[0].scenario.storm]
        if not found:
            file = readings[0].where["pond.normal_pool"][0]
            raise ScenarioError(f"{file}: --storms all: there are none; write [[storm]] (docs/rain.md)")
        return found
    names = list(dict.fromkeys(name.strip() for name in text.split(",") if name.strip()))
    if not names:
        raise ScenarioError(f'--storms "{text}": names no storm; write names such as "2yr,10yr", or "all"')
    return names


def storm_text(one: StormTable, system: str) -> str:
    """Head, table and harm of one storm."""
    unit = display_unit("length", system)
    word = one.word.capitalize()
    name = f'{word} "{one.name}", ' if one.name else f"{word} of "
    head = f"{name}{one.begin}; inflow until {one.end}"
    if np.isfinite(one.pool):
        level = f"{number_text(float(from_si(one.pool, unit)), 5)} {unit}"
        head += f"; every design starts it with the water at {level}"
    parts = [wrapped(head)]
    parts.append("\n".join(f"  {letter(k)}  {title}" for k, title in enumerate(one.titles)))
    parts += [_table(one, block, system) for block in _blocks(len(one.titles), compared=one.compared)]
    for design in range(1, len(one.titles)):
        lines = one.harm(design)
        if lines:
            parts.append(wrapped(f"{letter(design)}: {harm_sentence(lines, system)}"))
    if one.compared and len(one.titles) > 1:
        parts.append(wrapped(f"Tolerances: {tolerances_text(one.harm(1), system)}. ! worse by more."))
    return "\n\n".join(parts)


def tolerances_text(lines: Sequence[HarmLine], system: str) -> str:
    """The tolerance of every line, in its own unit."""
    return "; ".join(f"{line.judged.words} {line.tolerance_text(system)}" for line in lines)


def _blocks(count: int, *, compared: bool) -> list[tuple[int, ...]]:
    """Designs shown together, so that no line passes the width; an existing pond opens every block."""
    most = (WIDTH - LABEL) // COLUMN
    if count <= most:
        return [tuple(range(count))]
    first = (0,) if compared else ()
    rest = list(range(len(first), count))
    size = most - len(first)
    return [(*first, *rest[at : at + size]) for at in range(0, len(rest), size)]


def _table(one: StormTable, designs: tuple[int, ...], system: str) -> str:
    """Rows of measures, a column for each design, what is worse marked."""
    worse = {design: {line.key for line in one.harm(design) if line.worse} for design in designs}
    lines = [" " * LABEL + "".join(letter(design).rjust(COLUMN) for design in designs)]
    for key in dict.fromkeys(key for found in one.measures for key in found):
        words = storm_words(key)
        if words is None:
            continue
        shown = [storm_value(one.measures[design], key, system) for design in designs]
        cells = "".join(
            f"{number_text(value, storm_digits(key))}{'!' if key in worse[design] else ' '}".rjust(COLUMN)
            for design, (value, _) in zip(designs, shown, strict=True)
        )
        label = f"  {words[0]} [{shown[0][1]}]"
        lines.append((label.ljust(LABEL) if len(label) < LABEL else f"{label}\n{' ' * LABEL}") + cells)
    return "\n".join(line.rstrip() for line in lines)


def storms_data(tables: Sequence[StormTable], system: str) -> dict[str, Any]:
    """Storms as plain data, as `pondsim report --storms` reads them; null where there is no number."""
    return {
        "units": system,
        "storms": [
            {
                "name": one.name,
                "word": one.word,
                "begin": one.begin,
                "end": one.end,
                "pool_m": None if np.isnan(one.pool) else one.pool,
                "compared": one.compared,
                "designs": list(one.titles),
                "measures": [
                    {key: None if np.isnan(value) else value for key, value in found.items()}
                    for found in one.measures
                ],
                "remarks": [list(own) for own in one.remarks],
                "worse": [
                    [line.key for line in one.harm(design) if line.worse] for design in range(len(one.titles))
                ],
            }
            for one in tables
        ],
    }
