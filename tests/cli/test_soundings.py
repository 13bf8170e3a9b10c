"""`pondsim soundings` as a user calls it, on the invented readings that come along."""

from __future__ import annotations

import tomllib

import pytest

from pondsim.scenario.read import read_scenario
from tests.cli.common import DEMO, call
from tests.scenarios_for_tests import minimal_site

READINGS = (
    DEMO / "soundings.csv",
    "--water",
    "640 ft",
    "--bank-top",
    "643 ft",
    "--zones",
    DEMO / "terrace.csv",
)


def test_keys_of_a_scenario_are_read_back(tmp_path):
    """The keys printed make a zone of the same water: 4 x 3/4 of its area is near 1.1 acre-ft by hand."""
    keys, picture = tmp_path / "keys.toml", tmp_path / "map.svg"
    result = call("soundings", *READINGS, "-o", keys, "--figure", picture)
    assert result.exit_code == 0, result.output
    assert "terrace" in result.output and "muck" in result.output
    assert picture.read_text(encoding="utf-8").count("<path") > 20
    zone = keys.read_text(encoding="utf-8")
    head, rest = minimal_site().split("[[zone]]", 1)
    pool = 'normal_pool = "640 ft"\nbank_top = "643 ft"\n\n'
    weather = rest[rest.index("[weather.synthetic]") : rest.index("[[inflow]]")]
    (tmp_path / "site.toml").write_text(
        f"{head.split('[pond]')[0]}[pond]\n{pool}{zone}\n{weather}", encoding="utf-8"
    )
    scenario = read_scenario(tmp_path / "site.toml")
    assert scenario.zone[0].area[-2] == pytest.approx(13000 * 0.3048**2, rel=1e-3)  # 130 ft by 100 ft


def test_the_demo_design_has_the_profile_of_its_soundings():
    """What stands in [trench] and [layout] of the waterfall design is what the command prints."""
    printed = call("soundings", *READINGS, "--line", DEMO / "trench_line.csv").output
    keys = tomllib.loads(printed[printed.index("[trench]") :])
    design = tomllib.loads((DEMO / "waterfall.toml").read_text(encoding="utf-8"))
    for section, names in (
        ("trench", ("station", "bed", "hard")),
        ("layout", ("gravity_east", "gravity_north")),
    ):
        for name in names:
            assert design[section][name] == keys[section][name], (section, name)


@pytest.mark.parametrize(
    ("options", "message"),
    [
        (("--water", "640"), '"640" has no unit'),
        (("--water", "640 gpm"), '"640 gpm" is a flow'),
        (("--water", "640 ft", "--step", "0 ft"), "is too low"),
        (("--water", "640 ft", "--bank-top", "639 ft"), "--bank-top: is not above the water"),
        (("--water", "640 ft", "--figure", "map.jpg"), "a picture ends in .png, .svg or .pdf"),
        ((), "Missing option '--water'"),
    ],
)  # fmt: skip
def test_faults(options, message):
    result = call("soundings", DEMO / "soundings.csv", *options)
    assert result.exit_code == 2
    assert message in result.output


def test_an_input_is_not_written_over(tmp_path):
    points = tmp_path / "points.csv"
    points.write_bytes((DEMO / "soundings.csv").read_bytes())
    result = call("soundings", points, "--water", "640 ft", "-o", points)
    assert result.exit_code == 2
    assert "is an input" in result.output
