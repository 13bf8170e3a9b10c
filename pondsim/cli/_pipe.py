"""Output through a pipe whose reader may leave early, as `head` does: the command still writes its files."""

from __future__ import annotations

import io
import os
import sys
from typing import Any


class _Pipe(io.FileIO):
    """A stream of this process; once nobody reads it any more, what is written to it goes nowhere."""

    def write(self, data: Any, /) -> int:
        try:
            return super().write(data) or 0
        except BrokenPipeError:
            nowhere = os.open(os.devnull, os.O_WRONLY)
            os.dup2(nowhere, self.fileno())
            os.close(nowhere)
            return memoryview(data).nbytes


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
