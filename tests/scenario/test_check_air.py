# ruff: noqa: E501 (one row is one fault and its whole message)
"""Bad input of the air line: file, line, key and cure."""

from __future__ import annotations

import pytest
from click.testing import CliRunner

from pondsim.cli import main
from pondsim.errors import ScenarioError
from pondsim.scenario.read import read_scenario
from tests.scenarios_for_tests import faults_of, minimal_design, write_design

CURVE = 'source_free_flow = ["4 cfm", "3 cfm"]\nsource_pressure = ["0 psi", "10 psi"]\n'
TUBING = 'tubing_diameter = "0.5 in"\ntubing_length = "200 ft"\n'
STATED = 'air_flow = "1.5 scfm"\n'
KEY = "aeration.pool air."


def design(text):
    """The small design with `text` from line 21 on where its air flow stands."""
    return minimal_design().replace(STATED, text)


def problems(tmp_path, text):
    return faults_of(write_design(tmp_path, design(text)))


@pytest.mark.parametrize(
    ("text", "messages"),
    [
        ("", [f"design.toml:16: {KEY}air_flow is missing: standard air through each diffuser. Write it, or the air source: a curve (source_flow or source_free_flow, with source_pressure) or a rated point (source, rated_flow or rated_free_flow, rated_pressure)."]),
        (STATED + CURVE, [f"design.toml:21: {KEY}air_flow stands beside source_free_flow; keep the stated air flow, or the air source."]),
        (STATED + 'rated_flow = "4 scfm"\nrated_pressure = "9 psi"\nsource = "blower"\n', [f"design.toml:21: {KEY}air_flow stands beside rated_flow; keep the stated air flow, or the air source."]),
        (CURVE + 'rated_pressure = "9 psi"\n', [f"design.toml:23: {KEY}rated_pressure stands beside source_free_flow; keep the curve, or the rated point."]),
        (CURVE + 'source_flow = ["4 scfm", "3 scfm"]\n', [f"design.toml:21: {KEY}source_free_flow stands beside source_flow; keep standard air (scfm) or free air (cfm)."]),
        ('source_pressure = ["0 psi", "10 psi"]\n', [f"design.toml:16: {KEY}source_flow is missing; write source_flow in scfm or source_free_flow in cfm."]),
        ('source_flow = ["4 scfm", "3 scfm"]\n', [f'design.toml:16: {KEY}source_pressure is missing beside source_flow; write such as "5 psi".']),
        (CURVE.replace(', "3 cfm"', ""), [f"design.toml:21: {KEY}source_free_flow has 1 value for 2 of source_pressure."]),
        (CURVE + 'source_power = ["200 W"]\n', [f"design.toml:23: {KEY}source_power has 1 value for 2 of source_pressure."]),
        (CURVE + 'source_power = ["200 W", "300 W"]\npower = "300 W"\n', [f"design.toml:23: {KEY}source_power stands beside power; keep the curve's power or the metered one."]),
        ('source_flow = ["4 scfm"]\nsource_pressure = ["9 psi"]\n', [f"design.toml:22: {KEY}source_pressure has one value; write two at least, or a rated point."]),
        (CURVE.replace("3 cfm", "5 cfm"), [f"design.toml:21: {KEY}source_free_flow does not fall where source_pressure rises: no air source works so."]),
        (CURVE.replace("3 cfm", "4 cfm"), [f"design.toml:21: {KEY}source_free_flow does not fall where source_pressure rises: no air source works so."]),
        ('source_flow = ["4 scfm", "3 scfm", "2 scfm"]\nsource_pressure = ["0 psi", "9 psi", "5 psi"]\n', [f"design.toml:22: {KEY}source_pressure does not rise from point to point; put the points in order."]),
        ('rated_flow = "4 scfm"\nrated_pressure = "9 psi"\n', [f'design.toml:16: {KEY}source is missing beside the rated point; write source = "blower" or "compressor".']),
        ('rated_flow = "4 scfm"\nsource = "blower"\n', [f'design.toml:16: {KEY}rated_pressure is missing beside rated_flow; write such as "5 psi".']),
        ('rated_pressure = "9 psi"\nsource = "blower"\n', [f"design.toml:16: {KEY}rated_flow is missing; write rated_flow in scfm or rated_free_flow in cfm."]),
        (STATED + 'tubing_diameter = "0.5 in"\n', [f'design.toml:16: {KEY}tubing_length is missing beside tubing_diameter; write such as "150 ft".']),
        (STATED + 'tubing_length = "50 ft"\n', [f'design.toml:16: {KEY}tubing_diameter is missing beside tubing_length; write such as "0.5 in".']),
        (STATED + "tubing_lines = 2\n", [f'design.toml:16: {KEY}tubing_diameter is missing beside tubing_lines; write such as "0.5 in".']),
        (STATED + TUBING + "tubing_lines = 3\n", [f"design.toml:24: {KEY}tubing_lines = 3 is more than diffusers = 2; a line feeds one at least."]),
        (STATED + TUBING + 'line_length = "50 ft"\n', [f'design.toml:16: {KEY}line_diameter is missing beside line_length; write such as "0.5 in".']),
        (STATED + 'line_diameter = "1 in"\nline_length = "50 ft"\n', [f'design.toml:16: {KEY}tubing_diameter is missing beside line_diameter; write such as "0.5 in".']),
        (STATED + TUBING + 'line_loss = "2 psi"\n', [f"design.toml:24: {KEY}line_loss stands beside tubing_diameter, which computes it; take it out."]),
        (STATED + 'diffuser_loss = "2 psi"\nfouling = 1.5\n', [
            f"design.toml:22: {KEY}diffuser_loss does nothing without tubing_diameter and tubing_length, "
            f"since line_loss stands for tubing and diffuser; describe the tubing, or take it out.",
            f"design.toml:23: {KEY}fouling does nothing without tubing_diameter and tubing_length, since "
            f"line_loss stands for tubing and diffuser; describe the tubing, or take it out.",
        ]),
        (CURVE.replace("10 psi", "4 psi"), [f"design.toml:22: {KEY}source_pressure reaches 4 psi at most; 9 ft (2.7432 m) of water and the diffuser take 4.89 psi with no air flowing. Take a source of more pressure, or lay the diffusers higher."]),
        ('rated_flow = "9 scfm"\nrated_pressure = "3 psi"\nsource = "blower"\n' + TUBING, [f"design.toml:22: {KEY}rated_pressure reaches 3.75 psi at most; 9 ft (2.7432 m) of water and the diffuser take 4.39 psi with no air flowing. Take a source of more pressure, or lay the diffusers higher."]),
        (CURVE.replace("source_free_flow", "source_flow"), [
            f'design.toml:21: {KEY}source_flow item 1: "4 cfm" is free air, whose amount changes with pressure and temperature; write standard air (68 degF, 14.7 psi), such as "4.5 scfm". Free cfm is 7 % and more apart from it.',
        ]),
        (CURVE.replace("cfm", "scfm"), [f'design.toml:21: {KEY}source_free_flow item 1: "4 scfm" is a flow of standard air; write a flow, such as "300 gpm" or "20 L/s".']),
        ('source = "fan"\n' + STATED, [f'design.toml:21: {KEY}source = "fan" is none of "blower", "compressor".']),
        (STATED + 'tubing_diameter = "0.5 ft"\ntubing_length = "4 mi"\n', [f'design.toml:23: {KEY}tubing_length = "4 mi" is too high; write a length from 0 mi to 3.106 mi.']),
    ],
)  # fmt: skip
def test_one_fault_and_its_words(tmp_path, text, messages):
    assert problems(tmp_path, text) == messages


