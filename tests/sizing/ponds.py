"""A tank with upright walls whose volume can be worked out by hand, and a loop through it; invented."""

from __future__ import annotations

from pathlib import Path

from tests.scenarios_for_tests import minimal_site, write_design

FOOT = 0.3048  # m, exact
GPM = 231 * 0.0254**3 / 60  # m3/s in a gallon a minute, exact
VOLUME = 20000 * 10 * FOOT**3  # m3: 20000 ft2 by 10 ft at normal pool
DAY = 86400.0

DESIGN = """\
site = "site.toml"
title = "loop (invented)"

[intake]
zone = "tank"
elevation = "3 ft"

[pump]
flow = "300 gpm"
total_head = "8 ft"

[waterfall]
zone = "tank"
drop = "4 ft"
width = "5 ft"
splash_loss = 0

[[aeration]]
name = "left air"
zone = "tank"
elevation = "1 ft"
diffusers = 2
air_flow = "1.5 scfm"
hours = ["20:00-08:00"]

[[aeration]]
name = "right air"
zone = "tank"
elevation = "1 ft"
diffusers = 1
air_flow = "1 scfm"
hours = ["22:00-06:00"]
"""


def write_tank(folder: Path, days: int = 2, extra: str = "") -> Path:
    """One zone of one layer over a few days with no water in or out; the path of the design."""
    text = minimal_site()
    before, rest = text.split("[[zone]]", 1)
    weather = "[weather.synthetic]" + rest.split("[weather.synthetic]")[1].split("[[inflow]]")[0]
    zone = (
        '[[zone]]\nname = "tank"\nstage = ["0 ft", "10 ft", "13 ft"]\n'
        'area = ["20000 ft2", "20000 ft2", "20000 ft2"]\ncentre = ["0 ft", "0 ft"]\n\n'
    )
    site = before.replace('low_pool = "9 ft"', 'low_pool = "9 ft"\nlayers = 1').replace(
        'end = "2025-07-11"', f'end = "2025-07-{1 + days:02d}"'
    )
    return write_design(folder, DESIGN + extra, site + zone + weather)
