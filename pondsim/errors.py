"""The two ways a user's run can go wrong: the file wants mending, or the computation failed."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path


class PondsimError(Exception):
    """Base of every error whose text is meant for the user."""


@dataclass(frozen=True)
class Problem:
    """One fault of an input file.

    Attributes
    ----------
    file : path of the file as the user gave it, or None when no file is involved
    line : 1-based line, or None when the fault is of the file as a whole
    key : dotted key such as ``waterfall.drop``, or ""
    message : what was read, what is wanted, what was likely meant
    """

    file: Path | None
    line: int | None
    key: str
    message: str

    def __str__(self) -> str:
        place = ":".join(str(part) for part in (self.file, self.line) if part is not None)
        return ": ".join(part for part in (place, f"{self.key} {self.message}".strip()) if part)


class ScenarioError(PondsimError):
    """An input file must be mended; holds every problem found in it. Exit code 2."""

    def __init__(self, problems: Problem | list[Problem] | str) -> None:
        if isinstance(problems, str):
            problems = Problem(None, None, "", problems)
        self.problems = [problems] if isinstance(problems, Problem) else list(problems)
        super().__init__("\n".join(str(problem) for problem in self.problems))


class RunError(PondsimError):
    """The computation could not be finished truthfully. Exit code 1."""
