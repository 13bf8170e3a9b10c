"""What was asked of `pondsim size` at the command line."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from pondsim.errors import ScenarioError

if TYPE_CHECKING:
    from collections.abc import Callable

    from pondsim.scenario.settings import Scenario
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
    precision: str | None
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
    weights: Path | None
    members: int | None
    confidence: float | None
    workers: int | None
    cluster: str | None
    keep: Path | None

    @property
    def over_members(self) -> bool:
        """Whether every size runs in many members."""
        return self.weights is not None or self.members is not None

    def wish(self) -> Wish:
        """The target that was typed; ScenarioError when there is none, or none such in this pond."""
        from pondsim.cli._common import reading_of  # noqa: PLC0415
        from pondsim.sizing.target import check_wish, read_wish  # noqa: PLC0415

        if self.until is None:
            raise ScenarioError('--until: is needed; write such as --until "replaced_share >= 80 %"')
        wish = read_wish(self.until)
        check_wish(wish, [zone.name for zone in reading_of(self.design).scenario.zone])
        return wish

    def size(self, what: str, unit: str | None, middle: str | None) -> Size:
        """What a word or key stands for in the design, with what its hardware delivers."""
        from pondsim.sizing.by_word import size_of  # noqa: PLC0415

        return size_of(self.design, what, unit, middle)

    def scenario_of(self, size: Size) -> Callable[..., Scenario]:
        """The design with a size laid over, untouched where that is its own; after the size its source."""
        from pondsim.scenario.vary import read_changed  # noqa: PLC0415

        read: dict[float, Scenario] = {}

        def scenario_at(value: float, source: str = "size") -> Scenario:
            if value not in read:
                changes = () if value == size.present else size.changes(value, Path(source))
                read[value] = read_changed(self.design, changes).scenario
            return read[value]

        return scenario_at
