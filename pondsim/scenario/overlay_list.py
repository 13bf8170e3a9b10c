"""A list of things one can buy or choose, each with keys to lay over a design.

[[pump]]                      # any name; plain keys lie over the section of that name
name = "A 300"
price = 2400                  # in your money, optional
flow = "300 gpm"

[[pair]]
name = "terrace to cove"
intake.zone = "terrace"       # keys of other sections, dotted
waterfall.zone = "cove"
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from pondsim.errors import Problem, ScenarioError
from pondsim.scenario.keys import keys_of
from pondsim.scenario.settings import Scenario
from pondsim.scenario.tree import Entry, is_list_of_sections, is_section, load
from pondsim.scenario.vary import TAKEN_OUT, Change

OWN = ("name", "price", "note")
# What belongs to the pump of the design and not to another: an entry that names a pump states its own.
OTHER_PUMP = ("pump.flow", "pump.curve_flow", "pump.rated_flow")
OF_ITS_MACHINE = (
    "curve_efficiency",
    "curve_power",
    "shutoff_share",
    "efficiency",
    "motor_efficiency",
    "power",
    "npsh_required",
    "nameplate_power",
    "solids_passage",
)


@dataclass(frozen=True)
class Item:
    """One entry of a list.

    Attributes
    ----------
    name : as written
    price : in the user's money, or None
    changes : keys to lay over the design
    words : values for the words a size goes by (`air`, `flow`, `drop`, `hours`), as changes of that key
    """

    name: str
    price: float | None
    changes: tuple[Change, ...]
    words: tuple[Change, ...] = ()


def read_items(path: Path, words: tuple[str, ...] = ()) -> tuple[Item, ...]:
    """Entries of a list file, in its order; ScenarioError lists all faults of its form."""
    tree, _ = load(path)
    problems: list[Problem] = []
    items: list[Item] = []
    for kind, entry in tree.value.items():
        if not is_list_of_sections(entry):
            message = f"is not a list of entries; write [[{kind}]] above each."
            problems.append(Problem(path, entry.line, kind, message))
            continue
        for one in entry.value:
            problems += _faults(one, kind)
            items.append(_item(one, kind, words))
    names = [item.name for item in items]
    for name in sorted({name for name in names if names.count(name) > 1}):
        problems.append(Problem(path, None, name, f"stands {names.count(name)} times; name each once."))
    if problems:
        raise ScenarioError(problems)
    if not items:
        raise ScenarioError(Problem(path, None, "", "the list is empty."))
    return tuple(items)


def _faults(entry: Entry, kind: str) -> Iterator[Problem]:
    name, price = entry.value.get("name"), entry.value.get("price")
    if name is None or not isinstance(name.value, str) or not name.value.strip():
        yield Problem(entry.file, entry.line, f"{kind}.name", 'is missing; write such as name = "A 300".')
    plain = price is not None and isinstance(price.value, int | float) and not isinstance(price.value, bool)
    if price is not None and (not plain or price.value < 0):
        yield Problem(
            price.file, price.line, f"{kind}.price", "is not a price; write a plain number, such as 2400."
        )
    if set(entry.value) <= set(OWN):
        yield Problem(entry.file, entry.line, kind, "changes nothing: write the keys to lay over the design.")


def _item(entry: Entry, kind: str, words: tuple[str, ...]) -> Item:
    changes: list[Change] = []
    own: list[Change] = []
    section = keys_of(Scenario).get(kind)
    declared = keys_of(section.section) if section and section.section else {}
    for name, found in entry.value.items():
        if name in OWN:
            continue
        if name in words and name not in declared:
            own.append(Change(name, found.value, found.file, found.line))
        elif is_section(found) and name not in declared:
            changes += _flat(name, found)
        else:
            changes += _flat(f"{kind}.{name}", found)
    changes += list(_set_aside(changes, entry))
    label, price = entry.value.get("name"), entry.value.get("price")
    cost = price.value if price is not None and isinstance(price.value, int | float) else None
    return Item(
        str(label.value) if label else "", None if cost is None else float(cost), tuple(changes), tuple(own)
    )


def _set_aside(changes: list[Change], entry: Entry) -> Iterator[Change]:
    """What the design says of the machine of its own, where an entry is another; or of another place."""
    stated = {change.key for change in changes}
    dropped = [f"pump.{name}" for name in OF_ITS_MACHINE] if stated & set(OTHER_PUMP) else []
    dropped += ["intake.bed"] if "intake.zone" in stated else []
    for key in dropped:
        if key not in stated:
            yield Change(key, TAKEN_OUT, entry.file, entry.line)


def _flat(key: str, entry: Entry) -> Iterator[Change]:
    """Changes of single keys under a section."""
    if is_section(entry):
        for name, below in entry.value.items():
            yield from _flat(f"{key}.{name}", below)
    else:
        yield Change(key, entry.value, entry.file, entry.line)
