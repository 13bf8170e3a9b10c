"""Limits of the user's own: what is held against what, where, when, and how much may exceed."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass, fields
from typing import TYPE_CHECKING, Any

from pondsim.errors import ScenarioError
from pondsim.measures.windows_over_days import Season
from pondsim.units import convert, number_text

if TYPE_CHECKING:
    import xarray as xr

KEPT_AS = "own_limits"  # attribute of results
QUANTITIES = {  # quantity: words, unit, unit shown in US units, whether the limit is a least value
    "oxygen": ("oxygen", "mg/L", "mg/L", True),
    "temperature": ("temperature", "degC", "degF", False),
    "temperature_rise": ("temperature rise", "delta_degC", "delta_degF", False),
    "suspended_solids": ("suspended solids", "mg/L", "mg/L", False),
    "phosphorus": ("phosphorus", "mg/L", "mg/L", False),
    "solids_removal": ("solids removed", "1", "%", True),
    "fit_for_fish": ("water fit for fish, of the volume", "1", "%", True),
}
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
ALL_YEAR = (1, 1, 12, 31)


@dataclass(frozen=True, kw_only=True)
class Limit:
    """One limit.

    Attributes
    ----------
    name : in tables
    quantity : key of QUANTITIES
    value : in the unit of its quantity
    statistic : "instantaneous", "daily minimum", "daily mean", "daily maximum" or "whole run"
    days : mean over so many days in a row
    days_needed : days of them that must have a value; 0 for all
    at : "zones", "outlet" or "intake"
    zone : the only zone, or "" for each
    upper, lower : depths between which the water is read [m]
    season : spans of the year; empty for all of it
    stage : life stage it protects, or ""
    allowed_share : share of what is judged that may be on the wrong side
    test : "share", the plain share, or "binomial", the exact test with an effective number
    confidence : of the test
    against : of a rise: "existing pond" or "inflow"
    organic : whether algae and dead algae count as solids
    """

    name: str
    quantity: str
    value: float
    statistic: str
    days: int = 1
    days_needed: int = 0
    at: str = "zones"
    zone: str = ""
    upper: float = 0.0
    lower: float = 1.0
    season: Season = ()
    stage: str = ""
    allowed_share: float = 0.0
    test: str = "share"
    confidence: float = 0.9
    against: str = "existing pond"
    organic: bool = True

    @property
    def least(self) -> bool:
        """Whether it is a least value."""
        return QUANTITIES[self.quantity][3]

    def shown(self, value: float, system: str) -> str:
        """A value of its quantity as people read it, with its unit."""
        _, unit, us, _ = QUANTITIES[self.quantity]
        shown = us if system == "us" or us == "%" else unit
        text = number_text(float(convert(value, unit, shown)), 3)
        return f"{text} {shown.removeprefix('delta_')}"

    def words(self, system: str = "us") -> str:
        """What is judged, in one line: statistic, quantity, limit, place, season and what may exceed."""
        parts = [
            f"{self._statistic()} {'at least' if self.least else 'at most'} {self.shown(self.value, system)}"
        ]
        place = self._place(system)
        parts += [place] if place else []
        if self.season and ALL_YEAR not in self.season:
            parts.append(" and ".join(_span(span) for span in self.season))
        if self.stage:
            parts.append(self.stage)
        if self.allowed_share > 0.0:
            test = f", binomial test at {100.0 * self.confidence:g} %" if self.test == "binomial" else ""
            way = "fall short" if self.least else "exceed"
            parts.append(f"{100.0 * self.allowed_share:g} % may {way}{test}")
        return ", ".join(parts)

    def _statistic(self) -> str:
        what = QUANTITIES[self.quantity][0]
        if self.quantity in ("suspended_solids", "solids_removal"):
            what += " with algae and detritus" if self.organic else " without algae and detritus"
        if self.quantity == "temperature_rise":
            what += f" over the {self.against}"
        if self.statistic == "instantaneous":
            return f"{what} at any time"
        if self.statistic == "whole run":
            return f"{what}, whole run,"
        return (
            f"{what}, {self.statistic},"
            if self.days == 1
            else f"{what}, {self.days}-day mean of {self._plural()},"
        )

    def _plural(self) -> str:
        return {"daily minimum": "daily minima", "daily mean": "daily means"}.get(
            self.statistic, "daily maxima"
        )

    def _place(self, system: str) -> str:
        if self.quantity == "solids_removal":
            return ""
        if self.at != "zones":
            return f"water drawn at the {self.at}"
        where = self.zone or "every zone"
        if self.quantity == "fit_for_fish":
            return self.zone or "whole pond"
        unit = "ft" if system == "us" else "m"
        upper, lower = (number_text(float(convert(one, "m", unit)), 2) for one in (self.upper, self.lower))
        return f"{where}, {upper} to {lower} {unit} deep"


def _span(span: tuple[int, int, int, int]) -> str:
    return f"{MONTHS[span[0] - 1]} {span[1]} to {MONTHS[span[2] - 1]} {span[3]}"


def limits_text(limits: list[Limit]) -> str:
    """Limits as the text that a results file keeps."""
    return json.dumps([asdict(one) for one in limits])


def own_limits(dataset: xr.Dataset) -> tuple[Limit, ...]:
    """Limits of the user's own that a results file keeps; ScenarioError where they are damaged."""
    known = {field.name for field in fields(Limit)}
    try:
        rows: list[dict[str, Any]] = json.loads(str(dataset.attrs.get(KEPT_AS, "[]")))
        found = []
        for row in rows:
            given = {name: value for name, value in row.items() if name in known}
            season = tuple(tuple(map(int, span)) for span in given.get("season", ()))
            limit = Limit(**(given | {"season": season, "value": float(given["value"])}))
            if limit.quantity not in QUANTITIES:
                raise ValueError(limit.quantity)
            found.append(limit)
    except (ValueError, TypeError, KeyError, AttributeError) as error:
        raise ScenarioError(
            f'the results of "{dataset.attrs.get("title", "")}" are damaged (attribute {KEPT_AS}); '
            "run the design again"
        ) from error
    return tuple(found)
