"""The one door to numba, with a disk cache that a change of anything it may compile empties.

numba's own cache looks at the file of each function only: after an edit in an imported module, or an
upgrade, it would run stale physics. Here the cache folder is named after the content of every Python
file that compiled code can reach, so a change opens a new, empty folder (kept.py).
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar, cast

import numba

from pondsim.jit.kept import KeptCode, cache_folder, is_kept, knows_parts
from pondsim.jit.parts import as_part
from pondsim.jit.pipeline import Pipeline

Function = TypeVar("Function", bound=Callable[..., Any])

# What the compiler may do to sums and products: another order, a multiplication and an addition in one, a
# reciprocal for a division. It may not take it for granted that no number is NaN or infinite: the tests for
# NaN, which turn a failed step into an error, would go.
ARITHMETIC = {"reassoc", "contract", "arcp", "nsz", "afn"}
TIME_LOOP = "loop.integrate-*.code"  # file of the loop, which is by far the longest to compile


def is_compiled() -> bool:
    """Whether the time loop's machine code for this package content is already on disk."""
    return is_kept() and any(cache_folder().glob(TIME_LOOP))


def compiled(function: Function) -> Function:
    """Compile `function` at first use and keep the machine code on disk."""
    return _compile(function)


def inlined(function: Function) -> Function:
    """As `compiled`, for short functions: laid into each caller, for loops to be vectorised."""
    return _compile(function, forceinline=True)


def compiled_for_loop(function: Function) -> Function:
    """Compile a function of the time loop, which is handed every array it needs and makes none itself.

    Arrays are then not counted as they are passed on: some thousand counts at each evaluation of the rates
    would cost several times the arithmetic, and compiling them a minute.
    """
    return _compile(function, _nrt=False)


def as_written(function: Function) -> Function:
    """As `compiled_for_loop`, with every sum in the order in which it is written."""
    return _compile(function, _nrt=False, fastmath=False)


def _compile(function: Function, **options: Any) -> Function:
    # nogil: the loop needs nothing of Python's, so that runs in threads go on side by side
    every: Any = {"error_model": "numpy", "fastmath": ARITHMETIC, "nogil": True, "no_cfunc_wrapper": True}
    if knows_parts():
        every["pipeline_class"] = Pipeline
    dispatcher = numba.njit(**every | options)(function)
    in_a_file = Path(function.__code__.co_filename).is_file()  # else at a prompt: nothing tells of a change
    if in_a_file:
        dispatcher._cache = KeptCode(function)
    as_part(dispatcher, KeptCode(function, part=True) if in_a_file else None)
    return cast(Function, dispatcher)


@as_written
def add_with_carry(change: Any, total: Any, carry: Any) -> None:
    """Add a vector to a total; what rounding takes off each entry waits in `carry` for the next time.

    Many small changes then add up to what they are, to the last digit of the total: without it errors of
    changes that are alike add up too. Source: kahan1965.
    """
    for i in range(total.size):
        more = change[i] + carry[i]
        new = total[i] + more
        carry[i] = more - (new - total[i])
        total[i] = new


@compiled_for_loop
def copy(source: Any, target: Any) -> None:
    """Copy a vector into another; slices of each other would need memory of their own."""
    for i in range(target.size):
        target[i] = source[i]
