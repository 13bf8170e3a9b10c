"""How many of which fitting, as people write it."""

from __future__ import annotations

import re
from typing import Any

from pondsim.scenario.fittings_table import fitting_table
from pondsim.scenario.unreadable import UnreadableError, likely, shown

COUNTED = re.compile(r"(\d{1,3}) ?x? (\S.*)")
ANY_COUNT = re.compile(r"([+-]?\d*\.?\d+) ?x? (\S.*)")
QUARTER_TURN = re.compile(r"90( ?degrees?| ?deg|°)? (elbow|bend|ell)s?")


def read_fitting(raw: Any, place: int) -> tuple[int, str]:
    """How many of which; a name may begin with a number of its own, as "45 degree elbow" does."""
    if not isinstance(raw, str) or not raw.strip():
        raise UnreadableError(
            f'item {place}: {shown(raw)} is not a fitting; write how many of which, as "2 standard elbow".'
        )
    known, text = list(fitting_table()), " ".join(raw.split())
    match = COUNTED.fullmatch(text)
    for count, name in ((1, text), (int(match[1]), match[2])) if match else ((1, text),):
        for spelt in (name, name.removesuffix("s")):
            if spelt in known and count:
                return count, spelt
    any_count = ANY_COUNT.fullmatch(text)
    if any_count and any_count[2].removesuffix("s") in {*known, *(one.removesuffix("s") for one in known)}:
        raise UnreadableError(
            f'item {place}: "{raw}" counts {any_count[1]}; write a whole number from 1 to 999, as in '
            f'"2 {any_count[2]}".'
        )
    name = match[2] if match else text
    if QUARTER_TURN.fullmatch(name) or QUARTER_TURN.fullmatch(text):
        raise UnreadableError(
            f'item {place}: "{raw}" does not say which of the 90 degree elbows, whose losses differ; write '
            '"standard elbow", "long radius elbow" or "sweep elbow".'
        )
    hint = likely(name, known) or f"; known here: {', '.join(known)}."
    raise UnreadableError(f'item {place}: "{raw}" names an unknown fitting{hint}')
