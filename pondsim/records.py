"""What a run says of itself, as values: a code with its numbers. Words are made where people read them."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime

SEVERITIES = (
    "note",
    "caution",
    "warning",
)  # how something was taken; read numbers with care; something failed


@dataclass(frozen=True)
class Record:
    """One fact about a run.

    Attributes
    ----------
    code : what it is, such as ``pump_tripped``; comparison/remarks.py has a sentence for each
    severity : "note", "caution" or "warning"
    where : name of the zone, the system or the station, or ""
    numbers : name to value and unit, SI; the unit is "1" for counts and shares
    times : name to local standard time, as in ``2025-07-04T06:00``
    """

    code: str
    severity: str = "note"
    where: str = ""
    numbers: dict[str, tuple[float, str]] = field(default_factory=dict)
    times: dict[str, str] = field(default_factory=dict)

    def number(self, name: str) -> float:
        """One of the numbers, in the unit kept."""
        return self.numbers[name][0]

    def time(self, name: str) -> datetime:
        """One of the times."""
        return datetime.fromisoformat(self.times[name])


def iso(moment: datetime) -> str:
    """A moment as records keep it."""
    return moment.isoformat(timespec="minutes")


def to_json(records: Iterable[Record]) -> str:
    """Records as the text that a results file keeps."""
    rows = [
        {
            "code": record.code,
            "severity": record.severity,
            **({"where": record.where} if record.where else {}),
            **(
                {"numbers": {k: [v, unit] for k, (v, unit) in record.numbers.items()}}
                if record.numbers
                else {}
            ),
            **({"times": record.times} if record.times else {}),
        }
        for record in records
    ]
    return json.dumps(rows, ensure_ascii=False)


def from_json(text: str) -> list[Record]:
    """Records of a results file.

    Raises
    ------
    ValueError
        The text does not hold records.
    """
    try:
        return [
            Record(
                str(row["code"]),
                str(row["severity"]),
                str(row.get("where", "")),
                {str(k): (float(v), str(unit)) for k, (v, unit) in row.get("numbers", {}).items()},
                {str(k): iso(datetime.fromisoformat(v)) for k, v in row.get("times", {}).items()},
            )
            for row in json.loads(text)
        ]
    except (KeyError, TypeError, AttributeError, RecursionError) as error:
        raise ValueError("holds no records of a run") from error
