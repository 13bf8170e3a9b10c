"""pondsim new: the starter runs as it stands, and its comments agree with what a file may say."""

from __future__ import annotations

import json
import re
import tomllib
from pathlib import Path

import pytest

from pondsim import starter
from pondsim.results import load
from pondsim.scenario.convert import si_unit
from pondsim.scenario.defaults import default_parameter
from pondsim.scenario.keys import Key, keys_of
from pondsim.scenario.settings import Scenario
from pondsim.units import to_si
from tests.cli.common import call

FOLDER = Path(starter.__file__).parent
RANGE = re.compile(r"([-\d.]+(?: \S+)?) to ([-\d.]+(?: \S+)?)(?: (over|under) normal pool)?")
NOT_TYPICAL = {"place.longitude", "place.utc_offset"}  # the pond lies in the open ocean on purpose
NO_NUMBER = {"text", "name", "choice", "instant", "hours", "point", "season", "file", "flag"}
SHORT = 'period.end = "2025-05-18 00:00"\nweather.hot_spell = []\n'


def entries(text):
    """Section, key, its comment lines and its value, for every line of a template that gives a value."""
    section, comment = "", []
    for line in text.splitlines():
        if head := re.match(r"\[+([\w.]+)\]+", line):
            section, comment = head[1], []
        elif line.startswith("#"):
            comment.append(line.removeprefix("#").strip())
        elif given := re.match(r"(\w+) = ", line):
            value = tomllib.loads(line)[given[1]]
            yield section, given[1], comment, value
        else:
            comment = [] if not line else comment
        # a comment serves the lines that follow it up to the next empty one


def key_of(section: str, name: str) -> Key:
    """What the settings say of a key."""
    settings = Scenario
    for part in filter(None, section.split(".")):
        inner = keys_of(settings)[part].section
        assert inner is not None
        settings = inner
    return keys_of(settings)[name]


def limits(key: Key) -> tuple[float, float]:
    """What a file may say, SI."""
    if key.parameter:
        row = default_parameter(key.parameter)
        return row.least, row.most
    return to_si(str(key.least), si_unit(key)), to_si(str(key.most), si_unit(key))


ALL = [
    (file, *entry) for file in starter.FILES for entry in entries((FOLDER / file).read_text(encoding="utf-8"))
]


def first_of_each():
    seen = set()
    for file, section, name, comment, value in ALL:
        key = key_of(section, name) if name != "site" else None
        if key is None or key.kind in ("text", "name", "choice") or (section, name) in seen:
            continue
        seen.add((section, name))
        yield pytest.param(file, key, comment, value, id=f"{section}.{name}")


CASES = list(first_of_each())


def test_the_templates_are_read_as_meant():
    assert len(CASES) > 50


@pytest.mark.parametrize(("file", "key", "comment", "value"), CASES)
def test_every_key_says_how_to_measure_what_is_typical_and_what_a_wrong_guess_costs(
    file, key, comment, value
):
    assert any(line.startswith("how: ") for line in comment)
    assert any(line.startswith("if wrong: ") for line in comment)
    typical = [line for line in comment if line.startswith("typical: ")]
    assert len(typical) == (0 if key.kind in NO_NUMBER else 1)


def ranged():
    pool = to_si("100 ft", "m")
    for case in CASES:
        _, key, comment, value = case.values
        for line in comment:
            if line.startswith("typical: "):
                found = RANGE.fullmatch(line.removeprefix("typical: "))
                assert found, line
                low, high = (to_si(text, si_unit(key)) for text in found.groups()[:2])
                if found[3]:
                    sign = 1.0 if found[3] == "over" else -1.0
                    low, high = sorted((pool + sign * low, pool + sign * high))
                    value = value[0] if isinstance(value, list) else value
                yield pytest.param(case.id, key, low, high, value, id=case.id)


@pytest.mark.parametrize(("name", "key", "low", "high", "value"), list(ranged()))
def test_typical_ranges_lie_within_what_a_file_may_say(name, key, low, high, value):
    least, most = limits(key)
    assert least <= low < high <= most
    if name not in NOT_TYPICAL:
        for one in value if isinstance(value, list) else [value]:
            assert low <= to_si(str(one), si_unit(key)) <= high


def test_normal_pool_is_what_the_ranges_are_counted_from():
    assert tomllib.loads((FOLDER / "site.toml").read_text())["pond"]["normal_pool"] == "100 ft"


def test_every_file_says_that_it_is_invented_and_carries_cautions():
    for name in starter.FILES:
        assert "invented" in (FOLDER / name).read_text(encoding="utf-8").splitlines()[0].lower()
    for name in ("waterfall.toml", "night_air.toml"):
        assert "Cautions: " in (FOLDER / name).read_text(encoding="utf-8")


def test_new_check_run_compare(tmp_path):
    folder = tmp_path / "my pond"
    made = call("new", folder)
    assert made.exit_code == 0, made.output
    assert 'pondsim check "' in made.output
    assert sorted(path.name for path in folder.iterdir()) == sorted(starter.FILES)
    assert [path.name for path in tmp_path.iterdir()] == ["my pond"]
    designs = [folder / name for name in starter.FILES[1:]]
    for design in designs:
        checked = call("check", design)
        assert checked.exit_code == 0, checked.output
        text = design.read_text(encoding="utf-8")
        design.write_text(text.replace('title = "', SHORT + 'title = "'), encoding="utf-8")
    ran = call("run", designs[1], "-o", tmp_path / "waterfall.nc")
    assert ran.exit_code == 0, ran.output
    assert load(tmp_path / "waterfall.nc").attrs["title"] == "waterfall"
    compared = call("compare", *designs, "--json", tmp_path / "table.json")
    assert compared.exit_code == 0, compared.output
    rows = {
        row["key"]: row["values"] for row in json.loads((tmp_path / "table.json").read_text())["measures"]
    }
    assert rows["electricity"][0] == 0.0 < rows["electricity"][2] < rows["electricity"][1]


def test_an_empty_folder_is_filled(tmp_path):
    (tmp_path / "pond").mkdir()
    assert call("new", tmp_path / "pond").exit_code == 0
    assert len(list((tmp_path / "pond").iterdir())) == len(starter.FILES)


@pytest.mark.parametrize("what", ["file", "full", "link", "no parent", "no name"])
def test_nothing_is_written_over(tmp_path, what):
    target = tmp_path / "pond"
    if what == "file":
        target.write_text("mine")
    elif what == "full":
        target.mkdir()
        (target / "photo.jpg").write_text("mine")
    elif what == "link":
        target.symlink_to(tmp_path / "nowhere")
    elif what == "no parent":
        target = tmp_path / "none" / "pond"
    else:
        target = Path("/")
    before = sorted(str(path) for path in tmp_path.rglob("*"))
    result = call("new", target)
    assert result.exit_code == 2
    assert str(target) in result.output
    assert len(result.output.splitlines()) == 1
    assert sorted(str(path) for path in tmp_path.rglob("*")) == before
    if what == "file":
        assert target.read_text() == "mine"


def test_a_failure_on_the_way_leaves_nothing(tmp_path, monkeypatch):
    monkeypatch.setattr(starter, "FILES", ("site.toml", "missing.toml"))
    result = call("new", tmp_path / "pond")
    assert result.exit_code == 2
    assert list(tmp_path.iterdir()) == []
