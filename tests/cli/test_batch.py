"""Values laid over every design, variants from one file, and storms of each, in one call."""

from __future__ import annotations

import csv
import io
import json

import pytest

from pondsim.cli import _batch_run
from pondsim.scenario.read import read_scenario
from tests.cli.common import call, write_files
from tests.cli.test_storm import STORMS
from tests.storms_for_tests import NO_INFLOW

SHORTER = ('end = "2025-07-11"', 'end = "2025-07-05"')
FEW_LAYERS = ('low_pool = "9 ft"', 'low_pool = "9 ft"\nlayers = 4')
VARIANTS = """
[[variant]]
name = "more demand"
[variant.set]
"bed.oxygen_demand" = "4 g/m2/d"

[[variant]]
name = "more pumped"
set.pump.flow = "500 gpm"
"""


def ponds(folder):
    design = write_files(folder, NO_INFLOW, SHORTER, FEW_LAYERS)
    site = folder / "site.toml"
    site.write_text(site.read_text(encoding="utf-8") + STORMS, encoding="utf-8")
    (folder / "variants.toml").write_text(VARIANTS, encoding="utf-8")
    return site, design


def rows_of(path):
    rows = csv.DictReader(io.StringIO(path.read_text(encoding="utf-8")))
    return {(row["variant"], row["storm"], row["key"]): list(row.values())[6:] for row in rows}


def notes_of(result):
    """What a command notes, but for the mass balance, whose rounding differs from run to run."""
    parts = [" ".join(part.split()) for part in result.stdout.split("\n\n")]
    return [part for part in parts if part.startswith("Note: ") and "Mass balance" not in part]


def test_a_value_laid_over_every_design_is_that_of_the_files(tmp_path):
    """The same demand written into the site file gives the same numbers."""
    site, design = ponds(tmp_path)
    laid, written = tmp_path / "laid.csv", tmp_path / "written.csv"
    result = call("compare", site, design, "--set", "bed.oxygen_demand=4 g/m2/d", "--csv", laid)
    assert result.exit_code == 0, result.output
    assert "bed.oxygen_demand = 4 g/m2/d" in result.stdout
    assert "\nas set: " in result.stdout and "as stated:" not in result.stdout
    assert max(len(line) for line in result.stdout.splitlines()) <= 80
    site.write_text(
        site.read_text(encoding="utf-8") + '\n[bed]\noxygen_demand = "4 g/m2/d"\n', encoding="utf-8"
    )
    plainly = call("compare", site, design, "--csv", written)
    assert plainly.exit_code == 0
    assert notes_of(result) == notes_of(plainly) != []
    rows = csv.DictReader(io.StringIO(written.read_text(encoding="utf-8")))
    plain = {row["key"]: list(row.values())[4:6] for row in rows}
    found = {key: values for (_, _, key), values in rows_of(laid).items()}
    assert found == plain and len(found) > 100


def test_variants_and_storms_of_every_design(tmp_path):
    site, design = ponds(tmp_path)
    made = tmp_path / "all.csv"
    result = call(
        "compare", site, design, "--variants", tmp_path / "variants.toml", "--storms", "2yr,10yr",
        "--csv", made, "--json", tmp_path / "all.json",
    )  # fmt: skip
    assert result.exit_code == 0, result.output
    assert "site.toml: pump.flow does not apply" in " ".join(result.stderr.split())
    rows = rows_of(made)
    assert {(variant, storm) for variant, storm, _ in rows} == {
        (variant, storm)
        for variant in ("as stated", "more demand", "more pumped")
        for storm in ("", "2yr", "10yr")
    }
    stated, more = (rows[name, "", "electricity"] for name in ("as stated", "more pumped"))
    assert stated[0] == more[0] and float(more[1]) > float(stated[1])  # the existing pond has no pump
    takes = [rows[name, "", "oxygen_budget.bed_demand"][0] for name in ("as stated", "more demand")]
    assert float(takes[1]) < float(takes[0]) < 0.0
    assert float(rows["as stated", "10yr", "peak_out"][0]) > float(rows["as stated", "2yr", "peak_out"][0])
    variants = json.loads((tmp_path / "all.json").read_text(encoding="utf-8"))["variants"]
    assert variants[2]["set"] == {"pump.flow": "500 gpm"} and len(variants[2]["storms"]) == 2


def batch(folder, *options):
    site, design = folder / "site.toml", folder / "design.toml"
    result = call("compare", site, design, "--variants", folder / "variants.toml", *options)
    assert result.exit_code == 0, result.output
    return result.stdout


