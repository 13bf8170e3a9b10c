"""A twin: the small pond with values drawn from its ranges, read by an invented logger."""

from __future__ import annotations

import numpy as np

from pondsim.ensemble.sampling import shares_of, values_of
from pondsim.ensemble.unknowns import drawn, unknowns_of, with_draw
from pondsim.ensemble.weather_years import WeatherYear
from pondsim.measures.readings import computed_at, read_series
from pondsim.scenario.read import read_scenario
from pondsim.simulate import run
from tests.ensemble.ponds import AS_IT_IS, two_designs

LOGGER = """
[[readings]]
name = "logger"
file = "logger.csv"
zone = "deep pool"
depth = "{depth}"
"""


def twin(folder, days=14, seed=3, depth="1.5 ft", more="", noise=0.2, memory=0.7, level=0.3):
    """The existing pond with readings of a truth that was drawn as members are, and the truth's values."""
    scenario = two_designs(folder, more, days=days)[0]
    times = np.datetime64("2025-07-01T01:00", "s") + np.arange(24 * days - 1) * np.timedelta64(3600, "s")
    path = folder / "logger.csv"

    def write(values):
        rows = [f"{str(t).replace('T', ' ')[:16]},{v:.2f}" for t, v in zip(times, values, strict=True)]
        path.write_text("\n".join(["time,dissolved_oxygen [mg/L]", *rows]) + "\n", encoding="utf-8")

    write(np.full(times.size, 5.0))
    (folder / "read.toml").write_text(AS_IT_IS + LOGGER.format(depth=depth), encoding="utf-8")
    read = read_scenario(folder / "read.toml")
    unknowns = unknowns_of([scenario], [WeatherYear("as measured")])
    shares = 0.1 + 0.8 * shares_of(unknowns, 2, seed)[:1]
    values = values_of(unknowns, shares)[0]
    results = run(with_draw(read, drawn(scenario, unknowns, values)), how_long_start_matters=False)
    truth = computed_at(results, read_series(results)[0])
    rng = np.random.default_rng(seed)
    off = np.zeros(days)
    for day in range(1, days):
        off[day] = memory * off[day - 1] + np.sqrt(1.0 - memory**2) * rng.normal(0.0, level)
    said = truth + np.repeat(off, 24)[1:] + rng.normal(0.0, noise, times.size)
    said[40:52] = np.nan
    write(np.maximum(said, 0.0))
    text = path.read_text().replace("nan", "")
    path.write_text(text, encoding="utf-8")
    return folder / "read.toml", {one.name: value for one, value in zip(unknowns, values, strict=True)}
