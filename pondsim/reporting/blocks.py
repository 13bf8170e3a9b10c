"""What a page is made of: parts with headings, and in them paragraphs, tables, pictures and listings.

A text that differs between the two systems of units is a `Both`; the page holds its two forms and shows one.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any


@dataclass(frozen=True)
class Both:
    """A text in US and in SI units; one that is alike in both is written once."""

    us: str
    si: str

    def in_(self, system: str) -> str:
        """The text of one system."""
        return self.us if system == "us" else self.si


def alike(text: str) -> Both:
    """A text that is the same in both systems."""
    return Both(text, text)


@dataclass(frozen=True)
class Cell:
    """One cell of a table.

    Attributes
    ----------
    text : as printed
    mark : "!" fails a criterion, "*" best of its row, or ""
    change : difference to the existing pond, or ""
    place : zone the number is of, or ""
    order : what the column is sorted by; None sorts last
    number : whether it stands to the right
    key : name for machines
    """

    text: Both
    mark: str = ""
    change: Both = field(default_factory=lambda: alike(""))
    place: str = ""
    order: float | str | None = None
    number: bool = True
    key: str = ""


def words(text: str | Both, key: str = "") -> Cell:
    """A cell of words."""
    both = alike(text) if isinstance(text, str) else text
    return Cell(both, order=both.us, number=False, key=key)


@dataclass(frozen=True)
class Row:
    """A row: its head, then cells. A `last` row stays at the end of its group when sorted."""

    head: Both
    cells: tuple[Cell, ...]
    last: bool = False


@dataclass(frozen=True)
class Group:
    """Rows that belong together, under a title that may be empty."""

    title: Both
    rows: tuple[Row, ...]


@dataclass(frozen=True)
class Table:
    """A table; `name` is that of its CSV file, `heads` begin with that of the rows' heads."""

    name: str
    caption: Both
    heads: tuple[str, ...]
    groups: tuple[Group, ...]
    kind: str = "table"

    @property
    def of_words(self) -> set[str]:
        """Heads of the columns that hold words, which stand to the left."""
        rows = [row for group in self.groups for row in group.rows]
        columns = range(len(self.heads) - 1)
        left = {k for k in columns if rows and all(not row.cells[k].number for row in rows)}
        return {self.heads[0], *(self.heads[k + 1] for k in left)}


@dataclass(frozen=True)
class Paragraph:
    """Sentences after a name set off before them; `style` is "", "lead", "note" or "warning"."""

    text: Both
    style: str = ""
    name: str = ""
    kind: str = "paragraph"


@dataclass(frozen=True)
class Items:
    """A list of sentences, each with words set off before it (or none)."""

    items: tuple[tuple[str, str], ...]
    kind: str = "items"


@dataclass(frozen=True)
class Picture:
    """A figure as SVG.

    Attributes
    ----------
    name : name of the picture in the page
    svg : the picture, trusted markup
    finding : its headline
    caption : what it shows
    how : how it is read
    readings : lines under the pointer, by system; empty where there are none
    key : colour and title of each design
    """

    name: str
    svg: Both
    finding: Both
    caption: Both
    how: Both
    readings: dict[str, Any] = field(default_factory=dict)
    key: tuple[tuple[str, str], ...] = ()
    kind: str = "picture"


@dataclass(frozen=True)
class Listing:
    """Text of a file."""

    title: str
    text: str
    kind: str = "listing"


@dataclass(frozen=True)
class Fold:
    """Blocks that a reader in a hurry may leave closed."""

    title: str
    blocks: tuple[Any, ...]
    kind: str = "fold"


Block = Table | Paragraph | Items | Picture | Listing | Fold


@dataclass(frozen=True)
class Part:
    """A part of the page under a heading.

    Attributes
    ----------
    name, title : its anchor, its heading
    blocks : what stands under it
    files : tables that are written as CSV files only
    """

    name: str
    title: str
    blocks: tuple[Block, ...]
    files: tuple[Table, ...] = ()


def note(text: str | Both) -> Paragraph:
    """A small paragraph."""
    return Paragraph(alike(text) if isinstance(text, str) else text, "note")


def said(text: str | Both, style: str = "", name: str = "") -> Paragraph:
    """A paragraph."""
    return Paragraph(alike(text) if isinstance(text, str) else text, style, name)


def tables_of(blocks: tuple[Any, ...]) -> list[Table]:
    """Every table among blocks, those in folds too."""
    found: list[Table] = []
    for block in blocks:
        if isinstance(block, Table):
            found.append(block)
        elif isinstance(block, Fold):
            found += tables_of(block.blocks)
    return found
