"""Every source named is in references.bib."""

import re
import tomllib
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[2] / "pondsim"
KEYS = set(re.findall(r"@\w+\{([\w.-]+),", (PACKAGE / "data" / "references.bib").read_text()))
NO_SOURCE = {"judgement", "common practice, no source"}
NAMED = re.compile(r"Source: (.*?)(?:\n\s*\n|\"\"\"|\n[^ ])", re.DOTALL)
KEY = re.compile(r"\b[a-z]{2,}\d+[a-z]*\b")


def sources_of(table):
    for name, value in table.items():
        if isinstance(value, dict):
            yield from sources_of(value)
        elif name == "source":
            yield value


def test_every_default_names_a_known_source():
    named = set(sources_of(tomllib.loads((PACKAGE / "data" / "defaults.toml").read_text())))
    assert named - NO_SOURCE - KEYS == set()


@pytest.mark.parametrize(
    "path", sorted(PACKAGE.rglob("*.py")), ids=lambda path: str(path.relative_to(PACKAGE))
)
def test_every_docstring_names_known_sources(path):
    named = {key for text in NAMED.findall(path.read_text()) for key in KEY.findall(text)}
    assert named - KEYS == set()


def test_every_physics_function_says_where_it_comes_from():
    for path in (PACKAGE / "physics").glob("*.py"):
        for name, text in re.findall(r'def ([a-z]\w*)\(.*?"""(.*?)"""', path.read_text(), re.DOTALL):
            assert "Source: " in text or "judgement" in text, f"{path.name}: {name}"


def test_keys_are_unique():
    keys = re.findall(r"@\w+\{([\w.-]+),", (PACKAGE / "data" / "references.bib").read_text())
    assert len(keys) == len(set(keys))
