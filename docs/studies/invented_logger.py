"""Write scenarios/campus/logger_invented.csv: an invented logger in the far arm of the demo pond.

The model makes it: a run of the existing pond whose far arm has another bed than the site file says, read at
1.5 ft below the surface every half hour. Declared troubles are laid over it: noise of 0.15 mg/L and 0.1 degF that
forgets in six hours, a sensor that fouls to read 1.2 mg/L too little until it is cleaned, an afternoon on the
bank, a gap of 11 h written as -9999, a spike. Its clock runs on daylight saving time and its dates are American.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np

from pondsim import read_scenario, run
from pondsim.measures import at_depth
from pondsim.scenario.values import with_value

FOLDER = Path(__file__).parents[2] / "scenarios" / "campus"
FIRST, LAST = np.datetime64("2025-06-10T12:00", "s"), np.datetime64("2025-07-18T08:00", "s")
CLEANED = np.datetime64("2025-06-27T10:15", "s")
DRIFT = -1.2  # mg/L just before it was cleaned
AHEAD = np.timedelta64(1, "h")  # of standard time: daylight saving time


def noise(random: np.random.Generator, count: int, size: float) -> np.ndarray:
    """Noise that forgets in six hours: an autoregressive series of first order, at half hours."""
    keep = np.exp(-0.5 / 6.0)
    steps = random.normal(0.0, size * np.sqrt(1.0 - keep**2), count)
    found = np.empty(count)
    found[0] = random.normal(0.0, size)
    for place in range(1, count):
        found[place] = keep * found[place - 1] + steps[place]
    return found


def main() -> None:
    """Run, spoil as declared, write."""
    truth = with_value(
        read_scenario(FOLDER / "existing.toml"), "zone.far_arm.bed_oxygen_demand", "1.8 g/m2/d"
    )
    results = run(truth, how_long_start_matters=False)
    times = np.arange(FIRST, LAST, np.timedelta64(30, "m"))
    random = np.random.default_rng(2025)
    start = results["time"].values[0]
    at, to = ((one - start) / np.timedelta64(1, "s") for one in (results["time"].values, times))
    read = {
        name: np.interp(to, at, at_depth(results, name, 1.5 * 0.3048).sel(zone="far_arm").values)
        for name in ("dissolved_oxygen", "water_temperature")
    }
    air = np.interp(to, at, results["air_temperature"].values)
    oxygen = read["dissolved_oxygen"] + noise(random, times.size, 0.15)
    fouled = np.clip((times - FIRST) / (CLEANED - FIRST), 0.0, 1.0)
    oxygen = np.maximum(oxygen + np.where(times < CLEANED, DRIFT * fouled, 0.0), 0.0)
    warmth = read["water_temperature"] * 1.8 + 32.0 + noise(random, times.size, 0.1)
    bank = (times >= np.datetime64("2025-07-02T11:30")) & (times < np.datetime64("2025-07-02T17:00"))
    warmth[bank] = air[bank] * 1.8 + 32.0 + 16.0  # in the sun
    oxygen[bank] = 7.6
    oxygen[np.searchsorted(times, np.datetime64("2025-07-09T14:00"))] += 5.0
    gap = (times >= np.datetime64("2025-06-20T21:00")) & (times < np.datetime64("2025-06-21T08:00"))
    lines = ["Invented by docs/studies/invented_logger.py: no such logger was ever in any water", HEADER]
    for time, one, other, missing in zip(times + AHEAD, oxygen, warmth, gap, strict=True):
        stamp = time.item()
        values = "-9999,-9999" if missing else f"{one:.2f},{other:.1f}"
        lines.append(f"{stamp:%m/%d/%Y},{stamp:%I:%M %p},{values},3.6")
    (FOLDER / "logger_invented.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")


HEADER = "Date,Time,DO (mg/L),Temp (F),Battery (V)"

if __name__ == "__main__":
    main()
