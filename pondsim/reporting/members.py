"""What members say of designs, from the JSON that `pondsim promise` writes: a part of the page."""

from __future__ import annotations

from typing import Any

from pondsim.comparison.cells import NO_INTERVAL
from pondsim.comparison.names import quoted
from pondsim.errors import ScenarioError
from pondsim.reporting.blocks import Block, Cell, Fold, Group, Items, Part, Row, Table, alike, note, said
from pondsim.reporting.study import Study
from pondsim.reporting.tables import unit_words

Answer = dict[str, Any]
TITLE = "How sure it is, and what may be promised"
HEADS = ("measure", "existing", "design", "difference", "5 %", "95 %", "better", "tie", "meets")


def members_parts(study: Study) -> list[Part]:
    """Sentence, conditions, plan and what all of it rests on, for each design; none without members.

    Raises
    ------
    ScenarioError
        Members of a design that is not on the page.
    """
    found = _found(study)
    if not found:
        return []
    blocks: list[Block] = [
        said(
            f"{found['members']} of {found['asked']} members, {found['season']}; weather years: "
            f"{', '.join(found['weather_years'])}. Each member is one draw of what is not known, and all "
            "designs of a member share it."
        )
    ]
    for number, (title, one) in enumerate(found["designs"].items(), 1):
        if title not in study.titles:
            raise ScenarioError(
                f'members of "{title}": no results of that title; there are {", ".join(study.titles)}'
            )
        promised = one["promised"] is not None
        blocks.append(said(one["sentence"], "lead", "Promise."))
        if promised:
            blocks.append(Items(tuple(("It holds if", f" {text}") for text in one["conditions"])))
        if promised and one["plan"]:
            blocks.append(said(one["plan"], "", "To prove or refute it."))
        blocks += [said(text) for text in (*one["worse"], *one.get("beds", ()), *one["by_year"])]
        rests = tuple(said(text) for text in one["ranking"])
        table = _table(f"members_{number}", title, one)
        blocks.append(Fold(f"What this rests on: {title}", (*rests, table, _unknowns(number, found))))
    blocks += [note(found["not_known"]), note(found["safety"])]
    return [Part("promise", TITLE, tuple(blocks))]


def _found(study: Study) -> Answer:
    """What the file of members holds; nothing without one, or where it holds intervals alone."""
    found = study.promise.whole if study.promise else {}
    return found if "weather_years" in found else {}


def where_interval(study: Study) -> str:
    """Where the page shows intervals of its designs, and of which; that it shows none."""
    found = _found(study)
    if not found:
        return NO_INTERVAL
    known = [title for title in study.titles[1:] if title in found["designs"]]
    of = "" if len(known) == len(study.titles) - 1 else f" of {quoted(known)}"
    return f"with the interval{of} over {found['members']} members in the part \u201c{TITLE}\u201d"


def _table(name: str, title: str, one: Answer) -> Table:
    rows = [row for row in one["paired"] if row["main"]]
    groups = []
    for section in dict.fromkeys(row["measure"] for row in rows):
        part = [row for row in rows if row["measure"] == section]
        groups.append(Group(alike(section), tuple(_row(row) for row in part)))
    caption = alike(f"{title}: medians, paired difference, and percent of members with 95 % intervals")
    return Table(name, caption, HEADS, tuple(groups))


def _row(row: Answer) -> Row:
    numbers = [row[name] for name in ("existing", "design", "difference", "low", "high")]
    cells = [Cell(alike("-" if n is None else f"{n:.3g}"), order=n) for n in numbers]
    chances = [row[name] for name in ("better", "tie", "meets")]
    unit = unit_words(row["unit"])
    head = f"{row['place'] or row['measure']}{f', {unit}' if unit else ''}"
    return Row(alike(head), (*cells, *(_chance(one) for one in chances)))


def _chance(chance: list[float] | None) -> Cell:
    if chance is None:
        return Cell(alike("-"))
    share, low, high = (round(100.0 * part) for part in chance)
    return Cell(alike(f"{share} ({low} to {high})"), order=chance[0])


def _unknowns(number: int, found: Answer) -> Table:
    """Everything that was drawn; ranges in SI."""
    rows = tuple(
        Row(
            alike(one["name"]),
            (
                Cell(alike(one["about"]), number=False),
                Cell(alike(_range(one)), number=False),
                Cell(alike(one["shape"]), number=False),
                Cell(alike(one["source"]), number=False),
            ),
        )
        for one in found["unknowns"]
    )
    heads = ("unknown", "meaning", "drawn over, SI", "shape", "source")
    return Table(f"members_drawn_{number}", alike("What was drawn"), heads, (Group(alike(""), rows),))


def _range(one: Answer) -> str:
    if one["options"]:
        return ", ".join(one["options"])
    return f"{one['low']:.3g} to {one['high']:.3g} {unit_words(one['unit'])}".strip()
