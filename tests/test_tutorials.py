"""Pages that lead the hand: all they show is run, commands and Python, and what they print is compared."""

from __future__ import annotations

import importlib.util
import re
import sys
import tomllib
from pathlib import Path

import pytest

from pondsim.design.sheet import design_sheet
from pondsim.scenario.read import read_scenario
from tests.scenarios_for_tests import minimal_site

ROOT = Path(__file__).parents[1]
DOCS = ROOT / "docs"


def script(name):
    """A script of docs/studies."""
    spec = importlib.util.spec_from_file_location(name, DOCS / "studies" / f"{name}.py")
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[name] = module  # its dataclasses look there
    spec.loader.exec_module(module)
    return module


t = script("tutorials")


def compare_with(shown, output):
    """Every part stands there in order, its numbers to the last printed digit or so."""
    for match, then in t.found_in(shown, output):
        for now, old in zip(match.groups(), then, strict=True):
            assert float(now.rstrip(".")) == pytest.approx(
                float(old.rstrip(".")), rel=0.03, abs=0.1 if "." in old else 2.0
            ), match[0]


def text_of(name):
    return (DOCS / name).read_text(encoding="utf-8")


@pytest.mark.parametrize(
    "name",  # two of them run a dozen seasons each
    [
        pytest.param(name, marks=pytest.mark.slow if "designer" in name else pytest.mark.long)
        for name in t.FIRST_HOURS
    ],
)
def test_first_hour(name, tmp_path):
    shown = list(t.run_page(text_of(name), tmp_path))
    assert len(shown) >= 4
    for block, output in shown:
        compare_with(block.text, output)


@pytest.mark.slow
def test_from_the_pole_to_the_trench(tmp_path):
    """Pole readings to price, drawing, start-up day and calendar."""
    shown = list(t.run_page(text_of(t.TRENCH), tmp_path))
    assert len(shown) >= 7
    for block, output in shown:
        compare_with(block.text, output)


@pytest.mark.slow
def test_readings_of_a_logger(tmp_path):
    shown = list(t.run_page(text_of(t.READINGS), tmp_path))
    assert len(shown) == 2
    for block, output in shown:
        compare_with(block.text, output)


@pytest.mark.slow
def test_the_low_after_the_outage_comes_when_the_air_is_back(tmp_path):
    """What the manager's page says of off.csv."""
    page = text_of("first_hour_manager.md")
    begin, end = page.index("## 3 "), page.index("## 4 ")
    list(t.run_page("```sh\ncd scenarios/campus\n```\n" + page[begin:end], tmp_path))
    text = (tmp_path / "scenarios" / "campus" / "off.csv").read_text(encoding="utf-8")
    rows = [line.split(",") for line in text.splitlines()[1:]]
    top = {day: min(float(r[1]) for r in rows if r[0].startswith(f"2025-08-0{day}")) for day in range(3, 9)}
    assert all(4.55 <= top[day] < 5.55 for day in (4, 5, 6))  # "4.6 to 5.5"
    assert top[7] < 2.5


@pytest.mark.parametrize("name", t.FIRST_HOURS)
def test_first_hour_shows_what_it_runs(name):
    blocks = t.blocks(text_of(name))
    commands = [line for block in blocks if block.kind == "sh" for line in block.text.splitlines()]
    assert {line.split()[0] for line in commands} == {"cd", "pondsim"}
    assert {"new", "compare"} <= {line.split()[1] for line in commands if line.startswith("pondsim")}
    assert all(block.file for block in blocks if block.kind == "toml")
    assert text_of(name).count("```") == 2 * len(blocks)


SHOWN = "existing\n...\n  whole pond        1.5       7.28"
PAGE = f"```sh\ncd scenarios/campus\npondsim check existing.toml\n```\n\n```text\n{SHOWN}\n```\n\nEnd.\n"


@pytest.fixture(scope="module")
def printed(tmp_path_factory):
    [(block, output)] = t.run_page(PAGE, tmp_path_factory.mktemp("page"))
    assert block.text == SHOWN + "\n"
    return output


def test_what_is_printed_passes(printed):
    compare_with(SHOWN, printed)


@pytest.mark.parametrize(
    "shown", ["whole pond 1.5 9.99", "no such line", "whole pond\n...\nexisting\n", "whole pond 1.5 7.28 7"]
)
def test_a_page_that_says_something_else_is_found(printed, shown):
    with pytest.raises((AssertionError, t.TutorialError)):
        compare_with(shown, printed)


@pytest.mark.parametrize("line", ["pondsim check nothing.toml", "rm -r scenarios", "cd nowhere"])
def test_a_command_that_fails_is_found(line, tmp_path):
    with pytest.raises((t.TutorialError, OSError)):
        list(t.run_page(f"```sh\n{line}\n```\n", tmp_path))


