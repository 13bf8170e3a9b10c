"""The measures of one storm in words, for screen and page."""

from __future__ import annotations

import math

from pondsim.units import convert, display_unit

ROWS = {  # key of the measure: words, kind of quantity
    "rain": ("rain", "short_length"),
    "runoff_": ("runoff of {}", "volume"),
    "peak_": ("highest runoff of {}", "storm_flow"),
    "water_in": ("water in by inflow and runoff", "volume"),
    "rain_on_pond": ("rain on the pond itself", "volume"),
    "peak_in": ("peak in", "storm_flow"),
    "peak_out": ("peak out", "storm_flow"),
    "level_highest": ("highest water surface elevation", "length"),
    "rise": ("rise", "length"),
    "detention": ("detention of the water in", "hours"),
    "drawdown": ("drawdown to 10 % of its own rise", "hours"),
    "solids_in": ("sediment in", "mass"),
    "solids_out": ("sediment out", "mass"),
    "organic_out": ("algae and detritus out", "mass"),
    "phosphorus_out": ("phosphorus out", "mass"),
    "outlet_oxygen": ("oxygen of the water out, mean", "concentration"),
    "outlet_oxygen_lowest": ("oxygen of the water out, lowest", "concentration"),
    "outlet_temperature": ("temperature of the water out, mean", "temperature"),
    "outlet_temperature_highest": ("temperature of the water out, highest", "temperature"),
    "oxygen_before": ("lowest oxygen near the surface, 5 days before", "concentration"),
    "oxygen_after": ("lowest oxygen near the surface, 5 days after", "concentration"),
}
# Units of the measures by kind, as `event_measures` gives them.
MEASURED_IN = {
    "concentration": "mg/L",
    "temperature": "degC",
    "short_length": "m",
    "length": "m",
    "volume": "m3",
    "storm_flow": "m3/s",
    "hours": "s",
    "mass": "kg",
}


def storm_words(key: str, peak: str = "peak") -> tuple[str, str] | None:
    """Words and kind of a measure; None for one that is not shown. `peak`: see `measures.peak_words`."""
    if key in ROWS:
        words, kind = ROWS[key]
        return words.replace("peak", peak), kind
    start = next((start for start in ("runoff_", "peak_") if key.startswith(start)), None)
    if start is None or key in ("peak_in", "peak_out"):
        return None
    words, kind = ROWS[start]
    if peak != "peak":
        words = words.replace("highest", peak)
    return words.format(key.removeprefix(start)), kind


def storm_value(found: dict[str, float], key: str, system: str) -> tuple[float, str]:
    """A measure in the unit people read, NaN where there is none, and that unit."""
    words = storm_words(key)
    if words is None:
        raise ValueError(f"{key} is no measure that is shown")
    unit = display_unit(words[1], system)
    return float(convert(found.get(key, math.nan), MEASURED_IN[words[1]], unit)), unit


def storm_digits(key: str) -> int:
    """Significant digits with which a measure is shown."""
    return 5 if key == "level_highest" else 3
