"""The files a run was made from, out of its results file into a folder."""

from __future__ import annotations

import io
import zipfile
from pathlib import Path
from typing import TYPE_CHECKING

from pondsim.errors import ScenarioError

if TYPE_CHECKING:
    import xarray as xr

LARGEST = 2**30  # bytes of all files together


def unpacked(dataset: xr.Dataset, path: Path) -> dict[str, bytes]:
    """Names and contents of the files packed into results.

    Parameters
    ----------
    dataset : xarray.Dataset
        Results.
    path : Path
        The file they come from, for messages.

    Raises
    ------
    ScenarioError
        The results hold no files, or what they hold is damaged.
    """
    if "input_files" not in dataset:
        raise ScenarioError(
            f"{path}: does not hold the files it was made from (an older version of pondsim, or a run from a "
            "notebook without its text); run the design again"
        )
    try:
        with zipfile.ZipFile(io.BytesIO(dataset["input_files"].values.tobytes())) as archive:
            members = archive.infolist()
            if sum(member.file_size for member in members) > LARGEST:
                raise ScenarioError(f"{path}: the files in it would take more than a gigabyte")
            found = {member.filename: archive.read(member) for member in members}
    except (zipfile.BadZipFile, OSError, ValueError, RuntimeError, NotImplementedError, EOFError) as error:
        raise ScenarioError(f"{path}: the files in it are damaged; run the design again") from error
    odd = [name for name in found if Path(name).name != name or "\\" in name or name.startswith(".")]
    if odd or not found:
        raise ScenarioError(f"{path}: the files in it are damaged; run the design again")
    return found


def write_scenario(files: dict[str, bytes], folder: Path) -> Path:
    """Write the files into a folder, which is made; all or none. Returns the file to run.

    Raises
    ------
    ScenarioError
        The folder cannot be made or holds such a file already.
    """
    from pondsim.cli._common import made_folder, write_all  # noqa: PLC0415

    if folder.exists() and not folder.is_dir():
        raise ScenarioError(f"{folder}: is a file; give the name of a folder")
    there = [name for name in files if (folder / name).exists()]
    if there:
        raise ScenarioError(f"{folder}: holds {', '.join(there)} already; choose another folder")
    with made_folder(folder):
        write_all({folder / name: content for name, content in files.items()})
    return folder / [name for name in files if name.endswith(".toml")][-1]
