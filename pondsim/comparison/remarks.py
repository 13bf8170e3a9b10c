"""What a run says of itself, read from its results: codes with a text, or plain lines of older files."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import xarray as xr

# Remarks that change how the numbers of a design are read, and so belong in its paragraph: by the beginning
# of their code, and of the text of files that hold no codes.
IN_PARAGRAPH = ("intake_", "below_low_pool", "zone_dry", "pump_trip")
IN_PARAGRAPH_TEXT = ("The water fell", "Zone ", "The pump tripped")


@dataclass(frozen=True)
class Remark:
    """One remark: its code, "" in files that hold none, and its text."""

    code: str
    text: str

    @property
    def in_paragraph(self) -> bool:
        """Whether it belongs in the paragraph of its design."""
        return self.code.startswith(IN_PARAGRAPH) or self.text.startswith(IN_PARAGRAPH_TEXT)


def remarks_of(dataset: xr.Dataset) -> tuple[Remark, ...]:
    """Remarks of a run; what cannot be read as a list of codes is read line by line."""
    text = str(dataset.attrs.get("remarks", ""))
    try:
        rows = json.loads(text)
        return tuple(Remark(str(row.get("code", "")), str(row["text"]).strip()) for row in rows)
    except (json.JSONDecodeError, TypeError, AttributeError, KeyError):
        return tuple(Remark("", line.strip()) for line in text.splitlines() if line.strip())
