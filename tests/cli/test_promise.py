"""`pondsim promise` from outside: a small study, its files, its page, many ponds, and what is refused."""

from __future__ import annotations

import csv
import json
import re

import pytest

from pondsim.reporting import report
from pondsim.reporting.promise import read_promise
from pondsim.results import load
from tests.cli.common import call
from tests.ensemble.ponds import two_designs
from tests.ensemble.test_study import SMALL

TITLE = "Waterfall and night air (invented)"


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    folder = tmp_path_factory.mktemp("promise")
    two_designs(folder, SMALL, days=2)
    return folder


@pytest.fixture(scope="module")
def told(folder):
    files = {"-o": "m.nc", "--json": "m.json", "--csv": "m.csv", "--figure": "m.svg"}
    options = [part for name, file in files.items() for part in (name, str(folder / file))]
    designs = [str(folder / name) for name in ("existing.toml", "design.toml")]
    return call("promise", *designs, "--members", "8", *options)


def test_the_whole_answer(told, folder):
    """Table of 80 columns, pair by pair; files say the same; nothing that was kept beside is left."""
    assert told.exit_code == 0, told.stderr
    assert max(map(len, told.stdout.splitlines())) <= 80
    for words in ("8 of 8 members, July 1 to July 3", "By weather year", "usual", "hot", "read", "dawn"):
        assert words in told.stdout
    data = json.loads((folder / "m.json").read_text())
    rows = {row["key"]: row for row in data["designs"][TITLE]["paired"]}
    table = list(csv.DictReader((folder / "m.csv").read_text().splitlines()))
    assert {row["key"] for row in table} == set(rows)
    of_cove = next(row for row in table if row["key"] == "dawn_mean_top.cove")
    assert float(of_cove["difference"]) == rows["dawn_mean_top.cove"]["difference"]
    assert not (folder / "m_members").exists() and (folder / "m.svg").read_text().startswith("<?xml")
    assert "validated" not in told.stdout and data["designs"][TITLE]["conditions"]


def test_the_picture_is_of_a_measure_that_the_table_shows_and_says_how_many_members(told, folder):
    """The ranked measure stands in the table without --full; eight members are no nine of ten."""
    data = json.loads((folder / "m.json").read_text())
    key = data["designs"][TITLE]["ranked_measure"]
    row = next(row for row in data["designs"][TITLE]["paired"] if row["key"] == key)
    assert row["main"] and row["measure"] in told.stdout.replace("\n", " ")
    assert row["measure"] in words_of(folder / "m.svg")


def words_of(picture):
    return " ".join(re.sub(r"<[^>]*>", " ", picture.read_text(encoding="utf-8")).split())


def test_the_headline_names_its_measure_and_how_its_place_was_picked(told, folder):
    """By the table: the zone with the larger share of members better; the other where most are worse."""
    design = json.loads((folder / "m.json").read_text())["designs"][TITLE]
    stem = design["ranked_measure"].partition(".")[0]
    rows = [row for row in design["paired"] if row["key"].startswith(f"{stem}.")]
    best, worst = max(rows, key=lambda row: row["better"][0]), max(rows, key=lambda row: row["worse"][0])
    assert len(rows) == 2 and best is not worst and worst["worse"][0] > 0.5
    said = words_of(folder / "m.svg")
    assert (
        f'"{TITLE}" changes {best["measure"][0].lower()}{best["measure"][1:]}, in {best["place"]}, by' in said
    )
    reached = f"{best['low']:+.1f} to {best['high']:+.1f} mg/L (5 to 95 % of 8 members)"
    assert f"{reached}: the place in which most members are better beyond a tie" in said
    assert f"most are worse in {worst['place']}, {worst['low']:+.1f} to {worst['high']:+.1f}" in said


def test_members_are_read_again_and_asked_for_another_measure(told, folder):
    again = call("promise", str(folder / "m.nc"), "--measure", "hours_below_5_top.cove", "--units", "si")
    assert again.exit_code == 0 and "Hours below 5 mg/L, top, cove" in again.stdout


@pytest.mark.parametrize(
    ("key", "said"),
    [
        ("oxygen", "no measure of these members that is better one way; such as days_failing_top."),
        ("dawn_mean_tip.cove", 'did you mean "dawn_mean_top.cove"? such as days_failing_top.'),
        ("outlet_volume", "no measure of these members that is better one way"),
        ("nominal_turnover", 'fewer than two members have a value with "'),  # of the pump that A lacks
    ],
)
def test_a_measure_that_members_cannot_promise_is_named_with_its_option(told, folder, key, said):
    strange = call("promise", str(folder / "m.nc"), "--measure", key)
    assert strange.exit_code == 2 and strange.stderr.startswith(f"--measure {key}: ")
    assert said in strange.stderr and "Traceback" not in strange.stderr


