"""The picture of a study: mean oxygen at dawn, or the measure that is promised, by zone and design."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from pondsim.cli._promise_text import chance_text
from pondsim.cli._promise_words import decimals, shown
from pondsim.comparison.names import section_words
from pondsim.ensemble.answer import Answer, DesignAnswer
from pondsim.ensemble.paired import Chance, Paired
from pondsim.ensemble.promise import deciding

if TYPE_CHECKING:
    import xarray as xr

LARGE = 100.0  # in the unit shown, from which a headline tells no tenths
MOST = 0.5  # share of members that are worse, above which a headline says so


def draw(study: xr.Dataset, answer: Answer, path: Path, system: str) -> None:
    """Draw the ranked measure of the first design, for all designs and places that have it."""
    from pondsim.figures.members import MemberRow, members_figure  # noqa: PLC0415
    from pondsim.figures.style import write_figure  # noqa: PLC0415

    stem = answer.designs[0].key.partition(".")[0]
    found = [
        (one, row)
        for one in answer.designs
        for row in one.rows
        if row.measure.key.partition(".")[0] == stem and row.compared
    ]
    places = list(dict.fromkeys(row.measure.label for _, row in found))
    found.sort(key=lambda pair: (places.index(pair[1].measure.label), pair[0].design))
    rows = []
    for one, row in found:
        measure = row.measure
        low, middle, high = (
            shown(measure, v, system, apart=True) for v in (row.low, row.difference, row.high)
        )
        apart = deciding(study, one.design, measure.key)[1]
        scale = shown(measure, 1.0, system, apart=True)
        letter = chr(65 + one.design)
        rows.append(
            MemberRow(
                f"{measure.label} {letter}",
                one.design,
                apart * scale,
                low,
                middle,
                high,
                chance_text(row.better),
            )
        )
    _, first = found[0]
    unit = first.measure.shown_in(system)
    titles = [answer.existing, *(one.title for one in answer.designs)]
    band = abs(shown(first.measure, first.measure.band(first.existing, first.value), system, apart=True))
    finding = _headline(found, answer, system)
    write_figure(members_figure(rows, titles, finding, first.measure.section, unit, band), path)


def _headline(found: list[tuple[DesignAnswer, Paired]], answer: Answer, system: str) -> str:
    """What is changed, where and by how much: where most members are better, and where most are worse."""
    one, row = max(found, key=lambda pair: _share(pair[1].better))
    members = f"{answer.members} {'member' if answer.members == 1 else 'members'}"
    text = (
        f'"{one.title}" changes {section_words(row.measure.section)}{_where(row)}, by '
        f"{_range(row, system)} {row.measure.shown_in(system)} (5 to 95 % of {members}){_why(found)}"
    )
    bad, worst = max(found, key=lambda pair: _share(pair[1].worse))
    if worst is row or _share(worst.worse) <= MOST:
        return text
    whose = "" if bad is one else f' with "{bad.title}"'
    return f"{text}; most are worse{_where(worst).replace(',', '')}{whose}, {_range(worst, system)}"


def _range(row: Paired, system: str) -> str:
    """5 to 95 % of a difference, in the unit shown."""
    ends = [shown(row.measure, value, system, apart=True) for value in (row.low, row.high)]
    places = decimals(row, system)
    if max(map(abs, ends)) < LARGE:
        places = max(places, 1)
    return " to ".join(f"{end:+z.{places}f}" for end in ends)


def _where(row: Paired) -> str:
    return f", in {row.measure.label}" if "." in row.measure.key else ""


def _share(chance: Chance | None) -> float:
    """Share of members; 0 where it is not known."""
    return chance.share if chance else 0.0


def _why(found: list[tuple[DesignAnswer, Paired]]) -> str:
    """How the row of the headline was picked among several."""
    if len(found) == 1:
        return ""
    if not any(_share(row.better) for _, row in found):
        return ": the first row, since no member is better beyond a tie in any"
    several = {
        "design": len({one.design for one, _ in found}) > 1,
        "place": len({row.measure.label for _, row in found}) > 1,
    }
    what = " and ".join(name for name, many in several.items() if many)
    return f": the {what} in which most members are better beyond a tie"
