"""In what files differ beside equipment: the pond, its weather, its events, the tariff."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from pondsim.units import UnitError, convert, display_unit, number_text

if TYPE_CHECKING:
    import xarray as xr

WEATHER = {
    "air_temperature": "air temperature",
    "wind_speed": "wind",
    "shortwave": "sun",
    "rain_intensity": "rain",
}
SAME = 1e-6  # numbers may differ by this share and are alike
SHOWN = 4  # differences that are named with their values; of further ones their number
EQUIPMENT = ("intake", "gravity_line", "wet_well", "pump", "discharge", "waterfall", "aeration", "tariff")
SHOWN_AS = {  # SI unit of a value: kind of unit in which people read it
    "m": "length",
    "m2": "area",
    "m3": "volume",
    "m3/s": "flow",
    "kg/m3": "concentration",
    "K": "temperature",
    "delta_K": "temperature_difference",
    "s": "days",
    "m/s": "wind",
    "kg/m2/s": "area_rate",
}
Values = dict[str, list[Any]]


@dataclass(frozen=True)
class Change:
    """One key that differs: its values, None where a file does not have it, and their unit."""

    key: str
    first: Any
    other: Any
    unit: str

    def words(self, system: str) -> str:
        """Key and values as people read them: "bed.oxygen_demand 2 g/m2/d instead of 1 g/m2/d"."""
        texts = self._texts(system)
        if "" in texts or texts[0] == texts[1]:
            return self.key
        return f"{self.key} {self.values(system)}"

    def values(self, system: str) -> str:
        """The values alone, without one that a file does not have."""
        return " instead of ".join(filter(None, self._texts(system)))

    def _texts(self, system: str) -> list[str]:
        return [_value_text(value, self.unit, system) for value in (self.other, self.first)]


@dataclass(frozen=True)
class Unlike:
    """In what a design's file differs from that of the existing pond.

    Attributes
    ----------
    of_pond, of_events, of_tariff : keys that differ, the weather as it was used among the pond's
    equipment : whether the equipment differs; None where the results do not tell
    """

    of_pond: tuple[Change, ...] = ()
    of_events: tuple[Change, ...] = ()
    of_tariff: tuple[Change, ...] = ()
    equipment: bool | None = None


def unlike(first: xr.Dataset, other: xr.Dataset) -> Unlike:
    """In what two runs differ beside their equipment."""
    a, b = givens_of(first), givens_of(other)
    weather = tuple(Change(words, None, None, "") for words in _other_weather(first, other))
    if a is None or b is None:
        return Unlike((*weather, *_changes(_told(first), _told(other))))
    pond = [
        change
        for change in _changes(a["pond"], b["pond"])
        if not (weather and change.key.startswith(("weather.", "rain.")))
    ]
    return Unlike(
        (*weather, *pond),
        _changes(a["events"], b["events"]),
        _changes(a["tariff"], b["tariff"]) if a["tariff"] and b["tariff"] else (),
        bool(_changes(a["equipment"], b["equipment"])),
    )


@dataclass(frozen=True)
class EventCase:
    """A design that differs from an earlier one by events alone: the place of that one, and the events."""

    design: int
    events: tuple[Change, ...]


def event_case(place: int, first: xr.Dataset, other: xr.Dataset) -> EventCase | None:
    """The case that `other` is of `first`, which stands at `place`; None where more than events differ."""
    apart = unlike(first, other)
    if apart.equipment is not False or apart.of_pond or not apart.of_events:
        return None
    return EventCase(place, apart.of_events)


def givens_of(dataset: xr.Dataset) -> dict[str, Values] | None:
    """What was given, by kind and key; None where the results do not hold it."""
    try:
        kept = json.loads(str(dataset.attrs["givens"]))
        return {kind: dict(kept[kind]) for kind in ("equipment", "events", "tariff", "pond")}
    except (KeyError, TypeError, ValueError):
        return None


def given(dataset: xr.Dataset, key: str) -> Any:
    """The value of one key of the pond; None where there is none."""
    return (givens_of(dataset) or {"pond": {}})["pond"].get(key, [None])[0]


def shape_of(dataset: xr.Dataset) -> dict[str, tuple[float, float]] | None:
    """Area [m2] and volume [m3] of each zone at normal pool, as given; None where the results lack them."""
    pool, found = given(dataset, "pond.normal_pool"), {}
    for zone in map(str, dataset["zone"].values):
        table = [given(dataset, f"zone.{zone}.{name}") for name in ("stage", "area")]
        if pool is None or None in table:
            return None
        stage, area = (np.asarray(column, dtype=float) for column in table)
        rows = np.append(stage[stage < pool], pool)
        areas = np.interp(rows, stage, area)
        volume = float(np.sum(np.diff(rows) * (areas[1:] + areas[:-1])) / 2.0)
        found[zone] = (float(areas[-1]), volume)
    return found


def _told(dataset: xr.Dataset) -> Values:
    """What older results tell of the pond: parameters as used, and how finely they were computed."""
    found = {
        f"numerics.{name}": [dataset.attrs[key], ""]
        for name, key in (("tolerance", "tolerance"), ("hydraulic_step", "hydraulic_step_s"))
        if key in dataset.attrs
    }
    try:
        rows = json.loads(str(dataset.attrs.get("parameters", "[]")))
        used = {str(row["key"]): [row["value"], str(row["unit"])] for row in rows}
    except (KeyError, TypeError, ValueError):
        used = {}
    return found | {key: value for key, value in used.items() if key.partition(".")[0] not in EQUIPMENT}


def _changes(first: Values, other: Values) -> tuple[Change, ...]:
    keys = dict.fromkeys([*first, *other])
    nothing = [None, ""]
    found = []
    for key in keys:
        a, b = first.get(key, nothing), other.get(key, nothing)
        if not _alike(a[0], b[0]):
            found.append(Change(key, a[0], b[0], str(a[1] or b[1])))
    return tuple(found)


def _alike(a: Any, b: Any) -> bool:
    if isinstance(a, list) and isinstance(b, list):
        return len(a) == len(b) and all(_alike(x, y) for x, y in zip(a, b, strict=True))
    if isinstance(a, int | float) and isinstance(b, int | float):
        return abs(a - b) <= SAME * max(abs(a), abs(b))
    return bool(a == b)


def _other_weather(first: xr.Dataset, other: xr.Dataset) -> list[str]:
    """What of the weather, as it was used, is not the same in both."""
    return [
        words
        for name, words in WEATHER.items()
        if name in first and name in other and not _same_series(first[name].values, other[name].values)
    ]


def _same_series(a: Any, b: Any) -> bool:
    largest = float(np.nanmax(np.abs(a), initial=0.0))
    return bool(np.allclose(a, b, rtol=0.0, atol=SAME * largest, equal_nan=True))


def _value_text(value: Any, unit: str, system: str) -> str:
    """A value as people read it; "" where it is a list or there is none."""
    if isinstance(value, str):
        return f'"{value}"'
    if isinstance(value, bool):
        return "true" if value else "false"
    if not isinstance(value, int | float):
        return ""
    shown = display_unit(SHOWN_AS[unit], system) if unit in SHOWN_AS else unit
    try:
        number = float(value if shown == unit else convert(value, unit, shown))
    except UnitError:
        number, shown = float(value), unit
    return f"{number_text(number)} {'' if shown == '1' else shown.removeprefix('delta_')}".strip()


def changes_text(changes: tuple[Change, ...], system: str) -> str:
    """Differences in one line, the first with their values; "" for none."""
    named = [change.words(system) for change in changes[:SHOWN]]
    more = len(changes) - len(named)
    return "; ".join([*named, *([f"{more} more"] if more else [])])
