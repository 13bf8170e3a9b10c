"""The measures of one storm in words, and the verdict on harm, for screen and page."""

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
    "detention": ("detention of the storm's water", "hours"),
    "drawdown": ("drawdown time", "hours"),
    "solids_in": ("suspended solids in", "mass"),
    "solids_out": ("suspended solids out", "mass"),
    "outlet_oxygen": ("oxygen at the outlet, mean", "concentration"),
    "outlet_oxygen_lowest": ("oxygen at the outlet, lowest", "concentration"),
    "outlet_temperature": ("temperature at the outlet", "temperature"),
    "oxygen_before": ("lowest oxygen near the surface, 5 days before", "concentration"),
    "oxygen_after": ("lowest oxygen near the surface, 5 days after", "concentration"),
}
# Measures by which a permit is judged: whether more is worse, and by how much it may be worse and count as
# alike: a share of the existing pond's value, or an amount in the unit of the measure. Judgement; oxygen as
# the band of a single dawn in measures.toml.
JUDGED = {
    "peak_out": (True, 0.02, 0.0),
    "rise": (True, 0.02, 0.0),
    "drawdown": (True, 0.02, 0.0),
    "solids_out": (True, 0.02, 0.0),
    "outlet_oxygen_lowest": (False, 0.0, 0.15),  # mg/L
    "outlet_temperature": (True, 0.0, 0.2),  # K
    "oxygen_after": (False, 0.0, 0.15),  # mg/L
}
TOLERANCES = (
    "by more than 2 %, of oxygen by more than 0.15 mg/L, of temperature by more than 0.2 degC (0.4 degF)"
)
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


def storm_words(key: str) -> tuple[str, str] | None:
    """Words and kind of a measure; None for one that is not shown."""
    if key in ROWS:
        return ROWS[key]
    start = next((start for start in ("runoff_", "peak_") if key.startswith(start)), None)
    if start is None or key in ("peak_in", "peak_out"):
        return None
    words, kind = ROWS[start]
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


def worse(design: dict[str, float], existing: dict[str, float]) -> tuple[str, ...]:
    """Measures by which the design is worse than the existing pond, by more than their tolerance."""
    found = []
    for key, (more_is_worse, share, amount) in JUDGED.items():
        new, old = design[key], existing[key]
        if math.isnan(new) and math.isnan(old):
            continue
        by = (new - old) * (1.0 if more_is_worse else -1.0)
        if math.isnan(by) or by > share * abs(old) + amount:
            found.append(key)
    return tuple(found)


def verdict(design: dict[str, float], existing: dict[str, float]) -> str:
    """One sentence on harm: what is worse than at the existing pond."""
    keys = worse(design, existing)
    if not keys:
        return f"No harm: by no measure is the design worse than the existing pond {TOLERANCES}."
    return f"Worse than the existing pond: {'; '.join(ROWS[key][0] for key in keys)}."
