"""Small invented scenarios as TOML text, for any test that needs one."""

from __future__ import annotations

from pathlib import Path

import pytest

from pondsim.errors import ScenarioError
from pondsim.scenario.read import read_scenario


def minimal_site() -> str:
    """`living_site` with given algae: half the states, and no passes that fill the bed."""
    return living_site() + '\n[algae]\nmode = "given"\n'


def living_site() -> str:
    """A site file with two zones, synthetic weather, one storm and a weir; valid by itself. Algae grow."""
    return """\
title = "Two-zone test pond (invented)"

[period]
start = "2025-07-01"
end = "2025-07-11"

[place]
latitude = "40 deg"
longitude = "-60 deg"
elevation = "100 m"
utc_offset = "-4 h"

[pond]
normal_pool = "10 ft"
bank_top = "13 ft"
low_pool = "9 ft"

[[zone]]
name = "deep pool"
centre = ["0 ft", "0 ft"]
stage = ["0 ft", "5 ft", "10 ft", "13 ft"]
area = ["5000 ft2", "12000 ft2", "20000 ft2", "23000 ft2"]

[[zone]]
name = "cove"
centre = ["150 ft", "0 ft"]
stage = ["5 ft", "10 ft", "13 ft"]
area = ["3000 ft2", "8000 ft2", "10000 ft2"]

[[connection]]
between = ["deep pool", "cove"]
width = "40 ft"
sill = "6 ft"

[weather.synthetic]
air_temperature = ["0 degC", "1 degC", "6 degC", "12 degC", "17 degC", "22 degC", "25 degC", "24 degC", "20 degC", "14 degC", "8 degC", "2 degC"]
daily_range = ["8 delta_degC", "8 delta_degC", "9 delta_degC", "10 delta_degC", "10 delta_degC", "10 delta_degC", "10 delta_degC", "10 delta_degC", "10 delta_degC", "10 delta_degC", "8 delta_degC", "8 delta_degC"]
dew_point = ["-5 degC", "-4 degC", "-1 degC", "4 degC", "10 degC", "15 degC", "18 degC", "18 degC", "14 degC", "8 degC", "3 degC", "-3 degC"]
wind_speed = ["4 m/s", "4 m/s", "4 m/s", "4 m/s", "3 m/s", "3 m/s", "2.5 m/s", "2.5 m/s", "3 m/s", "3 m/s", "3.5 m/s", "4 m/s"]
cloud_cover = ["60 %", "60 %", "60 %", "55 %", "55 %", "50 %", "50 %", "50 %", "50 %", "50 %", "60 %", "60 %"]

[[inflow]]
zone = "deep pool"
start = "2025-07-04 15:00"
duration = "6 h"
volume = "0.5 acre-ft"

[outlet]
zone = "cove"
[outlet.weir]
crest = "10 ft"
width = "6 ft"
"""  # noqa: E501


def minimal_design() -> str:
    """A design file over ``site.toml``: a circulation loop and one aeration unit."""
    return """\
site = "site.toml"
title = "Waterfall and night air (invented)"

[intake]
zone = "deep pool"
elevation = "3 ft"

[pump]
flow = "300 gpm"

[waterfall]
zone = "cove"
drop = "4 ft"
width = "5 ft"

[[aeration]]
name = "pool air"
zone = "deep pool"
elevation = "1 ft"
diffusers = 2
air_flow = "1.5 scfm"
hours = ["20:00-08:00"]
"""


def write_site(folder: Path, text: str | None = None) -> Path:
    """Write a site file (the minimal one when no text is given) into `folder` and return its path."""
    path = folder / "site.toml"
    path.write_text(minimal_site() if text is None else text, encoding="utf-8")
    return path


def write_design(folder: Path, text: str | None = None, site: str | None = None) -> Path:
    """Write a design file and its site file into `folder` and return the path of the design."""
    write_site(folder, site)
    path = folder / "design.toml"
    path.write_text(minimal_design() if text is None else text, encoding="utf-8")
    return path


def faults_of(path: Path) -> list[str]:
    """Faults of a design as told, its folder taken away, without the word on what was not checked yet."""
    with pytest.raises(ScenarioError) as caught:
        read_scenario(path)
    lines = str(caught.value).replace(f"{path.parent}/", "").splitlines()
    return [line for line in lines if ": not checked yet: " not in line]
