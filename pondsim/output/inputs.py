"""The files a run was made from, packed into its results, so that it can be run again from them alone."""

from __future__ import annotations

import io
import re
import tomllib
import zipfile
from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pondsim.errors import ScenarioError
from pondsim.scenario.settings import Scenario

HEADING = re.compile(r"^# ---- (.+)\n", re.MULTILINE)  # as read.py writes it above each file's text
LONG_AGO = (1980, 1, 1, 0, 0, 0)  # the earliest a ZIP archive knows: the same inputs give the same bytes


def packed_inputs(scenario: Scenario, text: str) -> NDArray[np.uint8] | None:
    """A ZIP archive of the scenario's files and of the tables they name, ready to run where it is unpacked.

    Parameters
    ----------
    scenario : Scenario
        As run; says where the tables lie.
    text : str
        The text of its files as `read_scenario` gathers it.

    Returns
    -------
    array or None
        Bytes of the archive; None where the text is not that of files.

    Raises
    ------
    ScenarioError
        A table cannot be read.
    """
    texts = _texts(text)
    if not texts:
        return None
    used = [name for name, _ in texts]
    tables: dict[Path, str] = {}
    for path in _paths(scenario):
        if path not in tables:
            tables[path] = _free(path.name, used)
            used.append(tables[path])
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in texts:
            here = _beside(content, tables, site=texts[0][0])
            archive.writestr(zipfile.ZipInfo(name, LONG_AGO), here.encode(), zipfile.ZIP_DEFLATED)
        for path, name in tables.items():
            archive.writestr(zipfile.ZipInfo(name, LONG_AGO), _bytes(path), zipfile.ZIP_DEFLATED)
    return np.frombuffer(stream.getvalue(), dtype=np.uint8)


def _bytes(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError as error:
        raise ScenarioError(f"{path}: cannot be read ({error.strerror})") from error


def _texts(text: str) -> list[tuple[str, str]]:
    """Name and text of each file, the site first; a comment of the user's may look like a heading."""
    marks = list(HEADING.finditer(text))
    if not marks or marks[0].start() != 0:
        return []
    first = marks[0]
    for second in marks[1:]:
        site, design = text[first.end() : second.start() - 1], text[second.end() :]
        try:
            if "site" in tomllib.loads(design) and "site" not in tomllib.loads(site):
                name = second[1] if second[1] != first[1] else f"design_{second[1]}"
                return [(first[1], site), (name, design)]
        except tomllib.TOMLDecodeError:
            continue
    return [(first[1], text[first.end() :])]


def _paths(value: Any) -> Iterator[Path]:
    """Every path in the settings, in the order of their declaration."""
    if isinstance(value, Path):
        yield value
    elif isinstance(value, tuple):
        for each in value:
            yield from _paths(each)
    elif is_dataclass(value):
        for field in fields(value):
            yield from _paths(getattr(value, field.name))


def _free(name: str, used: list[str]) -> str:
    """`name`, with a number where another file of that name is packed already."""
    stem, suffix = Path(name).stem, Path(name).suffix
    number = 1
    while name.lower() in {one.lower() for one in used}:
        number += 1
        name = f"{stem}_{number}{suffix}"
    return name


def _beside(text: str, tables: dict[Path, str], site: str) -> str:
    """The text of a file, where each file it names by a path goes by the bare name that lies beside it."""
    for key, written in set(_file_names(tomllib.loads(text))):
        new = site if key == "site" else next((tables[p] for p in tables if _leads_to(written, p)), written)
        if new != written:
            literal = re.escape(written)
            text = re.sub(
                rf"""(\b{re.escape(key)}\s*=\s*)("{literal}"|'{literal}')""", rf'\g<1>"{new}"', text
            )
    return text


def _file_names(value: Any, key: str = "") -> Iterator[tuple[str, str]]:
    """Keys whose value may name a file, and the value."""
    if isinstance(value, dict):
        for name, each in value.items():
            yield from _file_names(each, name)
    elif isinstance(value, list):
        for each in value:
            yield from _file_names(each, key)
    elif isinstance(value, str) and Path(value).suffix:
        yield key, value


def _leads_to(written: str, path: Path) -> bool:
    """Whether the path of a file ends as it is written, both without what only goes up."""
    parts = [part for part in Path(written).parts if part not in ("..", ".")]
    return bool(parts) and list(path.parts)[-len(parts) :] == parts
