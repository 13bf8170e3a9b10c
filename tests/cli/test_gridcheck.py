"""`pondsim gridcheck` from outside, and what compare and report make of its bands."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import fields, replace

import pytest

from pondsim.cli._gridcheck_text import check_text
from pondsim.comparison import Row
from pondsim.comparison.cells import cells
from pondsim.ensemble.moves import GridCheck, Moves
from pondsim.measures.bands import Band, Bands
from pondsim.measures.declared import declarations
from tests.cli.common import call, write_files

SMALL = (
    ('end = "2025-07-11"', 'end = "2025-07-04"'),
    ('low_pool = "9 ft"', 'low_pool = "9 ft"\nlayers = 4'),
    ('start = "2025-07-04 15:00"', 'start = "2025-07-02 15:00"'),
)


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """A check of the small pond and its design over three days, and results of both."""
    folder = tmp_path_factory.mktemp("small pond")
    write_files(folder, *SMALL)
    files = [folder / "site.toml", folder / "design.toml"]
    result = call("gridcheck", *files, "--json", folder / "bands.json", "--csv", folder / "bands.csv")
    assert result.exit_code == 0, result.output
    (folder / "screen.txt").write_text(result.output, encoding="utf-8")
    result = call("compare", *files, "--save", folder / "runs")
    assert result.exit_code == 0, result.output
    (folder / "assumed.txt").write_text(result.output, encoding="utf-8")
    return folder


@pytest.fixture(scope="module")
def data(folder):
    return json.loads((folder / "bands.json").read_text(encoding="utf-8"))


def test_it_says_what_was_finer_and_how_far_it_moves(folder):
    text = (folder / "screen.txt").read_text(encoding="utf-8")
    for words in (
        "8 layers instead of 4",
        "hydraulic step 1.5 min instead of 15 min",
        "tolerance 0.1 instead of 1",
        "deep pool, the largest zone, cut in two",
        "differences to the existing pond in the main measures",
    ):
        assert words in " ".join(text.split())
    assert max(len(line) for line in text.splitlines()) <= 80


def test_the_files_agree_with_each_other(data, folder):
    """Moves and bands worked out again from the values in the file."""
    rows = list(csv.DictReader(io.StringIO((folder / "bands.csv").read_text(encoding="utf-8"))))
    assert data["designs"] == ["Two-zone test pond (invented)", "Waterfall and night air (invented)"]
    for row in data["measures"]:
        a, b = row["values"]
        finer = row["finer"].values()
        known = [
            (one, v) for way in finer for one, v in zip((a, b), way, strict=True) if None not in (one, v)
        ]
        seventh = 1e-6 * max((abs(v) for pair in known for v in pair), default=0.0)
        moves = [abs(v - one) for one, v in known]
        assert row["largest_move"] == pytest.approx(max(moves, default=0.0), abs=seventh)
        pairs = [abs((w[1] - w[0]) - (b - a)) for w in finer if None not in (a, b, *w)]
        assert row["band"] == pytest.approx(max(pairs, default=0.0), abs=2.0 * seventh)
        mine = [one for one in rows if (one["key"], one["place"]) == (row["key"], row["place"])]
        assert [one["as it is"] for one in mine] == ["" if v is None else f"{v:.7g}" for v in (a, b)]
    assert any(row["largest_move"] > 0.0 for row in data["measures"])


def test_compare_says_that_its_bands_are_assumed_unless_they_were_measured(folder, data):
    files = folder / "runs" / "site.nc", folder / "runs" / "design.nc"
    said = " ".join((folder / "assumed.txt").read_text(encoding="utf-8").split())
    assert "A tie is a difference within an assumed band" in said
    result = call("compare", *files, "--bands", folder / "bands.json", "--json", folder / "table.json")
    assert result.exit_code == 0, result.output
    said = " ".join(result.output.split())
    assert "within the band that a grid check of this pond measured (8 layers instead of 4" in said
    bands = {row["key"]: row for row in data["measures"]}
    table = json.loads((folder / "table.json").read_text(encoding="utf-8"))
    for row in table["measures"]:
        a, b = row["values"]
        if row["key"].startswith("dawn_mean_top") and abs(abs(a - b) - bands[row["key"]]["band"]) > 1e-3:
            assert row["ties"][1] is (abs(a - b) <= bands[row["key"]]["band"]) or f"{a:.1f}" == f"{b:.1f}"


def test_the_report_names_the_check_in_its_appendix(folder):
    files = folder / "runs" / "site.nc", folder / "runs" / "design.nc"
    for given, words in (
        (("--bands", folder / "bands.json"), "Grid check (Two-zone test pond (invented), Waterfall"),
        ((), "No grid check was given: ties are differences within assumed bands."),
    ):
        result = call("report", *files, "-o", folder / "page.html", "--no-tables", *given)
        assert result.exit_code == 0, result.output
        assert words in (folder / "page.html").read_text(encoding="utf-8")


def test_bands_of_another_pond_or_no_bands_are_refused(folder, data):
    files = folder / "runs" / "site.nc", folder / "runs" / "design.nc"
    other = folder / "other.json"
    larger = {name: 3.0 * size for name, size in data["shape"]["cove"].items()}
    for text, words in (
        (
            json.dumps(data | {"end": "2025-09-30 00:00"}),
            "other.json: these bands are of another pond or period",
        ),
        (
            json.dumps(data | {"shape": data["shape"] | {"cove": larger}}),
            "other.json: these bands are of another pond: at normal pool the area of cove is 2230",
        ),
        (json.dumps({"kind": "something else"}), "is no grid check"),
        ("{", "is no grid check"),
        (json.dumps(data | {"measures": [data["measures"][0] | {"band": -1.0}]}), "is no grid check"),
    ):
        other.write_text(text, encoding="utf-8")
        result = call("compare", *files, "--bands", other)
        assert result.exit_code == 2
        assert words in " ".join(result.output.split()) and "Traceback" not in result.output


def test_bands_hold_the_shape_of_their_pond_by_hand(folder, data):
    """At 10 ft the cove has 8,000 ft2, and (3,000 + 8,000)/2 x 5 ft = 27,500 ft3; an old file is trusted."""
    assert data["shape"]["cove"]["area_m2"] == pytest.approx(8000 * 0.3048**2)
    assert data["shape"]["cove"]["volume_m3"] == pytest.approx(27500 * 0.3048**3)
    old = folder / "old.json"
    old.write_text(
        json.dumps({key: value for key, value in data.items() if key != "shape"}), encoding="utf-8"
    )
    files = folder / "runs" / "site.nc", folder / "runs" / "design.nc"
    for bands, said in ((old, True), (folder / "bands.json", False)):
        result = call("compare", *files, "--bands", bands)
        assert result.exit_code == 0
        assert (
            "whether its bands are of this pond is not checked" in " ".join(result.output.split())
        ) is said


def test_results_files_are_no_designs(folder):
    result = call("gridcheck", folder / "runs" / "site.nc")
    assert result.exit_code == 2 and "give the design file" in result.output


@pytest.mark.parametrize(
    ("name", "days", "band"),
    [
        ("hours_below_3_bottom", 138.0, 48.0),
        ("hours_below_3_bottom", 9.0, 48.0 * 9.0 / 138.0),  # 0 h against 32 h is none of grid and step
        ("days_failing_top", 276.0, 4.0),
        ("days_failing_top", 9.0, 1.0),  # a count moves by one at least
        ("dawn_mean_top", 9.0, 0.06),
    ],
)
def test_assumed_bands_of_sums_over_the_run_follow_its_length(name, days, band):
    """The bands are stated for the demo's season of 138 days."""
    assert declarations()[name].tie_in(days) == pytest.approx(band)