def test_a_batch_goes_on_with_the_runs_that_are_kept(tmp_path, monkeypatch):
    """Finished runs are read, not run again; a damaged one is run again; the answer is the same."""
    ponds(tmp_path)
    pumped = "[[variant]]" + VARIANTS.split("[[variant]]")[2]
    (tmp_path / "variants.toml").write_text(pumped, encoding="utf-8")
    ran = []
    whole = _batch_run.run_task
    monkeypatch.setattr(_batch_run, "run_task", lambda task: ran.append(task) or whole(task))
    first = batch(tmp_path, "--keep", tmp_path / "kept")
    kept = sorted((tmp_path / "kept").glob("*.done"))
    assert len(kept) == len(ran) == 3  # no value of the variant touches the existing pond: it runs once
    kept[0].write_bytes(b"broken off")
    assert batch(tmp_path, "--keep", tmp_path / "kept") == first
    assert len(ran) == 4
    (tmp_path / "variants.toml").write_text(pumped.replace("500 gpm", "600 gpm"), encoding="utf-8")
    assert batch(tmp_path, "--keep", tmp_path / "kept") != first
    assert len(ran) == 5


@pytest.mark.slow
def test_processes_give_the_answer_of_threads(tmp_path):
    ponds(tmp_path)
    assert batch(tmp_path, "--storms", "2yr", "--workers", "2") == batch(tmp_path, "--storms", "2yr")


@pytest.mark.parametrize(
    ("options", "told"),
    [
        (("--keep", "kept"), "go with --set, --variants and --storms"),
        (("--workers", "0", "--storms", "2yr"), "0 is not in the range"),
        (("--set", "bed.oxygen_demand"), "write KEY=VALUE"),
        (("--set", "bed.oxygen_damand=3 g/m2/d"), "did you mean"),
        (("--set", "bed.oxygen_demand=3 gpm"), "--set: bed.oxygen_demand"),
        (("--set", "wet_well.pump_off=3 ft"), "is a key of a section that no design has"),
        (("--set", "bed.oxygen_demand=3 g/m2/d", "--save", "kept"), "write the values into design files"),
        (("--storms", "500yr"), 'there is no storm "500yr"'),
        (("--storms", ""), "names no storm"),
        (("--pool", "9.9 ft"), "goes with --storms"),
    ],
)
def test_what_cannot_be_laid_over_is_told(tmp_path, options, told):
    site, design = ponds(tmp_path)
    options = [str(tmp_path / one) if one == "kept" else one for one in options]
    result = call("compare", site, design, *options)
    assert result.exit_code == 2, result.output
    assert told in " ".join(result.output.split())
    assert "Traceback" not in result.output


@pytest.mark.parametrize(
    ("text", "line", "told"),
    [
        ('[[variant]]\nname = "a"\n[[variant]]\nname = "a"\n', 4, "is given twice"),
        ('[[variant]]\nset.bed.oxygen_demand = "3 g/m2/d"\n', 1, "wants name"),
        ('name = "a"\n', 1, "wants sections [[variant]]"),
        ('[[variant]]\nname = "a"\nset = 3\n', 3, "is no section"),
        ('[[variant]]\nname = "a"\nset.bed.oxygen_demand = "3 gpm"\n', 3, "bed.oxygen_demand"),
    ],
)
def test_a_file_of_variants_at_fault_is_told_with_its_line(tmp_path, text, line, told):
    site, design = ponds(tmp_path)
    (tmp_path / "variants.toml").write_text(text, encoding="utf-8")
    result = call("compare", site, design, "--variants", tmp_path / "variants.toml")
    assert result.exit_code == 2, result.output
    assert told in result.output
    assert f"variants.toml:{line}:" in result.output


OWN_DEMAND = 'bed_oxygen_demand = "1.5 g/m2/d"\n'
BROAD = 'name = "{}"\n'


def with_own_demand(site, *zones):
    """The site file with a demand of their own in some zones."""
    text = site.read_text(encoding="utf-8")
    for zone in zones:
        text = text.replace(BROAD.format(zone), BROAD.format(zone) + OWN_DEMAND, 1)
    site.write_text(text, encoding="utf-8")


