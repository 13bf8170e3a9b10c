"""What readings taught of the unknowns, from the file of weights that `pondsim calibrate` writes."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from pondsim.errors import Problem, ScenarioError
from pondsim.reporting.blocks import Block, Cell, Group, Items, Part, Row, Table, alike, note, said
from pondsim.results.raw import read_raw

FORMAT = "pondsim weights 1"  # as pondsim.ensemble.weights_file writes it
HEADS = ("unknown", "agrees with these readings, 5 to 95 %", "range drawn")


def read_taught(path: Path) -> dict[str, Any]:
    """What a file of weights says in words; ScenarioError for another file, or one of an earlier version."""
    try:
        attributes = read_raw(path).attrs
    except (OSError, ValueError) as error:
        message = f"cannot be read as a file of weights ({error})"
        raise ScenarioError(Problem(path, None, "", message)) from None
    if attributes.get("format") != FORMAT or "said" not in attributes:
        message = "holds no weights of this version; write it with pondsim calibrate ... -o"
        raise ScenarioError(Problem(path, None, "", message))
    taught: dict[str, Any] = json.loads(str(attributes["said"]))
    return taught | {"title": str(attributes.get("title", ""))}


def taught_part(taught: dict[str, Any]) -> Part:
    """How members agree with the readings, how the held-out tail came out, what was learnt and what not."""
    blocks: list[Block] = [said(text) for text in taught["weights"]]
    blocks += [said(text, "", "Held out.") for text in taught["held_out"]]
    rows = tuple(
        Row(alike(name), (Cell(alike(agreed or "-")), Cell(alike(drawn or "-"))))
        for name, agreed, drawn in taught["learnt"]
    )
    if rows:
        caption = alike("Learnt from these readings: what the weighted members hold, and what was drawn")
        blocks.append(Table("learnt", caption, HEADS, (Group(alike(""), rows),)))
    else:
        blocks.append(said("Nothing that was drawn is learnt from these readings."))
    blocks += [said(text) for text in (*taught["not_learnt"], *taught["fits"])]
    if taught["warnings"]:
        blocks.append(Items(tuple(("Warning:", f" {text}") for text in taught["warnings"])))
    blocks.append(note(f'{taught["legend"]} Weighed were draws of "{taught["title"]}".'))
    return Part("taught", "What the readings say of the unknowns", tuple(blocks))