def test_numbers_are_renewed_and_words_are_kept(printed, monkeypatch):
    page = PAGE.replace("existing\n", "...\n", 1).replace("1.5       7.28", "9 9").replace("...\n...", "...")
    block = t.blocks(page)[-1]
    monkeypatch.setattr(t, "run_page", lambda page, folder: [(block, printed)])
    fresh = t.renewed(page, Path())
    assert fresh.startswith(page[: block.start]) and fresh.endswith("```\n\nEnd.\n")
    assert re.search(r"\n\.\.\.\n  whole pond +1\.5 +7\.28 .*\n```", fresh)


@pytest.mark.slow
def test_notebook(tmp_path):
    shown = list(t.run_page(text_of(t.NOTEBOOK), tmp_path))
    assert len(shown) >= 4
    for block, output in shown:
        assert len(output.splitlines()) == len(block.text.splitlines())
        compare_with(block.text, output)


def wrong_guesses():
    """The script of the table, and the table's rows."""
    sys.path.insert(0, str(DOCS / "studies"))  # the studies share a module
    try:
        module = script("wrong_guess")
    finally:
        sys.path.remove(str(DOCS / "studies"))
    lines = marked("your_pond.md", "wrong guess").splitlines()
    return module, [[cell.strip() for cell in line.strip("|").split("|")] for line in lines if line]


def test_wrong_guesses_are_those_of_the_script():
    module, rows = wrong_guesses()
    assert rows[0] == module.HEAD
    assert [row[0] for row in rows[2:]] == ["as it is", *module.CASES]


@pytest.mark.slow
@pytest.mark.parametrize("case", ["as it is", "all depths 10 % more"])
def test_wrong_guess_costs_what_the_page_says(case):
    module, rows = wrong_guesses()
    now = module.row(case, module.CASES.get(case, lambda pond: pond))
    then = next(row for row in rows if row[0] == case)
    for a, b in zip(now[1:], then[1:], strict=True):
        assert float(a) == pytest.approx(float(b), abs=0.1)


def marked(name, mark):
    return text_of(name).split(f"<!-- {mark} -->\n")[1].split(f"<!-- end {mark} -->")[0]


def test_soundings_give_the_table_beside_them(tmp_path):
    """The page's sums again: count, trapezoid rule, mean depth; and what the program makes of the keys."""
    depths = [float(word) for word in re.findall(r"\d+", marked("your_pond.md", "soundings"))]
    each = 60000.0 / len(depths)
    rows = [
        [cell.strip().replace(",", "") for cell in line.strip("|").split("|")]
        for line in marked("your_pond.md", "stage table").splitlines()[2:]
    ]
    keys = tomllib.loads(marked("your_pond.md", "stage keys").replace("```toml", "").replace("```", ""))
    volumes = []
    for here, above in zip(rows, [*rows[1:], None], strict=True):
        depth, stage, area = float(here[0]), float(here[1]), float(here[3])
        assert stage == 100.0 - depth
        deeper, reaching = sum(d > depth for d in depths), sum(d == depth for d in depths)
        assert [float(part) for part in here[2].split("+")] == [deeper, reaching / 2.0]
        assert area == (deeper + reaching / 2.0) * each
        if above:
            volumes.append((area + float(above[3])) / 2.0 * (depth - float(above[0])))
            assert float(here[4]) == volumes[-1]
    assert keys["stage"] == [f"{float(row[1]):g} ft" for row in rows] + ["103 ft"]
    assert keys["area"] == [f"{float(row[3]):g} ft2" for row in rows] + ["69000 ft2"]
    finer = [sum(d > z for d in depths) + sum(d == z for d in depths) / 2.0 for z in range(10)]
    foot_by_foot = (sum(finer) - (finer[0] + finer[-1]) / 2.0) * each
    words = text_of("your_pond.md")
    assert f"{sum(volumes):,.0f} ft3, {sum(volumes) / 43560.0:.2f} acre-ft" in words
    direct = sum(depths) * each
    assert f"is {direct:,.0f} ft3" in words
    assert f"differ by {100.0 * (sum(volumes) / direct - 1.0):.1f} %" in words
    assert abs(foot_by_foot - direct) < abs(sum(volumes) - direct)  # "stages every foot would come closer"
    head, rest = minimal_site().split("[[zone]]", 1)
    weather = rest[rest.index("[weather.synthetic]") : rest.index("[[inflow]]")]
    pool = 'normal_pool = "100 ft"\nbank_top = "103 ft"\n\n'
    zone = '[[zone]]\nname = "all"\ncentre = ["0 ft", "0 ft"]\n' + "\n".join(
        f"{key} = {list(map(str, value))}".replace("'", '"') for key, value in keys.items()
    )
    path = tmp_path / "site.toml"
    path.write_text(f"{head.split('[pond]')[0]}[pond]\n{pool}{zone}\n\n{weather}", encoding="utf-8")
    sheet = design_sheet(read_scenario(path))
    assert sheet.volume / 0.3048**3 == pytest.approx(sum(volumes), rel=1e-3)
    assert sheet.area / 0.3048**2 == pytest.approx(60000.0, rel=1e-6)
