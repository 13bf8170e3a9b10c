"""Results to a netCDF file, written beside its place and renamed once it is whole."""

from __future__ import annotations

import os
import secrets
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from pondsim.errors import ScenarioError
from pondsim.results.declared import TIME_BOUNDS, describe

if TYPE_CHECKING:
    import xarray as xr


def check_writable(path: Path) -> None:
    """Make sure that a file can be written at `path`, before long work begins.

    Raises
    ------
    ScenarioError
        The folder does not exist, is none, nothing can be written in it, or a device or pipe is there.
    """
    path = Path(path)
    folder = path.parent
    try:
        if path.is_dir():
            raise ScenarioError(f"{path}: is a folder; give the name of a file in it")
        if path.exists() and not path.is_file():
            raise ScenarioError(f"{path}: is not a regular file; choose another place")
        if not folder.is_dir():
            raise ScenarioError(f"{path}: there is no folder {folder}; make it first or choose another place")
        with written_beside(path) as probe:
            probe.touch()
            probe.unlink()
    except OSError as error:
        raise ScenarioError(f"{path}: cannot be written ({error.strerror}); choose another place") from error


@contextmanager
def written_beside(path: Path) -> Iterator[Path]:
    """A name beside `path` that nobody can guess, to write to; at the end the file takes its place.

    Where the writing fails nothing of it stays.
    """
    partial = path.with_name(f".{path.name[:200]}.{secrets.token_hex(8)}.part")
    try:
        yield partial
        if partial.exists():
            os.replace(partial, path)
    finally:
        with suppress(OSError):  # a read-only disk forbids it; the first error is the one to tell
            partial.unlink(missing_ok=True)


def save(dataset: xr.Dataset, path: Path | str) -> None:
    """Write results as netCDF; a file already there is replaced only once the new one is whole.

    Parameters
    ----------
    dataset : xarray.Dataset
        Results as `pondsim.run` returns them.
    path : path
        Where to; by custom it ends in ``.nc``.

    Raises
    ------
    ScenarioError
        Nothing can be written there, or the disk is full.
    """
    from pondsim.results.raw import to_bytes  # noqa: PLC0415  (half a second, not wanted for --help)

    path = Path(path)
    check_writable(path)
    described = _with_bounds(_with_history(describe(dataset)))
    write_whole(path, to_bytes(described, np.float32))


def write_whole(path: Path, content: bytes) -> None:
    """Write a file whole or not at all; ScenarioError where it cannot be."""
    try:
        with written_beside(path) as partial:
            partial.write_bytes(content)
    except OSError as error:
        raise ScenarioError(f"{path}: could not be written ({error.strerror or error})") from error


def _with_history(dataset: xr.Dataset) -> xr.Dataset:
    """With the moment at which it was first written."""
    version = dataset.attrs.get("pondsim_version", "")
    dataset.attrs.setdefault(
        "history", f"{datetime.now(UTC):%Y-%m-%dT%H:%M:%SZ} computed by pondsim {version}"
    )
    return dataset


def _with_bounds(dataset: xr.Dataset) -> xr.Dataset:
    """With the steps over which means were taken, as CF has them: each ends at its time."""
    times = dataset["time"].values
    if times.size > 1:
        begins = np.concatenate([times[:1] - (times[1] - times[0]), times[:-1]])
        dataset["time"].attrs["bounds"] = TIME_BOUNDS
        dataset[TIME_BOUNDS] = (("time", "bound"), np.stack([begins, times], axis=1))
    return dataset
