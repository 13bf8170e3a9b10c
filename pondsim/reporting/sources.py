"""What the package declares about itself, read for the report: sources, methods, limits."""

from __future__ import annotations

import re
import tomllib
import unicodedata
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

ENTRY = re.compile(r"^@(\w+)\{([\w.-]+),\n(.*?)^\}", re.MULTILINE | re.DOTALL)
FIELD = re.compile(r"^\s*(\w+) = \{(.*?)\},?$", re.MULTILINE)
ACCENT = re.compile(r"\{\\([\"'`^~])([A-Za-z])\}")
ACCENTS = {'"': "\u0308", "'": "\u0301", "`": "\u0300", "^": "\u0302", "~": "\u0303"}  # combining marks


@dataclass(frozen=True)
class Source:
    """One entry of references.bib: its key, a line to cite it by, and its note (how well it was read)."""

    key: str
    citation: str
    note: str


@cache
def references() -> dict[str, Source]:
    """Every entry of references.bib by key.

    Read by rules of that file alone: one field a line, no braces but those around a whole name.
    """
    text = files("pondsim.data").joinpath("references.bib").read_text(encoding="utf-8")
    found: dict[str, Source] = {}
    for _, key, body in ENTRY.findall(text):
        fields = {name: _plain(value) for name, value in FIELD.findall(body)}
        found[key] = Source(key, _citation(fields), fields.get("note", ""))
    return found


def _plain(text: str) -> str:
    """A field without braces, its accents as letters."""
    letters = ACCENT.sub(lambda found: unicodedata.normalize("NFC", found[2] + ACCENTS[found[1]]), text)
    return letters.replace("{", "").replace("}", "").replace("--", "-")


def _citation(fields: dict[str, str]) -> str:
    """Authors (year). Title. Where it stands."""
    authors = "; ".join(fields.get("author", "").split(" and "))
    dated = f"{authors} ({fields['year']})" if "year" in fields else authors
    where = fields.get("journal") or fields.get("institution") or fields.get("publisher") or ""
    if "volume" in fields:
        where += f" {fields['volume']}"
    if "pages" in fields:
        where += f": {fields['pages']}"
    parts = [
        dated,
        fields["title"],
        ", ".join(part for part in (where, fields.get("number", ""), fields.get("series", "")) if part),
    ]
    return ". ".join(part.rstrip(".") for part in parts if part) + "."


@cache
def methods() -> tuple[dict[str, Any], ...]:
    """Rows of methods.toml: topic, words, sources."""
    return tuple(_table("methods.toml")["method"])


@cache
def limits() -> dict[str, list[dict[str, str]]]:
    """Lists ``left_out`` and ``weak`` of limits.toml."""
    return _table("limits.toml")


def _table(name: str) -> dict[str, Any]:
    return tomllib.loads(files("pondsim.data").joinpath(name).read_text(encoding="utf-8"))
