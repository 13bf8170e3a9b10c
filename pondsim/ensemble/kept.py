"""Results of finished tasks in a folder, so that a study that was broken off goes on where it stood."""

from __future__ import annotations

import dataclasses
import hashlib
import os
from collections.abc import Callable, Mapping
from contextlib import suppress
from datetime import date, datetime
from pathlib import Path
from typing import Any

from pondsim.errors import ScenarioError


@dataclasses.dataclass(frozen=True)
class Kept:
    """A folder of results, each under the fingerprint of its task.

    Attributes
    ----------
    folder : where they stand; made when missing
    version : of all that the results depend on beside the task; another version finds nothing
    encode, decode : a result as the bytes of its file, and back; decode raises ValueError for a broken file
    """

    folder: Path
    version: str
    encode: Callable[[Any], bytes]
    decode: Callable[[bytes], Any]

    def __post_init__(self) -> None:
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise ScenarioError(f"{self.folder}: this folder cannot be made ({error.strerror})") from error

    def path(self, task: Any) -> Path:
        """Where the result of a task stands, or will."""
        return self.folder / f"{fingerprint(self.version, task)}.done"

    def read(self, task: Any) -> Any:
        """The result of a task that is done; None where there is none, or none that can be read."""
        with suppress(OSError, ValueError):
            return self.decode(self.path(task).read_bytes())
        return None

    def write(self, task: Any, result: Any) -> None:
        """Keep a result: written beside and renamed, so that what is there is whole."""
        path = self.path(task)
        partial = path.with_suffix(f".{os.getpid()}.part")
        try:
            partial.write_bytes(self.encode(result))
            os.replace(partial, path)
        except OSError as error:
            raise ScenarioError(f"{path}: could not be written ({error.strerror})") from error
        finally:
            partial.unlink(missing_ok=True)


def fingerprint(*parts: Any) -> str:
    """Fingerprint of plain values and dataclasses of them; of a path it takes the content of the file.

    Raises
    ------
    TypeError
        A value of which it is not known when two are the same.
    OSError
        A file that cannot be read.
    """
    digest = hashlib.sha256()
    for part in parts:
        _add(digest, part)
    return digest.hexdigest()[:32]


def _add(digest: Any, value: Any) -> None:
    """Each value with its type and, where it holds others, their number: no two spell alike."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        digest.update(f"{type(value).__qualname__}{{".encode())
        for field in dataclasses.fields(value):
            digest.update(f"{field.name}=".encode())
            _add(digest, getattr(value, field.name))
        digest.update(b"}")
    elif isinstance(value, tuple | list):
        digest.update(f"[{len(value)}:".encode())
        for item in value:
            _add(digest, item)
    elif isinstance(value, Mapping):
        _add(digest, sorted(value.items()))
    elif isinstance(value, Path):
        digest.update(b"file " + hashlib.sha256(value.read_bytes()).digest())
    elif value is None or isinstance(value, bool | int | float | str | datetime | date):
        text = repr(value).encode()
        digest.update(f"{type(value).__name__} {len(text)} ".encode() + text)
    else:
        raise TypeError(f"no fingerprint of {type(value).__name__}")
