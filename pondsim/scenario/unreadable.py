"""What a message says of a value that cannot be used."""

from __future__ import annotations

import difflib
from collections.abc import Sequence
from typing import Any

from pondsim.words import counted

LONGEST_SHOWN = 200  # letters of a text of the user's in a message


class UnreadableError(ValueError):
    """The value cannot be used; the message continues a sentence that begins with the key."""


def cut(text: str) -> str:
    """A text that fits into a message."""
    return text if len(text) <= LONGEST_SHOWN else f"{text[:LONGEST_SHOWN]}..."


def shown(raw: Any) -> str:
    """A value as it looks in a file, cut short."""
    if isinstance(raw, bool):
        return str(raw).lower()
    if isinstance(raw, str):
        return f'"{cut(raw)}"'
    if isinstance(raw, dict):
        return "{...}"
    if isinstance(raw, list):
        return "[" + ", ".join(shown(item) for item in raw[:3]) + (", ...]" if len(raw) > 3 else "]")
    return str(raw)


def likely(word: str, known: list[str]) -> str:
    """``; did you mean "depth"?`` or nothing."""
    by_case = {name.lower(): name for name in known}
    near = difflib.get_close_matches(word.lower(), by_case, 1, 0.6)
    return f'; did you mean "{by_case[near[0]]}"?' if near else ""


def unequal(values: Sequence[Any], others: Sequence[Any], thing: str) -> str:
    """That a list does not go with another one: "has 1 value for 3 times"."""
    return f"has {counted(len(values), 'value')} for {counted(len(others), thing)}"
