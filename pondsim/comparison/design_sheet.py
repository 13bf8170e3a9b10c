"""What fails and warns in the design sheet of a run, as kept with its results."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import xarray as xr


@dataclass(frozen=True)
class SheetResult:
    """Limits of a design sheet.

    Attributes
    ----------
    fails, warns : part and what is judged, of each limit that fails or warns
    passes : how many pass
    """

    fails: tuple[str, ...]
    warns: tuple[str, ...]
    passes: int

    @property
    def count(self) -> str:
        """How many fail and warn: "2 FAIL, 1 WARN"; "" where there is nothing to judge."""
        parts = [f"{len(self.fails)} FAIL"] if self.fails else []
        parts += [f"{len(self.warns)} WARN"] if self.warns else []
        return ", ".join(parts) or ("no FAIL, no WARN" if self.passes else "")

    @property
    def sentence(self) -> str:
        """What fails and warns, by name; "" where nothing does."""
        named = [
            f"{len(found)} {word} ({'; '.join(found)})"
            for word, found in (("FAIL", self.fails), ("WARN", self.warns))
            if found
        ]
        return f"Its design sheet has {' and '.join(named)}." if named else ""


def sheet_result(dataset: xr.Dataset) -> SheetResult | None:
    """The sheet of a run; None where the results do not hold it."""
    try:
        kept = json.loads(str(dataset.attrs["design_sheet"]))
        fails, warns = (tuple(f"{row['part']}, {row['what']}" for row in kept[k]) for k in ("fail", "warn"))
        return SheetResult(fails, warns, int(kept["pass"]))
    except (KeyError, TypeError, ValueError):
        return None
