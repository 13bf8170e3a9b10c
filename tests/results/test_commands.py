"""The commands, with a made-up engine where a run is needed."""

import csv
import io
import json
import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
from click.testing import CliRunner

import pondsim
from pondsim.cli import main
from pondsim.cli._tables import comparison_data
from pondsim.comparison import compare
from pondsim.errors import RunError, ScenarioError
from pondsim.results import load, save
from tests.results.ponds import small_pond
from tests.scenarios_for_tests import minimal_site

pytestmark = pytest.mark.filterwarnings("error")


def call(*args):
    return CliRunner().invoke(main, [str(arg) for arg in args])


@pytest.fixture
def engine(monkeypatch):
    """A run that gives a pond of the scenario's title, and remembers what it was asked."""
    asked = []

    def run(scenario, text, progress=None, **_):
        asked.append((scenario.title, text))
        if progress:
            progress(1.0)
        pumped = 0.02 if "loop" in scenario.title else 0.0
        oxygen = np.array([[[6.0], [4.5 if pumped else 2.0]]])
        return small_pond(oxygen, title=scenario.title, pumped=pumped)

    monkeypatch.setitem(sys.modules, "pondsim.simulate", SimpleNamespace(run=run))
    monkeypatch.setattr("pondsim.cli._common.say_when_compiling", lambda: None)
    return asked


@pytest.fixture
def files(tmp_path):
    """A site file and two designs on it."""
    (tmp_path / "site.toml").write_text(minimal_site())
    for title in ("existing", "loop"):
        (tmp_path / f"{title}.toml").write_text(f'site = "site.toml"\ntitle = "{title}"\n')
    return tmp_path


def test_help_imports_nothing_heavy():
    """What takes long to load is loaded by the commands that need it."""
    code = "import sys; from pondsim.cli import main\ntry: main(['--help'])\nexcept SystemExit: pass\n"
    heavy = ("numpy", "numba", "scipy", "xarray", "pint", "matplotlib", "pandas")
    code += f"print([m for m in {heavy!r} if m in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1] == "[]"
    assert all(name in done.stdout for name in ("check", "run", "compare", "export", "schema"))


@pytest.mark.parametrize("name", ["check", "run", "compare", "export", "schema"])
def test_every_command_explains_itself(name):
    result = call(name, "--help")
    assert result.exit_code == 0
    assert "Usage" in result.output


def test_an_unknown_command_is_told_the_known_ones():
    result = call("simulate")
    assert result.exit_code == 2
    assert "there is no command 'simulate'" in result.output


def test_run_writes_a_file_and_says_what_it_found(engine, files):
    result = call("run", files / "loop.toml", "-o", files / "loop.nc")
    assert result.exit_code == 0, result.output
    assert engine[0][0] == "loop"
    assert "title" in engine[0][1]
    assert load(files / "loop.nc").attrs["title"] == "loop"
    assert "Lowest dawn oxygen: arm, surface" in result.output
    assert "Cautions: Local codes" in result.output  # it has no equipment


def test_an_unwritable_place_stops_before_the_run(engine, files):
    result = call("run", files / "loop.toml", "-o", files / "no" / "loop.nc")
    assert result.exit_code == 2
    assert "there is no folder" in result.output
    result = call("compare", files / "existing.toml", files / "loop.toml", "--csv", files / "no" / "a.csv")
    assert result.exit_code == 2
    result = call("compare", files / "existing.toml", files / "loop.toml", "--figure", files / "a.bmp")
    assert result.exit_code == 2
    assert ".png" in result.output
    assert not engine


def test_faults_of_any_design_show_before_the_first_is_run(engine, files):
    (files / "bad.toml").write_text('site = "site.toml"\ntitle = "bad"\nwaterfal = 3\n')
    result = call("compare", files / "existing.toml", files / "bad.toml")
    assert result.exit_code == 2
    assert "bad.toml:3" in result.output
    assert "Traceback" not in result.output
    assert not engine


def test_a_failed_run_exits_with_one(monkeypatch, files):
    def run(scenario, text, progress=None, **_):
        raise RunError("at 2025-07-01 03:00 in arm: oxygen")

    monkeypatch.setitem(sys.modules, "pondsim.simulate", SimpleNamespace(run=run))
    monkeypatch.setattr("pondsim.cli._common.say_when_compiling", lambda: None)
    result = call("run", files / "loop.toml", "-o", files / "loop.nc")
    assert result.exit_code == 1
    assert result.output.strip() == "loop: at 2025-07-01 03:00 in arm: oxygen"


