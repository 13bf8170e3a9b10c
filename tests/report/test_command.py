"""The command: what it writes, and the words with which it refuses."""

from __future__ import annotations

import shutil

import h5py
import pytest

from pondsim import reporting
from tests.cli.common import call


@pytest.fixture
def ready_made(made, monkeypatch):
    """The page as made once, for tests of what is written where."""
    monkeypatch.setattr(reporting, "report", lambda *_, **__: made)


def test_page_and_tables_are_written(files, made, tmp_path):
    """The same page to the byte as made from all the results hold: what is not shown stays unread."""
    page = tmp_path / "bid.html"
    result = call("report", *files, "-o", page)
    assert result.exit_code == 0, result.output
    assert page.read_text(encoding="utf-8") == made.html
    folder = tmp_path / "bid_tables"
    assert {path.name: path.read_text(encoding="utf-8") for path in folder.iterdir()} == {
        f"{name}.csv": text for name, text in made.tables.items()
    }


def test_tables_of_an_earlier_page_go_and_other_files_stay(files, made, ready_made, tmp_path):
    folder = tmp_path / "r_tables"
    folder.mkdir()
    assert "bill" not in made.tables
    (folder / "bill.csv").write_text("old")
    (folder / "notes.csv").write_text("mine")
    assert call("report", *files, "-o", tmp_path / "r.html").exit_code == 0
    assert not (folder / "bill.csv").exists()
    assert (folder / "notes.csv").read_text() == "mine"


def test_no_tables_writes_the_page_alone(files, ready_made, tmp_path):
    assert call("report", files[0], "--no-tables", "-o", tmp_path / "r.html").exit_code == 0
    assert [path.name for path in tmp_path.iterdir()] == ["r.html"]


def test_a_design_given_as_the_pond_today_is_remarked_on(files, tmp_path):
    existing, design = files
    for order, remarked in (((existing, design), False), ((design, existing), True)):
        told = call("summary", *order, "-o", tmp_path / "s.html")
        listed = tmp_path / "ponds.toml"
        listed.write_text('[[pond]]\nexisting = "{}"\ndesign = "{}"\n'.format(*order))
        board = call("board", listed, "-o", tmp_path / "b.html")
        for one in (told, board):
            assert one.exit_code == 0, one.output
            said = " ".join(one.stderr.split())
            assert ("is taken as the pond today, and holds equipment or work:" in said) is remarked
            assert ("Waterfall and Air: pool air. If it is the design, name" in said) is remarked


def cut_short(path):
    path.write_bytes(path.read_bytes()[:5000])


def foreign(path):
    with h5py.File(path, "w") as file:
        file["x"] = [1.0]


def other_format(path):
    with h5py.File(path, "a") as file:
        file.attrs["results_format"] = 99


def without_oxygen(path):
    with h5py.File(path, "a") as file:
        del file["dissolved_oxygen"]


@pytest.mark.parametrize(
    ("spoil", "words"),
    [
        (cut_short, "is cut short"),
        (foreign, "pondsim did not write it"),
        (other_format, "results format 99"),
        (without_oxygen, "lacks dissolved_oxygen"),
    ],
)
def test_spoilt_results_are_refused(files, tmp_path, spoil, words):
    copy = tmp_path / "copy.nc"
    shutil.copy(files[1], copy)
    spoil(copy)
    result = call("report", files[0], copy, "-o", tmp_path / "r.html")
    assert (result.exit_code, words in result.output) == (2, True), result.output
    assert not (tmp_path / "r.html").exists() and not (tmp_path / "r_tables").exists()


def test_a_design_file_is_refused_with_the_way_to_results(files, tmp_path):
    design = files[0].with_name("design.toml")
    result = call("report", files[0], design, "-o", tmp_path / "r.html")
    assert result.exit_code == 2
    assert "made from results files (.nc)" in result.output and "pondsim run" in result.output


def test_places_that_cannot_be_written_are_refused(files, tmp_path):
    assert "ends in .html" in call("report", files[0], "-o", tmp_path / "r.pdf").output
    assert "there is no folder" in call("report", files[0], "-o", tmp_path / "no" / "r.html").output
    (tmp_path / "r_tables").write_text("a file")
    result = call("report", files[0], "-o", tmp_path / "r.html")
    assert result.exit_code == 2 and "is a file" in result.output


def test_a_failed_write_leaves_nothing_half_done(files, ready_made, tmp_path, monkeypatch):
    from pathlib import Path  # noqa: PLC0415

    write, written = Path.write_bytes, []

    def full(self, content):
        if len(written) == 5:
            raise OSError(28, "No space left on device")
        written.append(self)
        return write(self, content)

    monkeypatch.setattr(Path, "write_bytes", full)
    result = call("report", *files, "-o", tmp_path / "r.html")
    assert result.exit_code == 2 and "No space left" in result.output
    assert len(written) == 5
    assert [path for path in tmp_path.rglob("*") if path.is_file()] == []
