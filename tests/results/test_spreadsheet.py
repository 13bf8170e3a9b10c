"""No cell of a CSV that pondsim writes is a formula."""

from __future__ import annotations

import csv
import io

import pytest

from pondsim.comparison import compare
from pondsim.reporting import pictures
from pondsim.results import save
from pondsim.spreadsheet import SheetWriter
from tests.cli.common import call
from tests.results.ponds import small_pond

TITLE = '=HYPERLINK("http://example.org","more")'


@pytest.mark.parametrize(
    "text", ["=1+1", "+1+1", "-1+1", "@SUM(A1)", "\t=1+1", "\r=1", "-inf", "+49 30 1", "=", "-"]
)
def test_a_text_that_would_be_computed_is_marked_as_text(text):
    """OWASP, "CSV Injection": cells that begin with = + - @, a tab or a carriage return. From memory."""
    out = io.StringIO()
    SheetWriter(out).writerow([text, "plain"])
    (row,) = csv.reader(io.StringIO(out.getvalue(), newline=""))
    text = text.strip("\r")
    assert row == [f"'{text}" if len(text) > 1 else text, "plain"]


@pytest.mark.parametrize("number", ["-3.25", "+2", "-1e-05", "-1.5E+3", "7", -3.25, None, 0])
def test_numbers_stay_as_they_are(number):
    out = io.StringIO()
    SheetWriter(out).writerow(["x", number])
    assert out.getvalue() == f"x,{'' if number is None else number}\n"


def test_a_title_heads_no_column_as_a_formula(tmp_path, monkeypatch):
    monkeypatch.setattr(pictures, "svg_text", lambda *_, **__: "<svg></svg>")  # only tables are looked at
    for name, title in (("a.nc", "as it is"), ("b.nc", TITLE)):
        save(small_pond(days=3, title=title), tmp_path / name)
    done = call("compare", tmp_path / "a.nc", tmp_path / "b.nc", "--csv", tmp_path / "c.csv")
    assert done.exit_code == 0, done.output
    done = call("report", tmp_path / "a.nc", tmp_path / "b.nc", "-o", tmp_path / "r.html")
    assert done.exit_code == 0, done.output
    assert compare([small_pond(title=TITLE)]).titles == (TITLE,)
    written = [tmp_path / "c.csv", *(tmp_path / "r_tables").iterdir()]
    assert len(written) > 2
    for path in written:
        with path.open(encoding="utf-8", newline="") as file:
            cells = [cell for row in csv.reader(file) for cell in row]
        assert not [cell for cell in cells if cell.startswith(("=", "@", "+", "\t"))]
        assert any(cell.startswith(f"'{TITLE}") for cell in cells) or "HYPERLINK" not in path.read_text()
