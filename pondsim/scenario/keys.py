"""What is known of one key of a scenario file, kept in the metadata of its dataclass field."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from typing import Any

REQUIRED: Any = type("Required", (), {"__repr__": lambda self: "REQUIRED"})()


@dataclass(frozen=True)
class Key:
    """One key: its kind, unit, range, default and meaning.

    Attributes
    ----------
    kind : text, texts, name, choice, flag, integer, quantity, numbers, months, point, instant, instants,
        hours, season, file, fittings, sources, section or sections
    unit : SI unit of the value, "delta_K" for a temperature difference, "1" for a plain number
    least, most : range as the trade would write it, or plain numbers; None where there is none
    default : what stands for an absent key, written as in a file; REQUIRED where it must be given
    doc : what it is, in a few words
    choices : the words a choice may be
    count : of a list of names: how many; None for any number; 1 for a single name
    section : dataclass of a section or of a list of sections; `least` is the shortest list
    lone : of a list of sections: whether one may stand as a plain section
    single : of twelve months: whether one value may stand for all
    parameter : key in defaults.toml, or ""
    was : its name in the version before, which is still read; or ""
    note : what a value of another kind is told beside its unit, or ""
    digit_first : of a name: whether it may begin with a digit
    was_shown : whether the schema and the reference page name the old one
    """

    kind: str
    doc: str = ""
    unit: str = ""
    least: str | float | None = None
    most: str | float | None = None
    default: Any = REQUIRED
    choices: tuple[str, ...] = ()
    count: int | None = 1
    section: type | None = None
    lone: bool = False
    single: bool = False
    parameter: str = ""
    was: str = ""
    was_shown: bool = True
    digit_first: bool = False
    note: str = ""

    @property
    def required(self) -> bool:
        """Whether the key must be given."""
        return self.default is REQUIRED


def keys_of(section: type) -> dict[str, Key]:
    """Every key a section may hold, in the order of its class."""
    return {
        field.name: field.metadata["key"] for field in dataclasses.fields(section) if "key" in field.metadata
    }


def is_named(section: type) -> bool:
    """Whether entries of a list of this section are told apart by their `name`."""
    found = keys_of(section).get("name")
    return found is not None and found.kind == "name"
