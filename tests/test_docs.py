"""The documentation against the program: reference pages, commands, links, figures."""

from __future__ import annotations

import ast
import importlib.util
import re
import shlex
from collections.abc import Iterator
from pathlib import Path

import click
import pytest

from pondsim.cli import main

ROOT = Path(__file__).parents[1]
DOCS = ROOT / "docs"
PAGES = sorted([*ROOT.glob("*.md"), *DOCS.rglob("*.md")])
LARGEST = 150_000  # bytes of a figure
LINK = re.compile(r"!?\[[^\]]*\]\(([^)\s]+)\)")


def reference():
    """The script that writes the reference pages."""
    spec = importlib.util.spec_from_file_location("make_reference", DOCS / "studies" / "make_reference.py")
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.mark.parametrize("name", ["scenario.md", "results.md", "measures.md", "constants.md"])
def test_reference_page_is_what_the_program_declares(name):
    written = (DOCS / name).read_text(encoding="utf-8")
    assert written == reference().PAGES[name](), "run python docs/studies/make_reference.py"


def test_every_attribute_of_a_results_file_is_described():
    described = set(", ".join(reference().ATTRIBUTES).split(", "))
    source = (ROOT / "pondsim" / "output" / "collect.py").read_text(encoding="utf-8")
    function = next(
        node
        for node in ast.parse(source).body
        if isinstance(node, ast.FunctionDef) and node.name == "_attributes"
    )
    keys = {
        key.value
        for node in ast.walk(function)
        if isinstance(node, ast.Dict)
        for key in node.keys
        if isinstance(key, ast.Constant)
    }
    balances = set(
        re.findall(
            r'"(balance_\w+)"', (ROOT / "pondsim" / "output" / "mass_balance.py").read_text(encoding="utf-8")
        )
    )
    assert keys and balances
    assert keys | balances <= described


def command_lines() -> Iterator[tuple[str, str]]:
    """Every command of pondsim shown in a fenced block of shell or in backticks."""
    for page in PAGES:
        text = page.read_text(encoding="utf-8")
        shown = re.findall(r"```(?:sh|console)\n(.*?)```", text, re.DOTALL)
        lines = [line for block in shown for line in block.splitlines()]
        lines += re.findall(r"`(pondsim [^`\n]+)`", text)
        for line in lines:
            for found in re.findall(r"(?:^|[\s;&/\\])(pondsim\s+[^;&]*)", line):
                yield page.name, found.split(" #")[0].strip()


COMMANDS = sorted(set(command_lines()))


def test_commands_are_found():
    assert {line.split()[1] for _, line in COMMANDS} >= {"check", "run", "compare", "export", "schema"}


@pytest.mark.parametrize(("page", "line"), COMMANDS)
def test_command_line_parses(page, line):
    words = shlex.split(line.replace("\\", "/"))[1:]
    if words[0] in ("-h", "--help", "--version"):
        return
    named_only = len(words) == 1  # a command's name in a sentence
    command = main.get_command(click.Context(main), words[0])
    assert command is not None, f"{page}: {line}"
    context = click.Context(command)
    options, _, _ = command.make_parser(context).parse_args(words[1:])
    for parameter in command.params:
        value = options.get(parameter.name)
        if "..." not in words and not named_only:
            assert value or not parameter.required, f"{page}: {line} lacks {parameter.name}"
        if isinstance(parameter.type, click.Choice) and value:
            assert value in parameter.type.choices
    for word in words[1:]:
        if word.startswith("scenarios/"):
            assert (ROOT / word).is_file(), f"{page}: {line}"


def anchors(page: Path) -> set[str]:
    """Anchors of a page's headings, as common viewers make them."""
    heads = re.findall(r"^#+ (.+)$", page.read_text(encoding="utf-8"), re.MULTILINE)
    return {re.sub(r"[^\w\- ]", "", head.lower()).strip().replace(" ", "-") for head in heads}


@pytest.mark.parametrize("page", PAGES, ids=lambda page: str(page.relative_to(ROOT)))
def test_relative_links_lead_somewhere(page):
    for target in LINK.findall(page.read_text(encoding="utf-8")):
        if re.match(r"[a-z]+:", target):
            continue
        file, _, anchor = target.partition("#")
        there = (page.parent / file) if file else page
        assert there.exists(), f"{page.name}: {target}"
        if anchor and there.suffix == ".md":
            assert anchor in anchors(there), f"{page.name}: {target}"


def test_every_figure_is_shown_and_small():
    shown = "".join(page.read_text(encoding="utf-8") for page in PAGES)
    for figure in (DOCS / "figures").iterdir():
        assert figure.name in shown
        assert figure.stat().st_size < LARGEST, figure.name


@pytest.mark.parametrize("page", PAGES, ids=lambda page: str(page.relative_to(ROOT)))
def test_marks_of_pages_are_closed(page):
    text = page.read_text(encoding="utf-8")
    closed = re.findall(r"<!-- end ([a-z ]+) -->", text)
    for name in closed:
        begin = f"<!-- {name} -->" if f"<!-- {name} -->" in text else f"<!-- {name.removeprefix('of ')}"
        assert text.index(begin) < text.index(f"<!-- end {name} -->")


def test_the_benchmark_page_holds_members_against_both_steps_of_their_aim(monkeypatch):
    """Of 1745 s in 0.2.0 first 250 s, then 90 s were asked; the page is as the script writes it."""
    monkeypatch.syspath_prepend(str(ROOT / "tests"))
    script = importlib.import_module("benchmark_commands")
    page = (DOCS / "benchmark.md").read_text(encoding="utf-8")
    tables = script.table(dict.fromkeys(script.ROWS, 1.0), {}, 1.0), page
    written, shown = ([_given(line) for line in text.splitlines() if line[:2] == "| "] for text in tables)
    assert shown == written
    members = next(cells for cells in shown if cells[0].startswith("1,000 members"))
    assert members[-1] == f"{250 / 1745:.3f}, then {90 / 1745:.3f}"


def _given(line):
    """Of a row of the benchmark what is not measured: words, 0.2.0 and aim."""
    cells = [cell.strip() for cell in line.strip("|").split("|")]
    return [*cells[:3], cells[6]]