def test_faults_of_two_units_and_of_other_keys_come_at_once(tmp_path):
    other = '\n[[aeration]]\nname = "cove air"\nzone = "cove"\nelevation = "6 ft"\ndiffusers = 1\ntubing_length = "9 ft"\n'
    lines = problems(tmp_path, CURVE.replace("3 cfm", "5 cfm") + TUBING + 'line_loss = "2 psi"\n' + other)
    assert [line.split(" ")[0] + " " + line.split(" ")[1].split(".")[0] for line in lines] == [
        "design.toml:21: aeration",
        "design.toml:25: aeration",
        "design.toml:27: aeration",
        "design.toml:27: aeration",
    ]


def test_a_diffuser_below_its_zone_is_told_beside_a_good_source(tmp_path):
    path = write_design(tmp_path, design(CURVE).replace('elevation = "1 ft"', 'elevation = "-2 ft"'))
    with pytest.raises(ScenarioError, match=r'elevation = -2 ft .* is not above the bed of "deep pool"'):
        read_scenario(path)


def test_the_command_ends_with_exit_code_2(tmp_path):
    path = write_design(tmp_path, design(CURVE.replace("3 cfm", "5 cfm")))
    result = CliRunner().invoke(main, ["check", str(path)])
    assert result.exit_code == 2
    assert "design.toml:21: aeration.pool air.source_free_flow does not fall" in result.output
    assert "Traceback" not in result.output


def test_good_air_lines_are_read(tmp_path):
    for text in (
        STATED,
        STATED + TUBING,
        CURVE,
        CURVE + TUBING + 'tubing_lines = 1\nline_diameter = "1 in"\nline_length = "50 ft"\nfouling = 1.5\n',
        'rated_free_flow = "4 cfm"\nrated_pressure = "9 psi"\nsource = "compressor"\n',
    ):
        assert read_scenario(write_design(tmp_path, design(text))).aeration[0].diffusers == 2
