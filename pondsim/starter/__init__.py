"""A starter scenario for a new folder: an invented pond with a comment at every key."""

from __future__ import annotations

import os
import secrets
import shutil
from pathlib import Path

from pondsim.errors import ScenarioError

FILES = ("site.toml", "existing.toml", "waterfall.toml", "night_air.toml")
_HERE = Path(__file__).parent


def write_starter(folder: Path) -> tuple[Path, ...]:
    """Write the starter files into `folder`, all of them or none.

    Parameters
    ----------
    folder : a new folder, or an empty one; its parent must exist

    Returns
    -------
    The files written, the site file first.

    Raises
    ------
    ScenarioError
        Something is there already, or nothing can be written there.
    """
    folder = Path(folder)
    _check_free(folder)
    partial = folder.with_name(f".{folder.name}.{secrets.token_hex(8)}.part")
    try:
        partial.mkdir()
        for name in FILES:
            (partial / name).write_bytes((_HERE / name).read_bytes())
        if folder.is_dir():
            folder.rmdir()  # empty, as found above; not all systems rename over it
        partial.rename(folder)
    except OSError as error:
        raise ScenarioError(f"{folder}: could not be written ({error.strerror})") from error
    finally:
        shutil.rmtree(partial, ignore_errors=True)
    return tuple(folder / name for name in FILES)


def _check_free(folder: Path) -> None:
    if not folder.name:
        raise ScenarioError(f"{folder}: give the name of a new folder, such as mypond")
    if os.path.lexists(folder) and not folder.is_dir():
        raise ScenarioError(f"{folder}: is not a folder; nothing is written over it, choose another name")
    if folder.is_dir() and (found := sorted(path.name for path in folder.iterdir())):
        raise ScenarioError(
            f"{folder}: holds {found[0]}{' and more' if len(found) > 1 else ''}; "
            "nothing is written over it, choose a new folder"
        )
    if not folder.parent.is_dir():
        raise ScenarioError(f"{folder}: there is no folder {folder.parent}; make it first")