def test_the_page_takes_it(told, folder):
    """Sentence and what it rests on, on the page of the same designs; members of others are refused."""
    for name in ("existing", "design"):
        call("run", str(folder / f"{name}.toml"), "-o", str(folder / f"{name}.nc"))
    results = [load(folder / f"{name}.nc") for name in ("existing", "design")]
    found = read_promise(folder / "m.json")
    made = report(results, promise=found)
    assert found.sentences[TITLE].split(".")[0].replace('"', "&#34;") in made.html
    assert "What this rests on" in made.html and "members_1" in made.tables
    assert "with no interval" not in made.html and made.html.count("with the interval over 8 members") == 2
    found.whole["designs"]["another"] = found.whole["designs"].pop(TITLE)
    with pytest.raises(Exception, match='members of "another": no results of that title'):
        report(results, promise=found)
    (folder / "x.json").write_text("{}")
    with pytest.raises(Exception, match="holds no intervals of designs"):
        read_promise(folder / "x.json")


def test_all_that_is_unknown_of_a_pond_whose_algae_grow(tmp_path):
    """Growth, phosphorus and the bed's stores are drawn over their ranges; every member runs."""
    two_designs(tmp_path, days=4, layers=4)
    designs = [tmp_path / name for name in ("existing.toml", "design.toml")]
    told = call("promise", *designs, "--members", "8", "--json", tmp_path / "m.json", "--full")
    assert told.exit_code == 0, told.stderr
    data = json.loads((tmp_path / "m.json").read_text())
    assert data["members"] == data["asked"] == 8 and not data["failures"]
    names = {one["name"] for one in data["unknowns"]}
    assert {"algae.growth", "phosphorus.mobile_share", "bed.fast_share", "stormwater.phosphorus"} <= names
    assert not {"algae.chlorophyll", "algae.photosynthesis", "judging.smell_debt"} & names
    rows = {row["key"]: row for row in data["designs"][TITLE]["paired"]}
    green = [key for key in rows if "chlorophyll" in key]
    assert green and all(rows[key]["low"] < rows[key]["high"] for key in green)


def test_many_ponds_are_ranked(folder, tmp_path):
    park = []
    for name in ("north", "south"):
        (tmp_path / name).mkdir()
        two_designs(tmp_path / name, SMALL, days=2)
        park.append(str(tmp_path / name))
    (tmp_path / "south" / "prices.toml").write_text(
        'currency = "$"\n[worth]\nrate = "5 %"\n[[extra]]\nitem = "all"\nprice = 9000\n'
    )
    told = call("promise", *park, "--members", "2", "--csv", str(tmp_path / "park.csv"))
    assert told.exit_code == 0, told.stderr
    assert max(map(len, told.stdout.splitlines())) <= 80
    rows = list(csv.DictReader((tmp_path / "park.csv").read_text().splitlines()))
    assert [row["pond"] for row in rows] == ["south", "north"]  # without prices there is no rank
    assert float(rows[0]["yearly cost"]) == pytest.approx(9000 * 0.1295, rel=1e-3)  # A/P of 5 %, 10 years
    (tmp_path / "empty").mkdir()
    refused = call("promise", *park, str(tmp_path / "empty"))
    assert refused.exit_code == 2 and "needs existing.toml and at least one design" in refused.stderr
    assert not list(tmp_path.glob("*/finished_runs"))
    (tmp_path / "bad.toml").write_text('currency = "$"\n')
    for options, said in (
        (("--json", tmp_path / "a.json"), "--json: goes with one pond"),
        (("--prices", tmp_path / "bad.toml"), "[worth] is missing"),
    ):
        refused = call("promise", *park, "--members", "2", *options)
        assert refused.exit_code == 2 and said in refused.stderr and "(1 of 2)" not in refused.stderr


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (["--members", "200"], "--members 200: draws fill their ranges evenly only for a power of two"),
        (["--seed", "-4"], "not in the range x>=0"),
        (["--workers", "2", "--cluster", "tcp://127.0.0.1:9"], "give one of the two"),
        (["--cluster", "here"], "not a way to do runs"),
        (["--figure", "a.doc"], "a picture ends in"),
        (["--confidence", "2"], "--confidence 2: write a share from 0.5 to 0.99"),
        (["-o", "design.toml"], "is an input of this command"),
        (["--measure", "foo"], "--measure foo: no measure has this name; such as dawn_mean_top."),
        (["--measure", "dawn_mean_tip.cove"], 'did you mean "dawn_mean_top"? such as dawn_mean_top.'),
        (["--measure", "dawn_mean_top"], "names no zone of this pond; write one of dawn_mean_top."),
        (["--measure", "outlet_volume"], "is better neither way"),
    ],
)
def test_what_cannot_be_is_refused_before_anything_is_run(folder, options, said, monkeypatch):
    monkeypatch.setattr("pondsim.ensemble.study.RunDrawn.__call__", lambda *_: 1 / 0)
    options = [str(folder / one) if one in ("design.toml", "a.doc") else one for one in options]
    told = call("promise", str(folder / "existing.toml"), str(folder / "design.toml"), *options)
    assert told.exit_code == 2 and said in told.stderr and "Traceback" not in told.stderr


def test_a_fault_of_a_range_is_told_at_its_line(tmp_path):
    two_designs(tmp_path, SMALL.replace('low = "1 g/m2/d"', 'low = "9 g/m2/d"'), days=2)
    told = call("promise", str(tmp_path / "existing.toml"), str(tmp_path / "design.toml"))
    line = (tmp_path / "site.toml").read_text().split('low = "9')[0].count("\n") + 1
    assert told.exit_code == 2 and f"site.toml:{line}: unknowns.range.1.low" in told.stderr
