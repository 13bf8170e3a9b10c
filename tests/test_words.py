"""What people read is plain American engineering English: other phrases are searched for everywhere."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PACKAGE = ROOT / "pondsim"
PAGES = [ROOT / "README.md", *sorted((ROOT / "docs").glob("*.md"))]
NOT_SEARCHED = {"changes.md"}  # tells what was said before

# Phrase (a pattern, any white space between its words): what is written in its place.
INSTEAD = {
    r"(is|are) on the mean": "mean ... is",
    r"(days?|d|h|gpm|lb/d) on the mean\b": "mean, on average",
    r"[Ww]anted of": "Target for",
    r", wanted (at (least|most)|\d)": "limit, allowed",
    r"limits that (the design|it) keeps": "newly violates limits",
    r"[Dd]earer": "costs more",
    r"keeps most oxygen": "has the highest minimum dawn oxygen",
    r"poorest": "lowest",
    r"is paid anyway": "applies either way",
    r"(what )?the bed takes": "sediment oxygen demand",
    r"bed (that )?asks": "sediment oxygen demand",
    r"(smallest|largest|sizes?) (size )?looked at": "search bound, tried",
    r"[Ww]idth of the answer": "relative tolerance",
    r"[Ww]hat is asked\b": "design inputs",
    r"told, not judged": "informational",
    r"\bflatters\b": "is optimistic",
    r"dead corners?": "dead zones",
    r"it is looked for at": "file not found",
    r"with a word\b": "with an error, with a message",
    r"called for nothing": "requested no air",
    r"[Hh]ang it lower": "lower the sensor",
    r"came to nothing": "failed",
    r"short circle": "short-circuits",
    r"comes? to pass": "happens",
    r"\b(is|are) told\b": "is reported",
    r"held against": "checked against, compared with",
    r"\bmended\b": "corrected, repaired",
    r"does not tell\b": "does not hold",
    r"falls? short of": "fails",
    r"\bis no (number|text|pair|share|target|fitting|moment|price|key)\b": "is not a ...",
    r"\b((deci|centi|milli|kilo)?metres?|litres?|colours?|neighbour\w*|favour\w*)\b": "American spelling",
}


def texts_of(path: Path) -> Iterator[tuple[int, str]]:
    """Texts of a module that people may read: all but its docstrings; those of commands are their help."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    owners = (ast.Module, ast.ClassDef, ast.FunctionDef)
    docs = {
        id(node.body[0].value)
        for node in ast.walk(tree)
        if isinstance(node, owners) and node.body and isinstance(node.body[0], ast.Expr)
    }
    helps = {
        id(node.body[0].value)
        for node in ast.walk(tree)
        if isinstance(node, ast.FunctionDef) and node.name == "command" and isinstance(node.body[0], ast.Expr)
    }
    for node in ast.walk(tree):
        if isinstance(node, ast.JoinedStr):
            parts = (str(p.value) if isinstance(p, ast.Constant) else "{}" for p in node.values)
            yield node.lineno, "".join(parts)
        elif isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in docs - helps:
            yield node.lineno, node.value


def all_texts() -> Iterator[tuple[str, str]]:
    """Place and text of everything that is shown or shipped to be read."""
    for path in sorted(PACKAGE.rglob("*.py")):
        for line, text in texts_of(path):
            yield f"{path.relative_to(ROOT)}:{line}", text
    shipped = [*PACKAGE.rglob("*.toml"), *PACKAGE.rglob("*.j2"), *(ROOT / "scenarios").rglob("*.toml")]
    for path in [*PAGES, *sorted(shipped)]:
        if path.name not in NOT_SEARCHED:
            yield str(path.relative_to(ROOT)), path.read_text(encoding="utf-8")


TEXTS = list(all_texts())


def test_texts_are_found():
    """Help, sentences that are put together, the starter and the pages are among them."""
    whole = "\n".join(text for _, text in TEXTS)
    for words in ("Design limits (FAIL", "Target for {}", "Simulate DESIGN", "A starter pond", "## Run it"):
        assert words in whole


@pytest.mark.parametrize("phrase", INSTEAD)
def test_no_text_uses_the_phrase(phrase):
    pattern = re.compile(phrase.replace(" ", r"\s+"))
    found = [f"{place}: {match[0]!r}" for place, text in TEXTS for match in pattern.finditer(text)]
    assert not found, f"write {INSTEAD[phrase]}"


@pytest.mark.parametrize(
    "text", ["3 d on the mean", "Wanted of X", "the bed takes 3 lb/d", "it goes in a short circle", "metres"]
)
def test_the_search_finds_what_it_is_for(text):
    assert any(re.search(phrase.replace(" ", r"\s+"), text) for phrase in INSTEAD)
