"""Every output as variables.toml declares it, and results described accordingly."""

from __future__ import annotations

import json
import tomllib
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING, Any

import numpy as np

if TYPE_CHECKING:
    import xarray as xr

RESULTS_FORMAT = 1  # rises when a file of the older form can no longer be read
SAMPLED_AT = {  # place whose water is sampled with the flow: its words
    "outlet": "in the water drawn at the outlet",
    "intake": "in the water drawn at the intake",
    "inflow": "in the water coming in",
}
TIME_BOUNDS = "time_bounds"  # CF's way to say over which span a mean was taken
# How a unit is spelled for other programs (UDUNITS): it knows no money and no standard air.
UDUNITS = {"standard_m3/s": "m3 s-1", "kWh": "kW h", "$": "1", "$/h": "h-1"}
MONEY = "money, in the currency of the attribute currency, or dollars"
COORDINATE_ATTRIBUTES = {
    "time": {"standard_name": "time", "long_name": "local standard time", "axis": "T"},
    "zone": {"long_name": "zone of the pond"},
    "layer": {
        "standard_name": "model_level_number",
        "units": "1",
        "long_name": "layer, 0 is the deepest",
        "positive": "up",
        "axis": "Z",
    },
    "reading_time": {"standard_name": "time", "long_name": "local standard time of a reading"},
    "drainage_area": {"long_name": "land that drains to the pond"},
    "settling_class": {"long_name": "settling class, slowest first"},
    "oxygen_pathway": {"long_name": "oxygen budget line"},
    "bed_store": {"long_name": "store of the bed"},
    "algae_kind": {"long_name": "kind of grown algae"},
    "unit": {"long_name": "aeration unit"},
    "system": {"long_name": "system with an electric meter"},
    "month": {"long_name": "calendar month of the electricity bill"},
}


@dataclass(frozen=True)
class Variable:
    """One output as variables.toml declares it.

    Attributes
    ----------
    name : name in the dataset and in the file
    dims : its dimensions, in order
    units : unit of the values kept
    us, si : unit shown to people
    long_name : what it is, in words
    standard_name : name in the CF table, or "" where none truly fits
    mean : whether a value is the mean over the step that ends at its time
    flow_weighted : whether that mean is weighted by the flow, and missing where nothing flowed
    required : whether a results file must have it
    """

    name: str
    dims: tuple[str, ...]
    units: str
    us: str
    si: str
    long_name: str
    standard_name: str
    mean: bool
    required: bool
    flow_weighted: bool = False


@cache
def variables() -> dict[str, Variable]:
    """Every declared output, by name."""
    table = tomllib.loads(files("pondsim.data").joinpath("variables.toml").read_text(encoding="utf-8"))
    found: dict[str, Variable] = {}
    for name, row in table.items():
        found[name] = Variable(
            name,
            tuple(row["dims"]),
            row["units"],
            row.get("us", row["units"]),
            row.get("si", row["units"]),
            row["long_name"],
            row.get("standard_name", ""),
            row.get("mean", False),
            row.get("required", False),
            name.endswith("_organic_solids"),
        )
    samples = [
        _sampled(found[name], place) for place in SAMPLED_AT for name in table if "sampled" in table[name]
    ]
    return found | {one.name: one for one in samples}


def _sampled(variable: Variable, place: str) -> Variable:
    """The same in the water that passes a place."""
    return replace(
        variable,
        name=f"{place}_{variable.name}",
        dims=tuple(dim for dim in variable.dims if dim not in ("zone", "layer")),
        long_name=f"{variable.long_name}, {SAMPLED_AT[place]}",
        mean=True,
        required=False,
        flow_weighted=True,
    )


def describe(dataset: xr.Dataset) -> xr.Dataset:
    """Set the attributes of every declared variable, of the coordinates and of the whole.

    Parameters
    ----------
    dataset : xarray.Dataset
        Results; variables that variables.toml does not declare keep what attributes they have.

    Returns
    -------
    xarray.Dataset
        A shallow copy with attributes; values are shared.

    Raises
    ------
    ValueError
        A declared variable has other dimensions than declared.
    """
    described = dataset.copy()
    for name, variable in variables().items():
        found = described.variables.get(name)
        if found is None:
            continue
        if found.dims != variable.dims:
            raise ValueError(f"{name} has dimensions {found.dims}, declared are {variable.dims}")
        found.attrs.update(_attributes(variable))
    for name, attributes in COORDINATE_ATTRIBUTES.items():
        if name in described.coords:
            described.variables[name].attrs.update(attributes)
    described.attrs = {
        "Conventions": "CF-1.11",
        "results_format": RESULTS_FORMAT,
        **{key: _storable(value) for key, value in dataset.attrs.items() if value is not None},
    }
    return described


def _attributes(variable: Variable) -> dict[str, str]:
    """Attributes of one variable, as CF words them."""
    attributes = {"units": UDUNITS.get(variable.units, variable.units), "long_name": variable.long_name}
    if variable.standard_name:
        attributes["standard_name"] = variable.standard_name
        if variable.units == "degC":
            attributes["units_metadata"] = "temperature: on_scale"
    if "time" in variable.dims:
        attributes["cell_methods"] = "time: mean" if variable.mean else "time: point"
    comments = []
    if variable.mean:
        comments.append("mean over the output step that ends at the time given; the first repeats the second")
    if variable.flow_weighted:
        comments.append(
            "weighted by the flow, as a sampler that takes with the flow; missing where nothing flowed"
        )
    if "layer" in variable.dims:
        comments.append("missing (NaN) where the zone has no such layer")
    if "standard_m3" in variable.units:
        comments.append("standard air: 68 degF and 14.696 psi")
    if "$" in variable.units:
        comments.append(MONEY)
    if comments:
        attributes["comment"] = "; ".join(comments)
    return attributes


def _storable(value: Any) -> Any:
    """`value` as something a file attribute can hold."""
    if isinstance(value, bool | np.bool_):
        return int(value)
    if isinstance(value, str | int | float | np.ndarray | np.number):
        return value
    if isinstance(value, dict):
        return json.dumps(value)
    if isinstance(value, list | tuple) and value:
        return "\n".join(value) if isinstance(value[0], str) else np.asarray(value)
    return str(value)
