"""The one door to numba, with a disk cache that a change of anything it may compile empties.

numba's own cache looks at the file of each function only: after an edit in an imported module, or an
upgrade, it would run stale physics. Here the cache folder is named after the content of every Python
file that compiled code can reach, so a change opens a new, empty folder.
"""

from __future__ import annotations

import hashlib
import os
import shutil
import sys
from collections.abc import Callable
from functools import cache
from pathlib import Path
from tempfile import TemporaryFile
from typing import Any, TypeVar, cast

import numba

Function = TypeVar("Function", bound=Callable[..., Any])

PACKAGE = Path(__file__).parents[1]
CONFIG: Any = numba.config  # its names are set when numba is imported
TIME_LOOP = "loop.march-*.nbc"  # numba's file of it; the loop is by far the longest to compile
# Folders that nothing compiled may import (tests/test_layers.py): an edit there changes no machine code.
NEVER_COMPILED = {
    *("cli", "reporting", "figures", "comparison", "measures", "sizing", "design", "starter"),
    *("output", "simulate", "storm", "results", "data"),
}
# What the compiler may do to sums and products: another order, a multiplication and an addition in one, a
# reciprocal for a division. It may not take it for granted that no number is NaN or infinite: the tests for
# NaN, which turn a failed step into an error, would go.
ARITHMETIC = {"reassoc", "contract", "arcp", "nsz", "afn"}
CACHES_KEPT = 4  # older folders are swept away when a new one is opened


def package_fingerprint(package: Path = PACKAGE) -> str:
    """Fingerprint of numba's version and of every Python file under `package` that may be compiled."""
    digest = hashlib.sha256(numba.__version__.encode())
    for path in sorted(package.rglob("*.py")):
        if path.relative_to(package).parts[0].removesuffix(".py") in NEVER_COMPILED:
            continue
        digest.update(str(path.relative_to(package)).encode())
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
    """Folder of machine code for exactly this package content; older ones are swept away."""
    root = _user_cache()
    folder = root / package_fingerprint()
    if not folder.exists() and root.is_dir():
        by_age = sorted((p for p in root.iterdir() if p.is_dir()), key=lambda p: p.stat().st_mtime)
        for old in by_age[: -(CACHES_KEPT - 1)]:
            shutil.rmtree(old, ignore_errors=True)
    return folder


@cache
def _keeps() -> bool:
    """Whether machine code can be kept; else numba would keep it beside the sources and trust it too long."""
    try:
        cache_folder().mkdir(parents=True, exist_ok=True)
        with TemporaryFile(dir=cache_folder()):
            return True
    except OSError:
        return False


def is_compiled() -> bool:
    """Whether the time loop's machine code for this package content is already on disk."""
    return any(cache_folder().rglob(TIME_LOOP))


def compiled(function: Function) -> Function:
    """Compile `function` at first use and keep the machine code on disk."""
    return _compile(function)


def inlined(function: Function) -> Function:
    """As `compiled`, for short functions: laid into each caller, so that a loop around it can be vectorised."""
    return _compile(function, forceinline=True)


def compiled_for_loop(function: Function) -> Function:
    """Compile a function of the time loop, which is handed every array it needs and makes none itself.

    Arrays are then not counted as they are passed on: some thousand counts at each evaluation of the rates
    would cost several times the arithmetic, and compiling them a minute.
    """
    return _compile(function, _nrt=False)


def _compile(function: Function, **options: Any) -> Function:
    options = {"error_model": "numpy", "fastmath": ARITHMETIC, "nogil": True} | options
    before = CONFIG.CACHE_DIR
    CONFIG.CACHE_DIR = str(cache_folder())
    try:
        return cast(Function, numba.njit(cache=_keeps(), **options)(function))
    except RuntimeError:  # typed at a prompt, so there is no file to tell when it has changed
        return cast(Function, numba.njit(**options)(function))
    finally:
        CONFIG.CACHE_DIR = before


@compiled_for_loop
def copy(source: Any, target: Any) -> None:
    """Copy a vector into another; slices of each other would need memory of their own."""
    for i in range(target.size):
        target[i] = source[i]
