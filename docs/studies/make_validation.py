"""docs/validation.md, written from the checks themselves: runs the tests and listens to every published value.

A check is a comparison with `close_to` (tests/physics/tolerance.py) in a test that carries a number: in its id, in
its docstring ("check 5.6") or in the call. Values and sources stand in the tests and nowhere else.
"""

from __future__ import annotations

import argparse
import contextlib
import io
import re
import sys
from collections import Counter
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))
from tests.physics import tolerance

PAGE = ROOT / "docs" / "validation.md"
TESTS = (
    *("tests/physics", "tests/results/test_measures.py", "tests/results/test_limits_over_days.py"),
    "tests/design/test_well.py",
)
NUMBER = re.compile(r"\d+\.\w+")
TOPICS = (
    "Oxygen saturation",
    "Water properties",
    "Gas transfer at the surface",
    "Oxygen over a waterfall",
    "Diffused aeration and plumes",
    "Oxygen sag and simple balances",
    "Sediment and waves",
    "Runoff and its quality",
    "Outlets and level pool",
    "Heat and stratification",
    "Pump, pipe, intake",
    "Oxygen criteria for fish",
    "Ages and mixing",
    "Bed, algae, light",
    "Pipe and trench",
    "Well and flotation",
    "Readings on site",
    "Money",
    "Silting of a trench",
    "Criteria over time",
)
HEAD = """# Validation: published values and ours

<!-- written by docs/studies/make_validation.py; change the tests, not this page -->

{count} checks of single equations against values that stand outside this project: printed tables, worked examples, general
libraries, exact solutions. A test fails when one of them leaves its tolerance. *From memory* means that nobody has held
the value against the print: such a check proves that the code does what is written there, not that the source is quoted
right. This page says nothing of a whole pond: how the engine is checked against exact limits and an independent route is
in [method.md](method.md), and nothing has been calibrated to a measured pond yet ([limits.md](limits.md)).

By the column *kind*: {published} are checked against a published value or an independent library, {exact} against an exact
solution, a definition or an equation worked by hand, {memory} against a value quoted from memory.

*At*: the inputs as the test gives them. *Difference*: ours less the reference, in percent, or in the unit of the value where
the tolerance is in that unit. A tolerance in percent is relative.
"""


@dataclass(frozen=True)
class Row:
    """One check."""

    check: str
    what: str
    at: str
    published: str
    ours: str
    difference: str
    tolerance: str
    source: str

    def line(self) -> str:
        """As a line of the page's table."""
        cells = (
            self.check, self.what, self.at, self.published, self.ours, self.difference, self.tolerance, self.source,
            kind(self.source),
        )  # fmt: skip
        return "| " + " | ".join(cell.replace("|", "/") for cell in cells) + " |"


def kind(source: str) -> str:
    """What a check is held against, by the words of its source."""
    if re.search("from memory", source, re.IGNORECASE):
        return "from memory"
    own = r"\bexact|definition|by hand|by derivation"
    return "exact" if re.search(own, source, re.IGNORECASE) else "published"


class Recorder:
    """Listens while pytest runs."""

    def __init__(self) -> None:
        self.item: Any = None
        self.rows: dict[tuple[str, str], Row] = {}

    def pytest_runtest_setup(self, item: Any) -> None:
        """Remember whose comparisons come next."""
        self.item = item

    def heard(self, published: Any, ours: Any) -> None:
        """Keep the first comparison of every check."""
        docstring = " ".join((self.item.function.__doc__ or self.item.module.__doc__ or "").split())
        check = published.check or number_of(self.item, docstring)
        if check:
            self.rows.setdefault(
                (self.item.originalname, check), row(self.item, docstring, check, published, ours)
            )


def number_of(item: Any, docstring: str) -> str:
    """The check's number from the id of the case or the docstring of the test."""
    case = item.callspec.id if hasattr(item, "callspec") else ""
    if NUMBER.fullmatch(case) and case not in map(str, item.callspec.params.values()):
        return str(case)  # written by hand, not a parameter that looks like a number
    found = re.search(rf"check ({NUMBER.pattern})", docstring)
    return found[1] if found else ""


