"""`pondsim plot` as a user calls it, on small results files."""

import json
import shutil

import numpy as np
import pytest

from pondsim.cli.plot import PICTURES
from pondsim.figures import FUNCTIONS
from pondsim.results import save
from tests.cli.common import call
from tests.results.ponds import small_pond

pytestmark = pytest.mark.filterwarnings("error")


@pytest.fixture(scope="module")
def written(tmp_path_factory):
    """Two results files, written once."""
    place = tmp_path_factory.mktemp("results")
    old = small_pond(np.array([[[6.0], [2.0]]]), title="existing")
    loop = small_pond(np.array([[[6.0], [4.5]]]), title="loop", pumped=0.02)
    for pond, name in ((old, "old"), (loop, "loop")):
        pond["ice_thickness"] = (("time", "zone"), np.full((pond.sizes["time"], 2), 0.1))
        save(pond, place / f"{name}.nc")
    return place


@pytest.fixture
def folder(tmp_path, written):
    for name in ("old.nc", "loop.nc"):
        shutil.copy(written / name, tmp_path)
    return tmp_path


def test_every_figure_has_a_name_and_every_name_a_figure():
    assert list(PICTURES) == list(FUNCTIONS)


@pytest.mark.parametrize("what", PICTURES)
def test_every_picture_is_drawn(folder, what):
    files = [folder / "loop.nc"] if what == "plan" else [folder / "old.nc", folder / "loop.nc"]
    result = call("plot", *files, what, "-o", folder / "a.svg")
    assert result.exit_code == 0, result.output
    assert result.output == f"Written to {folder / 'a.svg'}.\n"
    assert "<svg" in (folder / "a.svg").read_text(encoding="utf-8")


@pytest.mark.parametrize("ending", [".png", ".pdf", ".SVG"])
def test_other_endings(folder, ending):
    assert call("plot", folder / "loop.nc", "water", "-o", folder / f"a{ending}").exit_code == 0


def test_existing_comes_first_and_the_poorest_zone_is_shown(folder):
    first, second = folder / "1.svg", folder / "2.svg"
    call("plot", folder / "loop.nc", "lines", "--existing", folder / "old.nc", "-o", first, "--units", "si")
    call(
        "plot", folder / "old.nc", folder / "loop.nc", "lines", "--zone", "arm", "-o", second, "--units", "si"
    )
    assert first.read_bytes() == second.read_bytes()


def test_zone_variable_and_time(folder):
    args = ("--zone", "pool", "--variable", "temperature", "--from", "2025-06-03", "--to", "2025-06-04")
    assert call("plot", folder / "loop.nc", "lines", *args, "-o", folder / "a.svg").exit_code == 0
    text = (folder / "a.svg").read_text(encoding="utf-8")
    assert "Temperature in pool: top and bottom differ by up to 0 °F" in text


@pytest.mark.parametrize(
    ("args", "words"),
    [
        (["dwan"], "there is no picture 'dwan'; did you mean dawn? Known: plan, dawn"),
        (["zzz"], "there is no picture 'zzz'. Known: plan"),
        (["old.nc"], "say what to draw after the results files: one of plan, dawn"),
        (["lines", "--zone", "amr"], "--zone: there is no zone 'amr'; did you mean arm? Known: pool, arm"),
        (["lines", "--variable", "oxigen"], "there is no variable 'oxigen'; did you mean dissolved_oxygen?"),
        (["lines", "--variable", "outflow"], "there is no variable 'outflow'"),
        (
            ["lines", "--from", "2025-13-01"],
            '--from "2025-13-01" does not exist: there is no month 13',
        ),
        (["water", "--to", "June"], '--to "June" is not a date or time'),
        (
            ["water", "--from", "2026-01-01"],
            "there are no results to draw; the run goes from 2025-06-01 00:00",
        ),
        (
            ["water", "--from", "2025-06-09", "--to", "2025-06-03"],
            '--from "2025-06-09" lies after --to "2025-06-03": the ends are reversed',
        ),
        (["dawn", "--zone", "arm"], "--zone does not apply to dawn: it applies to lines, depth"),
        (["plan", "--existing", "old.nc"], "plan draws one results file; give one, without --existing"),
        (["comparison"], "comparison needs at least two results files"),
    ],
)
def test_what_cannot_be_drawn_is_said(folder, monkeypatch, args, words):
    monkeypatch.chdir(folder)
    result = call("plot", "loop.nc", *args, "-o", "a.png")
    assert result.exit_code == 2
    assert words in " ".join(result.output.split())
    assert not (folder / "a.png").exists()


def test_two_useless_options_are_said_at_once(folder):
    result = call(
        "plot", folder / "loop.nc", "bed", "--zone", "arm", "--to", "2025-06-03", "-o", folder / "a.png"
    )
    assert result.exit_code == 2
    assert "--zone does not apply to bed" in result.output
    assert "--to does not apply to bed" in result.output


def test_other_endings_and_inputs_are_refused(folder):
    result = call("plot", folder / "loop.nc", "dawn", "-o", folder / "a.gif")
    assert result.exit_code == 2
    assert "a picture ends in .png, .svg or .pdf" in result.output
    design = folder / "loop.toml"
    design.write_text("title = 'x'\n", encoding="utf-8")
    result = call("plot", design, "dawn", "-o", folder / "a.png")
    assert result.exit_code == 2
    assert "simulate it first with `pondsim run" in result.output
    (folder / "a.svg").write_bytes((folder / "loop.nc").read_bytes())
    result = call("plot", folder / "none.nc", "dawn", "-o", folder / "a.png")
    assert result.exit_code == 2


def test_ponds_that_differ_are_not_drawn_together(folder):
    other = small_pond().assign_coords(zone=["pool", "bay"])
    save(other, folder / "other.nc")
    save(small_pond(days=20), folder / "short.nc")
    for name, words in (("other.nc", "its zones are not those of"), ("short.nc", "its time is not that of")):
        result = call("plot", folder / "old.nc", folder / name, "dawn", "-o", folder / "a.png")
        assert result.exit_code == 2
        assert words in result.output


def test_a_plan_with_equipment(folder):
    layout = {"connections": [["pool", "arm", 10.0, 98.0]], "waterfall_zone": "pool", "aeration": []}
    save(small_pond(pumped=0.02, layout=json.dumps(layout)), folder / "laid.nc")
    assert call("plot", folder / "laid.nc", "plan", "-o", folder / "a.svg").exit_code == 0
    assert ">waterfall</text>" in (folder / "a.svg").read_text(encoding="utf-8")