WARMTH = declarations()["outlet_temperature_mean"].template


@pytest.mark.parametrize(
    ("system", "moved", "apart"),
    [
        ("us", ["0.18", "0.18", "0.09", "0.18"], "-0.9"),  # a kelvin is 1.8 degF; bands of 0.05 and 0.1 K
        ("si", ["0.1", "0.1", "0.05", "0.1"], "-0.5"),
    ],
)
def test_moves_and_differences_of_a_temperature_have_no_zero_point(system, moved, apart):
    known = {field.name: getattr(WARMTH, field.name) for field in fields(WARMTH)}
    row = Moves(**known, values=(26.7, 26.2), finer={"layers": (26.8, 26.25), "steps": (26.8, 26.25)})
    ways = {"layers": "8 layers instead of 4", "steps": "half the step"}
    check = GridCheck(
        titles=("existing", "loop"),
        zones=("pool",),
        start="2025-07-01",
        end="2025-07-04",
        shape={"pool": (600.0, 1000.0)},
        ways=ways,
        moves=(row,),
        dawns=dict.fromkeys(ways, (0.01, 0.02, 0.03)),
    )
    lines = [line for line in check_text(check, system).splitlines() if "temperature, mean" in line]
    assert lines[0].split()[2:] == moved
    assert lines[1].split()[2:] == [apart]


