"""Machine code kept on disk: one file for each function, signature and processor.

Loading a file runs what it holds, so only files of the user's own folder are read, and only whole ones: each
begins with a checksum of the rest. A damaged file is compiled again and replaced. Every file has a name of
its own, made from all that its content depends on: processes that compile into one folder do not disturb
each other.
"""

from __future__ import annotations

import hashlib
import logging
import os
import pickle
import re
import shutil
import stat
import sys
import tempfile
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import llvmlite
import llvmlite.binding
import numba
from numba.core.compiler import CompileResult
from numba.core.serialize import dumps

LOG = logging.getLogger("pondsim")
PACKAGE = Path(__file__).parents[1]
# Parts of the package that compiled code does not reach (tests/test_layers.py): an edit there, such as of a
# message, changes no machine code.
NEVER_COMPILED = {
    *("cli", "reporting", "figures", "comparison", "measures", "sizing", "ensemble", "design", "starter"),
    *(
        "output",
        "simulate",
        "storm",
        "years",
        "results",
        "scenario",
        "data",
        "units",
        "unit_words",
        "words",
        "errors",
        "records",
        "roots",
        "spreadsheet",
    ),
    *("__init__", "__main__"),
}
# Of these parts it reaches the files named only (the same test); the others read files and lay out tables.
REACHED_OF = {
    "site": {"control", "drained", "pond", "tables", "weather"},
    "engine": {
        *("control", "events", "forcing", "given_algae", "living", "loop", "model", "moment", "norm"),
        *("patterns", "scheme", "sources", "step", "transfers"),
    },
}
FOLDERS_KEPT = 4  # older folders are swept away when a new one is opened
FOLDER_NAME = re.compile("[0-9a-f]{16}")
WITH_PARTS = ((0, 60), (0, 68))  # oldest and newest numba whose inside parts.py knows
CHECKSUM = hashlib.sha256
CHECKSUM_SIZE = 32  # bytes
NOT_KEPT = "machine code is not kept: %s. Every command compiles it again; %s"


def may_be_compiled(parts: tuple[str, ...]) -> bool:
    """Whether compiled code may reach a module of the package, given by its path: ("site", "pond")."""
    reached = REACHED_OF.get(parts[0])
    return parts[0] not in NEVER_COMPILED and (reached is None or parts[-1] in reached)


def package_fingerprint(package: Path = PACKAGE) -> str:
    """Fingerprint of the compiler's version and of every Python file that compiled code may reach."""
    digest = hashlib.sha256(f"{numba.__version__} {llvmlite.__version__} {sys.version_info[:2]}".encode())
    for path in sorted(package.rglob("*.py")):
        if not may_be_compiled(path.relative_to(package).with_suffix("").parts):
            continue
        digest.update(path.relative_to(package).as_posix().encode())
        digest.update(path.read_bytes())
    return digest.hexdigest()[:16]


def _user_cache() -> Path:
    if given := os.environ.get("PONDSIM_CACHE"):
        return Path(given)
    if sys.platform == "win32":
        return Path(os.environ.get("LOCALAPPDATA", Path.home())) / "pondsim" / "cache"
    if sys.platform == "darwin":
        return Path.home() / "Library" / "Caches" / "pondsim"
    return Path(os.environ.get("XDG_CACHE_HOME", Path.home() / ".cache")) / "pondsim"


@cache
def cache_folder() -> Path:
    """Folder of machine code for exactly this package content."""
    return _user_cache() / package_fingerprint()


@cache
def is_kept() -> bool:
    """Whether machine code can be kept and trusted; if not, a line of the log says why."""
    folder = cache_folder()
    try:
        if not folder.exists():
            _sweep(folder.parent)
            folder.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            folder.mkdir(mode=0o700, exist_ok=True)
        refused = _distrusted(folder.parent) or _distrusted(folder)
        if not refused:
            with tempfile.TemporaryFile(dir=folder):
                return True
    except OSError as error:
        refused = f"{folder} cannot be written ({error.strerror})"
    LOG.warning(NOT_KEPT, refused, "fix that, or point PONDSIM_CACHE to a folder of your own")
    return False


def _distrusted(folder: Path) -> str:
    """Why what lies in `folder` may be another user's, or ''."""
    if sys.platform == "win32":  # the folder lies in the user's profile, which Windows guards
        return ""
    found = folder.stat()
    if found.st_uid != os.geteuid():
        return f"{folder} belongs to another user"
    if found.st_mode & (stat.S_IWGRP | stat.S_IWOTH):
        return f"others may write in {folder} (to forbid it: chmod go-w {folder})"
    return ""