def test_compare_prints_findings_then_a_table_of_80_columns(engine, files):
    result = call("compare", files / "existing.toml", files / "loop.toml")
    assert result.exit_code == 0, result.output
    lines = result.output.splitlines()
    assert lines[0].startswith("No design meets the oxygen criteria")
    assert any(line.startswith('"existing": Lowest dawn oxygen') for line in lines)
    assert max(len(line) for line in lines) <= 80
    row = next(line for line in lines[lines.index("Lowest oxygen at dawn, top [mg/L]") :] if "arm" in line)
    assert row.split() == ["arm", "2.0!", "4.5*", "(+2.5)"]
    assert any(line.startswith("  A  existing") for line in lines)
    assert "momentum" in result.output
    assert "nan" not in result.output.lower()
    assert "box" not in result.output.split()


def test_compare_with_many_designs_stays_within_80_columns(engine, files):
    result = call("compare", files / "existing.toml", *[files / "loop.toml"] * 7, "--full", "--units", "si")
    assert result.exit_code == 0, result.output
    assert max(len(line) for line in result.output.splitlines()) <= 80
    assert "loop (7)" in result.output


def test_compare_writes_all_it_is_asked_for(engine, files):
    out = files / "out"
    result = call(
        *("compare", files / "existing.toml", files / "loop.toml", "--save", out, "--units", "si"),
        *("--figure", files / "a.png", "--json", files / "a.json", "--csv", files / "a.csv"),
    )
    assert result.exit_code == 0, result.output
    assert sorted(path.name for path in out.iterdir()) == ["existing.nc", "loop.nc"]
    assert f"Written to {out / 'loop.nc'}." in result.output
    assert (files / "a.png").read_bytes().startswith(b"\x89PNG")
    data = json.loads((files / "a.json").read_text())
    measure = next(m for m in data["measures"] if m["key"] == "oxygen_budget.bed_demand")
    assert (measure["unit"], measure["values"]) == ("kg/d", [-10.0, -10.0])
    assert data["designs"] == ["existing", "loop"]
    rows = list(csv.DictReader(io.StringIO((files / "a.csv").read_text())))
    turnover = next(row for row in rows if row["key"] == "nominal_turnover")
    assert turnover["existing"] == ""
    assert float(turnover["loop"]) == pytest.approx(1500 / 0.02 / 86400, rel=1e-6)
    dawn = next(row for row in rows if row["key"] == "dawn_lowest_top.arm")
    assert float(dawn["loop minus existing"]) == pytest.approx(2.5)


def test_results_files_can_be_compared_without_a_run(engine, files):
    for title in ("existing", "loop"):
        save(small_pond(title=title), files / f"{title}.nc")
    result = call("compare", files / "existing.nc", files / "loop.nc")
    assert result.exit_code == 0, result.output
    assert not engine
    (files / "cut.nc").write_bytes((files / "loop.nc").read_bytes()[:2000])
    result = call("compare", files / "existing.nc", files / "cut.nc")
    assert result.exit_code == 2
    assert "cut short" in result.output


def test_export_heads_carry_units_and_numbers_are_those_of_the_file(tmp_path):
    """25 degC is 77 degF; the arm is 2 m deep and holds 6 mg/L at 1.5 m, where the pool holds 6 too."""
    save(small_pond(np.array([3.0, 6.0, 9.0]), days=1), tmp_path / "a.nc")
    result = call(
        *("export", tmp_path / "a.nc", "--zone", "arm", "--depth", "1.5 m", "--depth", "bottom"),
        *("--variable", "oxygen", "--variable", "temperature", "--variable", "outflow"),
    )
    assert result.exit_code == 0, result.output
    rows = list(csv.reader(io.StringIO(result.output)))
    assert rows[0] == [
        "time",
        "arm 1.5 m dissolved_oxygen [mg/L]",
        "arm bottom dissolved_oxygen [mg/L]",
        "arm 1.5 m water_temperature [degF]",
        "arm bottom water_temperature [degF]",
        "outflow [gpm]",
    ]
    assert len(rows) == 26
    assert rows[1][0] == "2025-06-01 00:00"
    assert [float(cell) for cell in rows[1][1:]] == pytest.approx([6.0, 6.0, 77.0, 77.0, 31.7006], rel=1e-5)