def checked_rows(*rows):
    ways = {"layers": "8 layers instead of 4"}
    return GridCheck(
        titles=("existing", "loop"), zones=("pool",), start="2025-07-01", end="2025-07-04",
        shape={"pool": (600.0, 1000.0)}, ways=ways, moves=rows, dawns=dict.fromkeys(ways, (0.01, 0.02, 0.03)),
    )  # fmt: skip


def moved_row(name, values, finer):
    template = declarations()[name].template
    known = {field.name: getattr(template, field.name) for field in fields(template)}
    return Moves(**known, values=values, finer={"layers": finer})


def test_a_difference_that_is_a_tie_is_not_counted_and_no_unit_is_printed_for_a_number():
    """0.255 m3 are 0.000207 acre-ft, of 5.27 acre-ft nothing that is printed; 400 m3 are a difference."""
    seeped = moved_row("lost_to_seepage", (6500.0, 6500.255), (6500.0, 6500.255))
    left = moved_row("outlet_volume", (6500.0, 6100.0), (6500.0, 6101.0))
    text = check_text(checked_rows(replace(seeped, main="always"), replace(left, main="always")))
    assert "Of 1 difference to the existing pond in the main measures 1 survives." in " ".join(text.split())
    assert "0.000207" not in text
    row = moved_row("starts_by_system", (3.0, 6.0), (3.0, 8.0))
    assert "[1]" not in check_text(checked_rows(row), full=True)


def test_where_nothing_moved_the_assumed_band_stays(folder, data):
    """No design has a failing day, so none can move: a day stays a tie, in the check and in compare."""
    row = replace(moved_row("days_failing_top", (1.0, 0.0), (1.0, 0.0)), tie=1.0)
    assert row.survives == (None, False)
    days = [one | {"band": 0.0, "largest_move": 0.0} for one in data["measures"]]
    (folder / "still.json").write_text(json.dumps(data | {"measures": days}), encoding="utf-8")
    files = folder / "runs" / "site.nc", folder / "runs" / "design.nc"
    said = " ".join(call("compare", *files, "--bands", folder / "still.json").output.split())
    assert "1 day below the 1-day minimum (assumed: nothing moved)" in said
    assert "0 days below" not in said


@pytest.mark.parametrize(
    ("system", "printed"),
    [("us", [("80.1", ""), ("79.2", "-0.9")]), ("si", [("26.7", ""), ("26.2", "-0.5")])],
)
def test_digits_of_a_temperature_follow_how_far_it_moved(system, printed):
    """26.7 and 26.2 degC are 80.06 and 79.16 degF; where they moved by 0.1 K the tenth of a degree stands."""
    known = {field.name: getattr(WARMTH, field.name) for field in fields(WARMTH)}
    row = Row(**known, values=(26.7, 26.2), no_contest=(False, False))
    bands = Bands(
        name="bands.json",
        zones=("pool",),
        start="2025-07-01",
        end="2025-07-04",
        shape=None,
        designs=("existing", "loop"),
        ways=("8 layers instead of 4",),
        moved={WARMTH.key: Band(0.1, 0.05)},
    )
    assert [(cell.value, cell.change) for cell in cells(bands.laid_on(row), system)] == printed
