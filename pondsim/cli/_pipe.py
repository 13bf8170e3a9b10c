"""Output that cannot be written, to a pipe whose reader left, as `head` does, or a full disk.

The command goes on all the same and writes its files: commands print first.
"""

from __future__ import annotations

import io
import os
import sys
from typing import Any

STDOUT = 1  # its number, by which a stream of the system is known
_faults: list[OSError] = []  # of stdout in this process, at most one


class _Pipe(io.FileIO):
    """A stream of this process; once it cannot be written any more, what is written to it goes nowhere."""

    def write(self, data: Any, /) -> int:
        try:
            return super().write(data) or 0
        except OSError as error:
            if self.name == STDOUT and not isinstance(error, BrokenPipeError):
                _faults.append(error)
            nowhere = os.open(os.devnull, os.O_WRONLY)
            os.dup2(nowhere, self.fileno())
            os.close(nowhere)
            return memoryview(data).nbytes


def fault_of_output() -> OSError | None:
    """Why what was printed is not whole, so that the command fails at its end; None where a reader left."""
    return _faults[0] if _faults else None


def outlast_readers() -> None:
    """Put such streams in the place of stdout and stderr, where they are no terminal."""
    for name in ("stdout", "stderr"):
        stream = getattr(sys, name)
        try:
            if stream.isatty():
                continue
            stream.flush()
            raw = _Pipe(stream.fileno(), "w", closefd=False)
        except (AttributeError, OSError, ValueError):
            continue  # there is no such stream, or it is none of the system
        kept = {"encoding": stream.encoding, "errors": stream.errors, "line_buffering": name == "stderr"}
        setattr(sys, name, io.TextIOWrapper(io.BufferedWriter(raw), **kept))
