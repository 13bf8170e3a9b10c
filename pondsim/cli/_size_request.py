"""What was asked of `pondsim size` at the command line."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from pondsim.errors import ScenarioError

if TYPE_CHECKING:
    from pondsim.sizing.size import Size
    from pondsim.sizing.target import Wish


@dataclass(frozen=True)
class Request:
    """What was asked for at the command line."""

    what: str
    design: Path
    until: str | None
    start: str | None
    end: str | None
    unit: str | None
    middle: str | None
    precision: str
    steps: int | None
    catalogue: Path | None
    every: bool
    pairs: str | None
    list_file: Path | None
    by: str | None
    csv_file: Path | None
    json_file: Path | None
    figure: Path | None
    system: str

    def wish(self) -> Wish:
        """The target that was typed; ScenarioError when there is none."""
        from pondsim.sizing.target import read_wish  # noqa: PLC0415

        if self.until is None:
            raise ScenarioError('--until: is needed; write such as --until "replaced_share >= 80 %"')
        return read_wish(self.until)

    def size(self, what: str, unit: str | None, middle: str | None) -> Size:
        """What a word or key stands for in the design, with what its hardware delivers."""
        from pondsim.sizing.by_word import size_of  # noqa: PLC0415

        return size_of(self.design, what, unit, middle)
