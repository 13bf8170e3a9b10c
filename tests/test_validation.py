"""docs/validation.md against the checks it is written from."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

from tests.physics.tolerance import LISTENERS, close_to

ROOT = Path(__file__).parents[1]
SCRIPT = ROOT / "docs" / "studies" / "make_validation.py"
# A source is a publication of some year, or says why it needs none.
SOURCE = re.compile(
    r"\b1[89]\d\d\b|\b20\d\d\b|[Ee]xact|definition|by hand|[Ll]ibrary|Administrative Code"
    r"|Levenspiel|Lin, Water"
)


def rows(text: str) -> dict[tuple[str, str], list[str]]:
    """Cells of every check, by number and name."""
    found = {}
    for line in text.splitlines():
        if re.match(r"\| \d+\.\w+ \|", line):
            cells = [cell.strip() for cell in line.strip("|").split("|")]
            found[cells[0], cells[1]] = cells
    return found


@pytest.fixture(scope="module")
def made(tmp_path_factory) -> str:
    """The page as the checks give it now: it runs all of them once more, so what uses it is slow."""
    path = tmp_path_factory.mktemp("validation") / "validation.md"
    command = [sys.executable, str(SCRIPT), "-o", str(path)]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    return path.read_text(encoding="utf-8")


@pytest.mark.slow
def test_page_is_up_to_date(made):
    """All cells but the difference; ours may stray by one in the last digit between machines."""
    now, page = rows(made), rows((ROOT / "docs" / "validation.md").read_text(encoding="utf-8"))
    assert now.keys() == page.keys(), "run python docs/studies/make_validation.py"
    for key, cells in now.items():
        assert [*cells[:4], *cells[6:]] == [*page[key][:4], *page[key][6:]], key
        digits = len(cells[4].partition(".")[2])
        assert float(cells[4]) == pytest.approx(float(page[key][4]), abs=1.01 * 10**-digits)


@pytest.mark.slow
def test_every_topic_is_there_and_every_check_has_a_source(made):
    found = rows(made)
    assert len(found) >= 150
    assert {key[0].partition(".")[0] for key in found} == {str(topic) for topic in range(1, 21)}
    for key, cells in found.items():
        assert SOURCE.search(cells[7]), key


@pytest.mark.slow
def test_difference_is_that_of_the_cells_beside_it(made):
    """Worked again from the printed numbers; what is printed was rounded."""
    for key, cells in rows(made).items():
        published, ours = float(cells[3].split()[0]), float(cells[4])
        last = 0.6 * 10.0 ** -len(cells[4].partition(".")[2])
        gap = float(cells[5].removesuffix(" %"))
        if cells[5].endswith("%"):
            assert gap == pytest.approx(
                100.0 * (ours - published) / published, abs=100.0 * last / published + 0.006
            )
        else:
            assert gap == pytest.approx(ours - published, abs=last + 0.1 * abs(gap)), key


@pytest.mark.parametrize(
    ("ours", "tolerance", "close"),
    [
        (10.05, 0.1, True),
        (10.11, 0.1, False),
        (10.05, "1 %", True),
        (10.11, "1 %", False),
        (10.0, "exact", True),
        (10.0 + 1e-9, "exact", False),
        (float("nan"), "1 %", False),
    ],
)
def test_tolerance_is_kept_and_told(ours, tolerance, close):
    heard = []
    LISTENERS.append(lambda published, value: heard.append((published.value, value)))
    try:
        assert (ours == close_to(10.0, tolerance)) is close
    finally:
        LISTENERS.pop()
    assert [value for value, _ in heard] == [10.0]