def _sweep(root: Path) -> None:
    """Make room for a new folder; what does not look like one of ours is left alone."""
    if root.is_dir():
        ours = [path for path in root.iterdir() if FOLDER_NAME.fullmatch(path.name) and path.is_dir()]
        by_age = sorted(ours, key=lambda path: path.stat().st_mtime)
        for old in by_age[: -(FOLDERS_KEPT - 1)]:
            shutil.rmtree(old, ignore_errors=True)


class KeptCode:
    """The machine code of one function, as numba's dispatcher asks for it; as a `part`, what callers link."""

    def __init__(self, function: Callable[..., Any], part: bool = False) -> None:
        self._function = function
        self._part = part
        source = Path(function.__code__.co_filename)
        if source.is_relative_to(PACKAGE):  # the folder's name vouches for its content
            self._source = source.relative_to(PACKAGE).as_posix()
        else:
            when = source.stat()
            self._source = f"{source} {when.st_mtime_ns} {when.st_size}"

    @property
    def cache_path(self) -> str:
        """Folder of the files."""
        return str(cache_folder())

    def load_overload(self, signature: Any, target_context: Any) -> Any | None:
        """Machine code for a signature; None where there is none, or it is damaged."""
        target_context.refresh()  # what arrays are made of must be there before code that makes some
        content = self.read(signature, target_context.codegen())
        return None if content is None else CompileResult._rebuild(target_context, *pickle.loads(content))

    def save_overload(self, signature: Any, result: Any) -> None:
        """Keep machine code; where that fails it stays in memory, and the log says so once."""
        library = result.library
        for (
            environment
        ) in result._find_referenced_environments():  # of its parts, which nobody told of theirs
            library.codegen.set_env(environment.env_name, environment)
        if not (result.lifted or library.has_dynamic_globals):
            if knows_parts():
                library._shared_module = _door(result.fndesc)  # callers link the part: this is only run
            self.write(signature, library.codegen, dumps(result._reduce()))

    def flush(self) -> None:
        """Nothing waits to be written."""

    def read(self, signature: Any, codegen: Any) -> bytes | None:
        """What is kept for a signature; None where there is nothing, or it is damaged."""
        if not is_kept():
            return None
        try:
            content = self._path(signature, codegen).read_bytes()
        except OSError:
            return None
        checksum, payload = content[:CHECKSUM_SIZE], content[CHECKSUM_SIZE:]
        return payload if CHECKSUM(payload).digest() == checksum else None

    def write(self, signature: Any, codegen: Any, payload: bytes) -> None:
        """Keep something for a signature; where that fails the log says so once."""
        if not (_Disk.has_room and is_kept()):
            return
        try:
            _write(self._path(signature, codegen), CHECKSUM(payload).digest() + payload)
        except PermissionError:  # on Windows: another process reads or writes the same file
            return
        except OSError as error:
            _Disk.has_room = False
            refused = f"{cache_folder()} cannot be written ({error.strerror})"
            LOG.warning(NOT_KEPT, refused, "make room there, or point PONDSIM_CACHE to a disk with room")

    def _path(self, signature: Any, codegen: Any) -> Path:
        code, closure = self._function.__code__, self._function.__closure__ or ()
        depends = (
            *(self._source, code.co_firstlineno, self._function.__qualname__, code.co_code, signature),
            *(codegen.magic_tuple(), dumps(tuple(cell.cell_contents for cell in closure))),
        )
        key = hashlib.sha256(repr(depends).encode()).hexdigest()[:24]
        module = Path(code.co_filename).stem
        name = re.sub(r"[^\w.]", "", self._function.__qualname__)
        return cache_folder() / f"{module}.{name}-{key}.{'part' if self._part else 'code'}"


def knows_parts() -> bool:
    """Whether parts (parts.py) were tried with this numba; with others all is compiled its own way."""
    oldest, newest = WITH_PARTS
    return oldest <= numba.version_info.short <= newest


def _door(fndesc: Any) -> Any:
    """A module that says no more than by which name Python calls a function."""
    return llvmlite.binding.parse_assembly(
        f'define void @"{fndesc.llvm_cpython_wrapper_name}"() {{ ret void }}'
    )


class _Disk:
    """What is known of the disk."""

    has_room = True


def _write(path: Path, content: bytes) -> None:
    """Write a file whole or not at all."""
    place, partial = tempfile.mkstemp(dir=path.parent)
    try:
        with open(place, "wb") as file:
            file.write(content)
        os.replace(partial, path)
    finally:
        Path(partial).unlink(missing_ok=True)
