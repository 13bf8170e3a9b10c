"""docs/air.md: its example is read, and gives the numbers printed beside it."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest

from pondsim.design.air import air_sheet, limits
from pondsim.physics.air_pipes import standard_from_free
from pondsim.physics.plume import bubble_plume
from pondsim.scenario.read import read_scenario
from pondsim.units import display
from tests.published.plume import plume_flow_unstratified

ROOT = Path(__file__).parents[1]
PAGE = (ROOT / "docs" / "air.md").read_text(encoding="utf-8")


@pytest.fixture
def scenario(tmp_path):
    (example,) = re.findall(r"```toml\n(.*?)```", PAGE, re.DOTALL)
    site = (ROOT / "scenarios" / "campus" / "site.toml").as_posix()
    path = tmp_path / "air.toml"
    path.write_text(example.replace('"site.toml"', f'"{site}"'), encoding="utf-8")
    return read_scenario(path)


def test_example_gives_the_numbers_of_the_page(scenario):
    table = PAGE.partition("<!-- air example -->")[2].partition("<!-- end of air example -->")[0]
    printed = [
        [cell.strip() for cell in row.strip("|").split("|")] for row in table.split("\n") if "_air" in row
    ]
    computed = []
    for unit in air_sheet(scenario).units:
        values = (
            (unit.air_per_diffuser, "air_flow"),
            (unit.free_air, "free_air"),
            (unit.normal.pressure, "pressure"),
            (unit.normal.tubing + unit.normal.main_line, "pressure"),
            (unit.normal.tubing_velocity, "speed"),
            (unit.transfer, "mass_rate"),
            (unit.normal.power, "power"),
            (unit.per_energy, "mass_per_energy"),
        )
        computed.append([unit.name, *(display(value, kind).split()[0] for value, kind in values)])
    assert printed == computed


def test_nothing_in_the_example_is_warned_of(scenario):
    assert {limit.verdict for limit in limits(scenario)} == {"pass", "reported"}


def test_free_air_of_the_page():
    """10 free cfm at 95 degF: 9.5 scfm at sea level, 7.9 at 5000 ft, by the gas law in absolute degF."""
    assert "9.5 scfm at sea level and 7.9 scfm at 5000 ft" in PAGE
    for altitude, printed in ((0.0, 9.5), (1524.0, 7.9)):
        share = (1.0 - 2.25577e-5 * altitude) ** 5.25588
        assert 10 * share * 527.67 / 554.67 == pytest.approx(printed, abs=0.05)
        assert standard_from_free(10.0, share * 101325.0, 308.15) == pytest.approx(printed, abs=0.05)


def test_plumes_of_the_page():
    """What each lifts beside the similarity plume of a point 0.1/(1.2 x 0.11) m lower and at the diffuser."""
    table = PAGE.partition("<!-- plume -->")[2].partition("<!-- end plume -->")[0]
    rows = [
        [float(x) for x in re.findall(r"[\d.]+", row)] for row in table.split("\n") if row.startswith("| ")
    ]
    assert len(rows[1:]) == 12
    for depth, air, plume, lower, here in rows[1:]:
        taken = np.zeros(1)
        column = (np.array([depth]), np.array([0.0]), np.array([998.2]))
        bubble_plume(air * 1e-3, *column, 0.0, 101325.0, taken)
        assert taken[0] == pytest.approx(plume, abs=5.1e-4)
        similar = [plume_flow_unstratified(air * 1e-3, depth + down) for down in (0.1 / (1.2 * 0.11), 0.0)]
        assert similar == pytest.approx([lower, here], abs=5.1e-4)
