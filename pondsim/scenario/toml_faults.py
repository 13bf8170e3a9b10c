"""What is wrong in a text that is no TOML, in the words of one who wrote it: the key, its lines, the cure.

The standard reader says where it stopped and what it looked for. This looks at the lines up to that place.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import chain

from pondsim.words import no_such_day

_PART = r"""(?:[\w-]+|"[^"\n]*"|'[^'\n]*')"""
KEY = re.compile(rf"^\s*({_PART}(?:\s*\.\s*{_PART})*)\s*=\s*(.*)$")
HEADER = re.compile(r"^\s*(\[\[?)\s*([^\]#=]+?)\s*\]{0,2}\s*(?:#.*)?$")
BEGUN = re.compile(r"^\s*([\w-]+)\s*:?\s*(.*)$")
COMMENT = re.compile(r"""^((?:[^"'#]|"(?:[^"\\]|\\.)*"|'[^']*')*)#.*$""")
PLACE = re.compile(r"\(at line (\d+), column (\d+)\)")
CURVED = "\u201c\u201d\u2018\u2019\u201e\u00ab"
GENERAL = 'Texts and quantities stand in quotes: drop = "4 ft".'

Told = tuple[int, str, str]  # line, dotted key, and a message that continues a sentence begun with the key


@dataclass(frozen=True)
class Statement:
    """A line that begins a key or a section: its number, its whole dotted name, what stands behind."""

    line: int
    name: str
    value: str = ""
    header: str = ""  # "[", "[[" or nothing

    @property
    def bare(self) -> str:
        """What stands behind, without a comment."""
        return _without_comment(self.value)


def toml_fault(text: str, error: tomllib.TOMLDecodeError) -> Told:
    """What stopped the reader."""
    found = PLACE.search(str(error))
    lines = text.split("\n")
    line = int(found[1]) if found else len(text.rstrip("\n").split("\n"))
    words = str(error).split(" (at ")[0]
    statements = _statements(lines[:line])
    guesses = chain(
        _twice(statements, words),
        _not_closed(statements, words, line, lines[line - 1]),
        _value(statements, words, line),
        _no_equals(lines[line - 1], words, line),
    )
    return next(guesses, (line, "", f"the file cannot be read here: {words}. {GENERAL}"))


def too_deep(text: str, deepest: int) -> Told:
    """What to say of a text whose sections or lists lie deeper within each other than anything here does."""
    lines = text.split("\n")
    line = max(range(len(lines)), key=lambda place: sum(lines[place].count(sign) for sign in "[{."))
    return line + 1, "", f"goes more than {deepest} levels deep here; no section or list of a scenario does."


def _statements(lines: list[str]) -> list[Statement]:
    """Every key and section up to the fault, as far as one can tell line by line."""
    found: list[Statement] = []
    section = ""
    for number, line in enumerate(lines, start=1):
        if header := HEADER.match(line):
            section = header[2]
            found.append(Statement(number, section, header=header[1]))
        elif key := KEY.match(line):
            name = ".".join(part.strip() for part in key[1].split("."))
            found.append(Statement(number, f"{section}.{name}" if section else name, key[2]))
    return found


def _twice(statements: list[Statement], words: str) -> Iterator[Told]:
    """A key or a section that stands there already."""
    if not words.startswith(("Cannot overwrite", "Cannot declare", "Cannot mutate")) or not statements:
        return
    last = statements[-1]
    lists = [
        place
        for place, one in enumerate(statements)
        if one.header == "[[" and last.name.startswith(f"{one.name}.")
    ]
    earlier = statements[lists[-1] if lists else 0 : -1]  # each entry of a list may give the same keys
    for one in earlier:
        if one.name == last.name:
            cure = "keep one of the two."
            if last.header and one.header == last.header:
                cure = f"write all its keys under one [{last.name}]."
            elif last.header:
                cure = f"once as a section, once as a list: write [[{last.name}]] both times."
            yield last.line, last.name, f"is given twice, in line {one.line} and in line {last.line}; {cure}"
    for one in earlier:
        if last.name.startswith(f"{one.name}.") or one.name.startswith(f"{last.name}."):
            what = "the one is a value, the other would lie within it"
            yield last.line, last.name, f"and {one.name} in line {one.line} do not fit together: {what}."