@pytest.mark.parametrize(
    ("key", "told"),
    [
        (
            "bed.oxygen_demand=3 g/m2/d",
            "every zone states its own value. Set zone.deep pool.bed_oxygen_demand, "
            "zone.cove.bed_oxygen_demand in its place.",
        ),
        ("algae.growth=1.5 1/d", "it acts on grown algae only, and these are given"),
        ("light.algae_extinction=0.03 m2/mg", "it acts on grown algae only, and these are given"),
        ("resuspension.half_supply=1 kg/m2", "neither waves nor the waterfall's return stir up mud"),
        ("algae.chlorophyll=30 ug/L", "the other keys of the design leave it no say"),
        ("gas_transfer.k600_cooling=0.4 m/d", 'gas_transfer.law = "wind" makes no use of it.'),
        ("phosphorus.bound_release=0.5 1/d", "it acts on grown algae only, and these are given"),
        ("weather.fill_gaps=3 h", "the other keys of the design leave it no say."),  # no weather file
        ("pump.shutoff_share=1.2", "the other keys of the design leave it no say."),  # no rated point
        ("zone.cove.shoreline=30 ft", "the other keys of the design leave it no say."),  # nothing erodes
        ("ice.albedo=0.4", "the air never falls below 5 degC (41 degF) in this period, so that no ice forms"),
        ("storm.1.depth=3 in", "a design storm is run where --storms asks for it, and nowhere else."),
    ],
)
def test_a_value_that_has_no_say_is_refused(tmp_path, key, told):
    """From an option and from a variant: nothing is run, so nobody reads that nothing changes."""
    site, design = ponds(tmp_path)
    with_own_demand(site, "deep pool", "cove")
    name, _, value = key.partition("=")
    (tmp_path / "variants.toml").write_text(
        f'[[variant]]\nname = "a"\nset.{name} = {json.dumps(value)}\n', encoding="utf-8"
    )
    text = site.read_text(encoding="utf-8") + '\n[gas_transfer]\nlaw = "wind"\n[ice]\n'
    for day in (1, 9):
        text += f'\n[[algae.reading]]\ndate = "2025-07-0{day}"\nchlorophyll = "20 ug/L"\n'
    site.write_text(text, encoding="utf-8")
    for options in (("--set", key), ("--variants", tmp_path / "variants.toml")):
        result = call("compare", site, design, *options)
        said = " ".join(result.output.split())
        assert result.exit_code == 2, result.output
        assert f"{name} changes nothing: {told}" in said


@pytest.mark.parametrize(
    "setting",
    [
        *("pump.efficiency=60 %", "waterfall.steps=2", "judging.smell_debt=1 mg/L", "title=another"),
        *(
            "start.spin_up=3 d",
            "pond.freeboard=1 ft",
            "period.output_step=30 min",
            "numerics.tolerance=2",
            "aeration.pool air.diffusers=3",
            "outlet.weir.width=5 ft",
        ),
    ],
)
def test_a_value_that_has_a_say_is_taken(tmp_path, monkeypatch, setting):
    site, design = ponds(tmp_path)
    monkeypatch.setattr(_batch_run, "run_task", lambda task: 1 / 0)
    result = call("compare", site, design, "--set", setting)
    assert isinstance(result.exception, ZeroDivisionError) and "changes nothing" not in result.output


def test_a_storm_has_a_say_where_storms_are_run(tmp_path, monkeypatch):
    site, design = ponds(tmp_path)
    monkeypatch.setattr(_batch_run, "run_task", lambda task: 1 / 0)
    result = call("compare", site, design, "--storms", "2yr", "--set", "storm.1.depth=3 in")
    assert isinstance(result.exception, ZeroDivisionError), result.output


def test_a_value_of_some_zones_only_is_said(tmp_path, monkeypatch):
    site, design = ponds(tmp_path)
    with_own_demand(site, "cove")
    monkeypatch.setattr(_batch_run, "run_task", lambda task: 1 / 0)
    result = call("compare", site, design, "--set", "bed.oxygen_demand=3 g/m2/d")
    said = " ".join(result.output.split())
    assert "bed.oxygen_demand is not that of every zone: zone.cove.bed_oxygen_demand" in said
    assert "changes nothing" not in said


def test_the_small_pond_of_these_tests_reads(tmp_path):
    site, design = ponds(tmp_path)
    assert [storm.name for storm in read_scenario(design).storm] == ["2yr", "10yr"]
    assert read_scenario(site).pump is None


def test_what_runs_of_storms_say_of_themselves_is_noted_once(tmp_path):
    """12 in of rain over a weir of 1 ft stands in the freeboard, which no day of the season does.

    What the season has said of a design already is not said again; the file has all of it with its code.
    """
    site, design = ponds(tmp_path)
    made = tmp_path / "said.json"
    high = ("storm.2.depth=12 in", "outlet.weir.width=1 ft", "pond.freeboard=1.9 ft")
    laid = [part for text in high for part in ("--set", text)]
    result = call("compare", site, design, "--storms", "10yr", *laid, "--json", made)
    assert result.exit_code == 0, result.output
    (note,) = [one for one in notes_of(result) if one.startswith("Note: storm 10yr")]
    assert "freeboard" in note and note.startswith("Note: storm 10yr: ")  # both designs: none is named
    assert sum("Resuspension" in one for one in notes_of(result)) == 1
    (storm,) = json.loads(made.read_text(encoding="utf-8"))["variants"][0]["storms"]
    codes = [[one["code"] for one in of_design] for of_design in storm["remarks"]]
    assert len(codes) == 2 and all({"freeboard_used", "resuspension"} <= set(own) for own in codes)
