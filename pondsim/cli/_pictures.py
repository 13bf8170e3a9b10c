"""From the words of `pondsim plot` to a figure: what is asked for is checked before files are read."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from pondsim.cli._series import SHORT, one_of
from pondsim.errors import ScenarioError
from pondsim.words import no_such_day

if TYPE_CHECKING:
    import xarray as xr

OF_A_ZONE = ("lines", "depth")
OF_A_TIME = ("lines", "depth", "water", "ice")
UNUSED = {"plan": ("power",)}  # variables that a file need not have for a picture


@dataclass(frozen=True)
class Wish:
    """What is to be drawn, as it was typed.

    Attributes
    ----------
    what : name of the picture
    zone, variable : of `OF_A_ZONE`; None for the usual one
    start, end : of `OF_A_TIME`; None for those of the run
    system : "us" or "si"
    """

    what: str
    zone: str | None
    variable: str | None
    start: str | None
    end: str | None
    system: str


def draw(paths: list[Path], wish: Wish, known: tuple[str, ...]) -> Any:
    """The figure.

    Parameters
    ----------
    paths : list of Path
        Results files, the existing pond first.
    wish : Wish
        What to draw.
    known : tuple of str
        Names of the pictures there are.

    Returns
    -------
    matplotlib.figure.Figure
        Not yet written.

    Raises
    ------
    ScenarioError
        An unknown picture, zone, variable or moment, or options that this picture does not apply to.
    """
    if Path(wish.what).suffix == ".nc":
        raise ScenarioError(f"say what to draw after the results files: one of {', '.join(known)}")
    one_of(wish.what, known, "picture")
    _refuse_useless(paths, wish)
    start, end = moment(wish.start, "--from", last=False), moment(wish.end, "--to", last=True)
    if start is not None and end is not None and end <= start:
        raise ScenarioError(f'--from "{wish.start}" lies after --to "{wish.end}": the ends are reversed')
    from pondsim.results import load  # noqa: PLC0415

    without = UNUSED.get(wish.what, ())
    datasets = [load(path, without) for path in paths]
    _refuse_unlike(datasets, paths)
    zone = _zone(datasets[0], wish.zone) if wish.what in OF_A_ZONE else ""
    variable = _variable(datasets, paths, wish.variable) if wish.what in OF_A_ZONE else ""
    return _figure(wish.what, datasets, zone, variable, {"start": start, "end": end}, wish.system)


def _figure(
    what: str, datasets: list[xr.Dataset], zone: str, variable: str, window: dict[str, Any], system: str
) -> Any:
    """Call the one function that draws it."""
    from pondsim import figures  # noqa: PLC0415

    drawing = figures.function(what)
    if what in OF_A_ZONE:
        return drawing(datasets, zone, variable, **window, system=system)
    if what in OF_A_TIME:
        return drawing(datasets, **window, system=system)
    return drawing(datasets[0] if what == "plan" else datasets, system=system)


def moment(text: str | None, option: str, *, last: bool) -> np.datetime64 | None:
    """A day or a moment; as a `last` one a day alone means its end."""
    if text is None:
        return None
    try:
        read = np.datetime64(text.strip().replace(" ", "T"))
    except ValueError:
        read = np.datetime64("NaT")
    if np.isnat(read) or np.datetime_data(read.dtype)[0] not in ("D", "h", "m", "s"):
        if said := no_such_day(text):
            raise ScenarioError(f'{option} "{text}" does not exist: {said}')
        raise ScenarioError(
            f'{option} "{text}" is not a date or time; write one such as "2025-08-01" or "2025-08-01 06:00"'
        )
    whole_day = np.datetime_data(read.dtype)[0] == "D"
    return read.astype("datetime64[s]") + np.timedelta64(86400 if last and whole_day else 0, "s")


def _refuse_useless(paths: list[Path], wish: Wish) -> None:
    """Say it when an option would be passed over."""
    faults = []
    for option, value, use in (
        ("--zone", wish.zone, OF_A_ZONE),
        ("--variable", wish.variable, OF_A_ZONE),
        ("--from", wish.start, OF_A_TIME),
        ("--to", wish.end, OF_A_TIME),
    ):
        if value is not None and wish.what not in use:
            faults.append(f"{option} does not apply to {wish.what}: it applies to {', '.join(use)}")
    if wish.what == "plan" and len(paths) > 1:
        faults.append("plan draws one results file; give one, without --existing")
    if wish.what == "comparison" and len(paths) < 2:
        faults.append("comparison needs at least two results files, the existing pond first")
    if faults:
        raise ScenarioError("\n".join(faults))


def _refuse_unlike(datasets: list[xr.Dataset], paths: list[Path]) -> None:
    """Panels beside each other must be of one pond and one time."""
    first = datasets[0]
    for dataset, path in zip(datasets[1:], paths[1:], strict=True):
        if list(dataset["zone"].values) != list(first["zone"].values):
            raise ScenarioError(f"{path}: its zones are not those of {paths[0]}; draw them one by one")
        ends = [one["time"].values[[0, -1]] for one in (first, dataset)]
        if (ends[0] != ends[1]).any():
            raise ScenarioError(f"{path}: its time is not that of {paths[0]}; draw them one by one")


def _zone(dataset: xr.Dataset, zone: str | None) -> str:
    """The zone asked for; else that whose top water has the lowest oxygen."""
    from pondsim.measures import at_station  # noqa: PLC0415

    known = [str(name) for name in dataset["zone"].values]
    if zone is not None:
        return one_of(zone, known, "zone")
    top = at_station(dataset, "dissolved_oxygen", "top").values
    return known[int(np.argmin(np.where(np.isnan(top), np.inf, top).min(axis=0)))]


def _variable(datasets: list[xr.Dataset], paths: list[Path], name: str | None) -> str:
    """The variable asked for, by time, zone and layer, in every file."""
    wanted = SHORT.get(name, name) if name else "dissolved_oxygen"
    boxes = {"time", "zone", "layer"}
    for dataset, path in zip(datasets, paths, strict=True):
        known = [str(key) for key in dataset.data_vars if boxes <= set(dataset[key].dims)]
        known = [key for key in known if not key.endswith("_elevation")]
        try:
            one_of(str(wanted), known, "variable")
        except ScenarioError as error:
            raise ScenarioError(f"{path}: {error}") from error
    return str(wanted)
