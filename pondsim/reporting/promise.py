"""What members say of a design, as a small JSON file: intervals by measure, the sentence, what decides it."""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from pondsim.errors import Problem, ScenarioError

WANTED = "holds no intervals of designs; docs/report.md shows what such a file holds"


@dataclass(frozen=True)
class Interval:
    """A measure over the members, in the unit of the measure: 5, 50 and 95 %, and how often it is better."""

    low: float
    median: float
    high: float
    better: float | None


@dataclass(frozen=True)
class Promise:
    """Members of a pond.

    Attributes
    ----------
    members : their number
    sentences : by title of a design, what may be promised
    intervals : by title of a design and key of a measure (of the worst zone where it has zones)
    decides : unknowns and the share of the difference that each decides, the largest first
    whole : all that the file holds; `pondsim promise --json` writes more than the above
    """

    members: int
    sentences: dict[str, str]
    intervals: dict[str, dict[str, Interval]]
    decides: tuple[tuple[str, float], ...]
    whole: dict[str, Any] = field(default_factory=dict)

    def interval(self, title: str, key: str) -> Interval | None:
        """The interval of a measure of a design; None where the file has none."""
        return self.intervals.get(title, {}).get(key)


def read_promise(path: Path) -> Promise:
    """Read the file; ScenarioError for one that cannot be read or holds something else."""
    try:
        found = json.loads(path.read_text(encoding="utf-8"))
        designs = dict(found["designs"])
        return Promise(
            int(found["members"]),
            {title: str(one.get("sentence", "")) for title, one in designs.items()},
            {title: _intervals(one.get("measures", {})) for title, one in designs.items()},
            tuple((str(row["unknown"]), float(row["share"])) for row in found.get("decides", [])),
            dict(found),
        )
    except OSError as error:
        raise ScenarioError(Problem(path, None, "", f"cannot be read: {error.strerror}")) from error
    except (ValueError, KeyError, TypeError, AttributeError) as error:
        raise ScenarioError(Problem(path, None, "", WANTED)) from error


def _intervals(measures: dict[str, dict[str, float]]) -> dict[str, Interval]:
    return {
        key: Interval(
            float(one["low"]),
            float(one["median"]),
            float(one["high"]),
            None if one.get("better") is None else float(one["better"]),
        )
        for key, one in measures.items()
    }
