"""Members of a study in a netCDF file, and read again."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import xarray as xr

from pondsim.ensemble.sampling import Unknown
from pondsim.errors import ScenarioError
from pondsim.results import check_writable
from pondsim.results.raw import read_raw, to_bytes
from pondsim.results.write import write_whole

FORMAT = "pondsim members 1"
ABOUT = {  # variable: unit and meaning
    "measure": ("as in attribute measures", "measure of the run, by key"),
    "oxygen_dawn_top": ("mg/L", "lowest oxygen of the top meter around sunrise"),
    "oxygen_lowest_top": ("mg/L", "lowest oxygen of the day, top meter"),
    "oxygen_lowest_bottom": ("mg/L", "lowest oxygen of the day, 0.3 m above the deepest bed"),
    "temperature_mean_top": ("degC", "mean temperature of the day, top meter"),
    "temperature_mean_bottom": ("degC", "mean temperature of the day, 0.3 m above the deepest bed"),
    "water_surface_elevation": ("m", "mean of the day"),
    "bed": ("m", "elevation of the deepest bed, after what was dredged in the run"),
    "power": ("W", "mean electric power of the day"),
    "draw": ("SI", "value drawn of each unknown; of a choice its place"),
    "draw_share": ("1", "the same as the chance that the value is lower"),
    "weather": ("1", "place of the weather year in attribute weather_years"),
    "weight": ("1", "weight of the member"),
}


def save_study(study: xr.Dataset, path: Path) -> None:
    """Write a study; a file already there is replaced only once the new one is whole.

    Raises
    ------
    ScenarioError
        The file cannot be written.
    """
    study = study.assign_attrs(format=FORMAT)
    for name, (unit, words) in ABOUT.items():
        if name in study:
            study[name].attrs |= {"units": unit, "long_name": words}
    check_writable(path)
    write_whole(path, to_bytes(study))


def load_study(path: Path) -> xr.Dataset:
    """Read a study; ScenarioError for another file."""
    try:
        found = read_raw(path)
    except (OSError, ValueError) as error:
        raise ScenarioError(f"{path}: cannot be read as a file of members ({error})") from None
    if found.attrs.get("format") != FORMAT:
        raise ScenarioError(f"{path}: holds no members of this version; write it with pondsim promise ... -o")
    return found


def unknowns_in(study: xr.Dataset) -> tuple[Unknown, ...]:
    """What was drawn in a study."""
    rows: list[dict[str, Any]] = json.loads(str(study.attrs["unknowns"]))
    for row in rows:
        row.update({name: tuple(value) for name, value in row.items() if isinstance(value, list)})
    return tuple(Unknown(**row) for row in rows)