def _not_closed(statements: list[Statement], words: str, line: int, stopped: str) -> Iterator[Told]:
    """A quote, a list or the head of a section that is not closed; `stopped` is the line of the fault."""
    if not statements:
        return
    last = statements[-1]
    if words.startswith("Expected ']"):
        head = f"[[{last.name}]]" if last.header == "[[" else f"[{last.name}]"
        yield line, last.name, f"is the head of a section that is not closed; write {head}."
    for one in statements if words.startswith("Unterminated") else ():
        quotes = one.bare[:3]
        if quotes in ('"""', "'''") and one.bare.count(quotes) == 1:
            yield one.line, one.name, f"begins a text that is never closed; write {quotes} behind it."
    lists = [one for one in statements[-2:] if "[" in one.value]
    if words.startswith("Unclosed array") and lists and not _odd(stopped):
        one = lists[0] if lists[0].bare.count("[") > lists[0].bare.count("]") else lists[-1]
        begun = f", begun in line {one.line}," if one.line < line else ""
        yield line, one.name, f"is a list{begun} that lacks a comma or its closing ] before this place."
    if words.startswith("Unclosed inline"):
        cure = f"close them, or write [{last.name}] with a line for each key."
        yield line, last.name, f"has braces that are not closed in their line; {cure}"
    if _odd(stopped) and not words.startswith("Invalid value"):
        shown = last.bare if last.line == line else stopped.strip()
        yield line, last.name, f'is missing a quote: {shown}; put text between two quotes, as "4 ft".'


def _value(statements: list[Statement], words: str, line: int) -> Iterator[Told]:
    """A value that is missing, or stands there without quotes."""
    if not statements or statements[-1].line != line or statements[-1].header:
        return
    own = statements[-1]
    bare, last = own.bare, own.name.rpartition(".")[2]
    if not bare:
        yield line, own.name, f'has no value; write such as {last} = "4 ft", or take the line out.'
    elif "\\" in words:
        yield line, own.name, f"= {bare} has a backslash; write a path with / in place of it."
    elif bare[0] in CURVED:
        yield line, own.name, f'= {bare} has curved quotes; write straight ones, as in {last} = "4 ft".'
    elif bare.lower() in ("true", "false"):
        yield line, own.name, f"= {bare}; write {last} = {bare.lower()}, in small letters."
    elif said := no_such_day(bare):
        yield line, own.name, f"= {bare} does not exist: {said}."
    elif bare[0] not in "\"'[{":
        yield line, own.name, f'= {bare} has no quotes; write {last} = "{bare}".'
    elif words.startswith("Expected newline"):
        yield line, own.name, f"= {bare} goes on behind its end; a text stands between two quotes."


def _no_equals(stopped: str, words: str, line: int) -> Iterator[Told]:
    """A key without its equals sign, or with a space in it."""
    found = BEGUN.match(stopped)
    if found is None or not words.startswith("Expected '='"):
        return
    before, equals, value = stopped.partition("=")
    name = before.strip()
    if equals:
        yield line, name, f"is not a key: a key is one word; write {name.replace(' ', '_')} ={value}."
    else:
        example = found[2].strip() or '"4 ft"'
        yield line, found[1], f"lacks its equals sign; write {found[1]} = {example}."


def _odd(line: str) -> bool:
    """Whether a line has a double quote without its other."""
    bare = _without_comment(line)
    return bare.replace('\\"', "").count('"') % 2 == 1 and '"""' not in bare


def _without_comment(value: str) -> str:
    found = COMMENT.match(value)
    return (found[1] if found else value).strip()
