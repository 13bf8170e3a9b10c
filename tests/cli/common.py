"""Calling the commands as a user does, on small files."""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import Path

from click.testing import CliRunner, Result

from pondsim.cli import main
from tests.scenarios_for_tests import minimal_design, minimal_site, write_design

DEMO = Path(__file__).parent.parent.parent / "scenarios" / "campus"
SHORT = ('end = "2025-07-11"', 'end = "2025-07-06"')
HEADER = "time,air_temperature [degF],dew_point [degF],wind_speed [mph],cloud_cover [%]"
SYNTHETIC = minimal_site().split("[weather.synthetic]")[1].split("[[inflow]]")[0]
WEATHER_FILE = ("[weather.synthetic]" + SYNTHETIC, '[weather]\nfile = "weather.csv"\n\n')


def call(*args: object) -> Result:
    """Run a command in this process."""
    return CliRunner().invoke(main, [str(arg) for arg in args])


def write_files(folder: Path, *changes: tuple[str, str], extra: str = "") -> Path:
    """The small design and its site with texts replaced; returns the path of the design."""
    site, design = minimal_site(), minimal_design()
    for old, new in changes:
        assert old in site + design, old
        site, design = site.replace(old, new), design.replace(old, new)
    return write_design(folder, design + extra, site)


def weather_rows(hours: int = 24 * 10 + 1, day: str = "2025-07-01") -> list[str]:
    """Hours of dull warm weather."""
    start = datetime.fromisoformat(day)
    return [f"{start + timedelta(hours=n):%Y-%m-%d %H:%M},77,65,5,40" for n in range(hours)]


def write_weather(folder: Path, rows: list[str], header: str = HEADER) -> Path:
    """Write a weather file beside the site file."""
    path = folder / "weather.csv"
    path.write_text("\n".join([header, *rows]) + "\n", encoding="utf-8")
    return path