def test_export_by_default_gives_oxygen_and_temperature_of_every_zone(tmp_path):
    save(small_pond(days=1), tmp_path / "a.nc")
    result = call("export", tmp_path / "a.nc", "-o", tmp_path / "a.csv", "--units", "si")
    assert result.exit_code == 0, result.output
    head = (tmp_path / "a.csv").read_text().splitlines()[0].split(",")
    assert len(head) == 1 + 2 * 2 * 3
    assert "pool top water_temperature [degC]" in head


@pytest.mark.parametrize(
    ("args", "words"),
    [
        (("--zone", "pol"), "did you mean pool?"),
        (("--variable", "disolved_oxygen"), "did you mean dissolved_oxygen?"),
        (("--depth", "3"), "has no unit"),
        (("--depth", "-3 ft"), "is above the water; write a depth below the surface, such as 3 ft"),
        (("--depth", "9 ft"), "deeper than these zones ever are: arm"),
    ],
)
def test_export_slips_get_clear_words(tmp_path, args, words):
    save(small_pond(days=1), tmp_path / "a.nc")
    result = call("export", tmp_path / "a.nc", *args)
    assert result.exit_code == 2
    assert words in result.output


def test_schema_is_json():
    result = call("schema")
    assert result.exit_code == 0
    assert json.loads(result.output)["type"] == "object"


def test_the_verbs_stay_verbs_when_their_modules_are_imported():
    import pondsim.comparison  # noqa: PLC0415
    import pondsim.reporting  # noqa: PLC0415
    import pondsim.results  # noqa: PLC0415

    assert callable(pondsim.compare)
    assert callable(pondsim.report)
    assert callable(pondsim.save)
    with pytest.raises(AttributeError):
        _ = pondsim.nothing


def billed(path):
    pond = small_pond(title="Loop", pumped=0.01).assign_coords(system=["pump"], month=["2025-06", "2025-07"])
    pond["bill_energy"] = (("month", "system"), np.array([[100.0], [50.0]]))
    pond["bill_peak_power"] = ("month", np.array([1.5, 1.0]))
    for name, values in (("energy", [14.0, 7.0]), ("demand", [9.0, 6.0]), ("fixed", [20.0, 20.0])):
        pond[f"bill_{name}_charge"] = ("month", np.array(values))
    pond["starts"], pond["trips"] = ("system", [12]), ("system", [1])
    pond.attrs["events"] = json.dumps([{"time": "2025-06-02 06:00:00", "system": "pump", "what": "started"}])
    save(pond, path)
    return path


def test_export_writes_bill_switching_and_events(tmp_path):
    path = billed(tmp_path / "a.nc")
    read = {
        name: list(csv.DictReader(io.StringIO(call("export", path, "--table", name).output)))
        for name in ("bill", "switching", "events")
    }
    assert [float(row["all charges [$]"]) for row in read["bill"]] == [43.0, 33.0]
    assert read["bill"][0]["pump energy [kWh]"] == "100"
    assert read["switching"][0]["starts"] == "12"
    assert read["events"] == [{"time": "2025-06-02 06:00:00", "system": "pump", "what": "started"}]


def test_export_of_a_table_that_is_not_there(tmp_path):
    save(small_pond(), tmp_path / "a.nc")
    result = call("export", tmp_path / "a.nc", "--table", "bill")
    assert result.exit_code == 2
    assert "no bill" in result.output
    result = call("export", billed(tmp_path / "b.nc"), "--table", "bill", "--zone", "arm")
    assert result.exit_code == 2
    assert "--zone" in result.output


def test_plan_needs_no_power(tmp_path):
    save(small_pond(pumped=0.01).drop_vars("power"), tmp_path / "a.nc")
    assert call("plot", tmp_path / "a.nc", "plan", "-o", tmp_path / "plan.png").exit_code == 0
    assert "lacks power" in call("plot", tmp_path / "a.nc", "electricity", "-o", tmp_path / "e.png").output


def test_a_file_is_no_scenario_and_metric_no_system():
    with pytest.raises(ScenarioError, match="read_scenario"):
        pondsim.run("site.toml")
    with pytest.raises(ScenarioError, match="metric"):
        pondsim.report([small_pond()], system="metric")


def test_every_key_of_the_json_is_documented():
    """docs/results.md has a row for each."""
    data = comparison_data(compare([small_pond(days=3), small_pond(days=3, title="loop")]))
    page = (Path(__file__).parents[2] / "docs" / "results.md").read_text(encoding="utf-8")
    rows = " ".join(line.split("|")[1] for line in page.splitlines() if line.startswith("| `"))
    assert {key for key in [*data, *data["measures"][0]] if f"`{key}`" not in rows} == set()
