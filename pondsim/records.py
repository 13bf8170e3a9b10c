"""What a run says of itself, as values: a code with its numbers. Words are made where people read them."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

# how something was taken; read numbers with care; something failed
SEVERITIES = ("note", "caution", "warning")


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
    names : what else it is about, such as a key, a column or a file
    """

    code: str
    severity: str = "note"
    where: str = ""
    numbers: Mapping[str, tuple[float, str]] = field(default_factory=dict)
    times: Mapping[str, str] = field(default_factory=dict)
    names: Mapping[str, str] = field(default_factory=dict)

    def __post_init__(self) -> None:
        if self.severity not in SEVERITIES:
            raise ValueError(f"{self.code}: no severity {self.severity!r}")

    def number(self, name: str) -> float:
        """One of the numbers, in the unit kept."""
        return self.numbers[name][0]

    def time(self, name: str) -> datetime:
        """One of the times."""
        return datetime.fromisoformat(self.times[name])


def iso(moment: datetime) -> str:
    """A moment as records keep it."""
    return moment.isoformat(timespec="minutes")


def plain(record: Record) -> dict[str, Any]:
    """A record as plain data, without what it does not have."""
    found = {
        "code": record.code,
        "severity": record.severity,
        "where": record.where,
        "numbers": {name: [value, unit] for name, (value, unit) in record.numbers.items()},
        "times": record.times,
        "names": record.names,
    }
    return {key: value for key, value in found.items() if value}


def to_json(records: Iterable[Record]) -> str:
    """Records as the text that a results file keeps."""
    return json.dumps([plain(record) for record in records], ensure_ascii=False)


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
                {str(k): str(v) for k, v in row.get("names", {}).items()},
            )
            for row in json.loads(text)
        ]
    except (KeyError, TypeError, AttributeError, RecursionError) as error:
        raise ValueError("holds no records of a run") from error
