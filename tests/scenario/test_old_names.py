# ruff: noqa: E501 (one row is one key)
"""Keys that were renamed: read by their old names for one version, and the user is told."""

from __future__ import annotations

import pytest

from pondsim.comparison.remarks import sentence
from pondsim.scenario.old_names import new_key
from pondsim.scenario.read import read
from pondsim.scenario.schema import json_schema
from pondsim.scenario.values import value_at, with_value
from pondsim.scenario.vary import Change, read_changed
from tests.scenarios_for_tests import faults_of, minimal_design, minimal_site, write_design

FOOT, MG = 0.3048, 1e-3
SENSOR = '[aeration.set_point]\nzone = "cove"\ndepth = "2 ft"\non_below = "4 mg/L"\noff_above = "5 mg/L"\n'
RENAMED = [  # text, where it stands among the intake's keys or below; key as it is now, value
    ('grate_velocity_most = "0.4 ft/s"', "intake.max_grate_velocity", 0.4 * FOOT),
    ('pipe_velocity_most = "1.8 ft/s"', "intake.max_pipe_velocity", 1.8 * FOOT),
    ('pipe_velocity_least = "1.1 ft/s"', "intake.min_pipe_velocity", 1.1 * FOOT),
    ('cover_least = "1.5 ft"', "intake.min_cover", 1.5 * FOOT),
    ('[discharge]\nnominal = "6 in"\npipe = "pvc_40"\nlength = "9 ft"\nvelocity_most = "6 ft/s"', "discharge.max_velocity", 6.0 * FOOT),
    ("[mixing]\nwind_sheltering = 0.5", "mixing.wind_reduction", 0.5),
    (SENSOR + 'error = "0.5 mg/L"', "aeration.pool air.set_point.bias", 0.5 * MG),
    (SENSOR + 'scatter = "0.2 mg/L"', "aeration.pool air.set_point.noise", 0.2 * MG),
]  # fmt: skip


def design_with(text):
    """The design with keys of the intake, or with sections at its end."""
    if text.startswith("["):
        return minimal_design() + text + "\n"
    return minimal_design().replace('elevation = "3 ft"\n', f'elevation = "3 ft"\n{text}\n')


@pytest.mark.parametrize(("text", "key", "value"), RENAMED)
def test_an_old_name_is_read_and_told_with_its_line(tmp_path, text, key, value):
    design = design_with(text)
    reading = read(write_design(tmp_path, design))
    assert value_at(reading.scenario, key) == pytest.approx(value)
    old = text.splitlines()[-1].partition(" ")[0]
    line = next(n for n, one in enumerate(design.splitlines(), 1) if one.startswith(f"{old} ="))
    home, _, new = key.rpartition(".")
    assert [sentence(note) for note in reading.notes] == [
        f"{home}.{old} in line {line} of design.toml is now called {new}; "
        "the next version will not read the old name."
    ]
    assert read(write_design(tmp_path, design.replace(f"{old} =", f"{new} ="))).scenario == reading.scenario


def test_a_design_by_the_new_name_goes_before_a_site_by_the_old_one(tmp_path):
    site = (
        minimal_site()
        + minimal_design().split("\n\n")[1].replace("[intake]", '[intake]\ncover_least = "1 ft"')
        + "\n"
    )
    reading = read(write_design(tmp_path, design_with('min_cover = "3 ft"'), site))
    assert reading.scenario.intake.min_cover == pytest.approx(3.0 * FOOT)
    assert "of site.toml" in sentence(reading.notes[0])


def test_faults_name_the_line_of_the_old_name(tmp_path):
    assert faults_of(write_design(tmp_path, design_with('cover_least = "-1 ft"'))) == [
        'design.toml:7: intake.min_cover = "-1 ft" is too low; write a length from 0 ft to 30 ft. '
        "(It stands there by its old name, cover_least.)"
    ]
    both = design_with('cover_least = "1 ft"\nmin_cover = "2 ft"')
    assert faults_of(write_design(tmp_path, both)) == [
        "design.toml:7: intake.cover_least is the old name of min_cover, which stands there too; keep that "
        "one."
    ]


def test_a_change_laid_over_a_design_may_use_the_old_name(tmp_path):
    path = write_design(tmp_path, minimal_design() + SENSOR)
    laid = read_changed(path, [Change("aeration.pool air.set_point.error", "1 mg/L", path)]).scenario
    assert laid.aeration[0].set_point.bias == pytest.approx(MG)
    assert with_value(laid, "intake.cover_least", "2.5 ft").intake.min_cover == pytest.approx(2.5 * FOOT)
    assert new_key("intake.elevation") == "intake.elevation"
    assert new_key("nothing.at.all") == "nothing.at.all"


def test_the_schema_knows_old_names_as_deprecated():
    keys = json_schema()["properties"]["intake"]["properties"]
    assert keys["cover_least"]["deprecated"] and keys["cover_least"]["description"] == "old name of min_cover"
    assert "deprecated" not in keys["min_cover"]
    assert "wind_sheltering" not in str(json_schema())