def row(item: Any, docstring: str, check: str, published: Any, ours: Any) -> Row:
    """What the page says of a comparison."""
    value, ours, tol = float(published.value), float(ours), published.tolerance
    text = f"{value:.7g}"
    digits = len(text.partition(".")[2]) if "e" not in text else 0
    shown = f"{ours:.{digits}f}" if "e" not in text else f"{ours:.3g}"
    relative = isinstance(tol, str)
    gap = 100.0 * (ours - value) / value if relative else ours - value
    gap = 0.0 if abs(ours - value) <= 1e-12 * abs(value) else gap
    percent = f"{gap:+.2f} %" if abs(gap) >= 0.005 else "0.00 %"
    difference = "0" if gap == 0.0 else percent if relative else f"{gap:+.1g}"
    return Row(
        check,
        item.originalname.removeprefix("test_").replace("_", " "),
        inputs(item, published),
        f"{text} {published.unit}".removesuffix(" 1"),
        shown,
        difference,
        "to rounding" if tol == "exact" else str(tol),
        re.sub(rf"[:,]? check {NUMBER.pattern}", "", docstring).rstrip(". ") + ".",
    )


def inputs(item: Any, published: Any) -> str:
    """The inputs of a parametrized case, without what is published and its tolerance."""
    if not hasattr(item, "callspec"):
        return ""
    if any(isinstance(value, (tuple, list)) for value in item.callspec.params.values()):
        return str(item.callspec.id)
    parts = []
    for name, value in item.callspec.params.items():
        if name in ("tol", "tolerance", "unit", "scale"):
            continue
        if isinstance(value, (int, float)) and value == published.value:
            continue
        shown = f"{value:g}" if isinstance(value, (int, float)) else getattr(value, "__name__", str(value))
        words = shown if isinstance(value, str) or callable(value) else f"{name} {shown}"
        parts.append(words.replace("_", " ").lower())
    return ", ".join(parts) or item.callspec.id


def rows() -> list[Row]:
    """Run the tests; every check, in the order of its number."""
    recorder, printed = Recorder(), io.StringIO()
    tolerance.LISTENERS.append(recorder.heard)
    try:
        with contextlib.redirect_stdout(printed):
            words = ["-q", "--rootdir", str(ROOT), "-p", "no:cacheprovider", *(str(ROOT / t) for t in TESTS)]
            code = pytest.main(words, plugins=[recorder])
    finally:
        tolerance.LISTENERS.remove(recorder.heard)
    if code:
        raise SystemExit(printed.getvalue())
    return sorted(recorder.rows.values(), key=lambda one: (*place(one.check), one.what))


def place(check: str) -> tuple[int, int, str]:
    """Numbers in their order, then letters."""
    topic, _, rest = check.partition(".")
    found = re.match(r"\d+", rest)
    return int(topic), int(found[0]) if found else 10**6, rest


def page(found: list[Row]) -> str:
    """The page."""
    counts = Counter(kind(one.source) for one in found)
    text = HEAD.format(
        count=len(found), published=counts["published"], exact=counts["exact"], memory=counts["from memory"]
    )
    for topic, name in enumerate(TOPICS, start=1):
        lines = [one.line() for one in found if place(one.check)[0] == topic]
        if lines:
            text += f"\n## {topic} {name}\n\n| no. | what | at | reference | ours | difference | tolerance | source | kind |\n"
            text += "|---|---|---|---:|---:|---:|---:|---|---|\n" + "\n".join(lines) + "\n"
    return text


def main() -> None:
    """Write the page."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("-o", "--output", type=Path, default=PAGE)
    parser.parse_args().output.write_text(page(rows()), encoding="utf-8")


if __name__ == "__main__":
    main()
