"""Results of version 0.3.0, in which algae were given and mixing and gas transfer simpler, by keys.

Numbers recorded from the tree of commit cc7bce2, before the defaults changed, with `POND` and no `KEYS`:

    git worktree add ../before cc7bce2 && cd ../before && python -m pondsim run pond.toml -o pond.nc

and read with `at_station` and ``oxygen_total`` of the results.
"""

import pytest

from pondsim.measures import at_station
from pondsim.scenario.read import read_scenario
from pondsim.simulate import run

POND = """title = "small pond"

[period]
start = "2025-07-10 00:00"
end = "2025-07-24 00:00"

[place]
latitude = "40 deg"
longitude = "-60 deg"
elevation = "640 ft"
utc_offset = "-4 h"

[pond]
normal_pool = "640 ft"
bank_top = "643 ft"
layers = 16

[[zone]]
name = "pool"
centre = ["0 ft", "0 ft"]
stage = ["630 ft", "635 ft", "640 ft", "643 ft"]
area = ["6000 ft2", "14000 ft2", "24000 ft2", "28000 ft2"]

[weather.synthetic]
seed = 3
air_temperature = [MONTHS_AIR]
daily_range = [MONTHS_RANGE]
dew_point = [MONTHS_DEW]
wind_speed = [MONTHS_WIND]
cloud_cover = [MONTHS_CLOUD]

[[inflow]]
zone = "pool"
start = "2025-07-15 12:00"
duration = "6 h"
volume = "0.5 acre ft"
temperature = "70 degF"

[outlet]
zone = "pool"

[outlet.weir]
crest = "640 ft"
width = "4 ft"

[algae]
chlorophyll = "60 ug/L"
"""

KEYS = """mode = "given"
respiration_theta = 1.04

[gas_transfer]
law = "wind"
schmidt_number = "1992"

[mixing]
diffusivity_floor = "1e-6 m2/s"
dissipation = "0 m2/s^3"
cooling_entrainment = 0.0

[solids]
by_temperature = false
"""

MONTHS = {
    "AIR": ("degF", (31, 34, 42, 53, 63, 72, 77, 75, 68, 56, 46, 36)),
    "RANGE": ("delta_degF", (14, 15, 17, 19, 19, 18, 17, 17, 17, 18, 16, 14)),
    "DEW": ("degF", (21, 22, 28, 38, 51, 61, 66, 65, 58, 46, 35, 26)),
    "WIND": ("mph", (8.5, 8.7, 9.0, 8.6, 7.2, 6.4, 5.8, 5.5, 5.9, 6.6, 7.6, 8.1)),
    "CLOUD": ("%", (62, 60, 58, 57, 56, 53, 52, 50, 48, 48, 56, 62)),
}
TIMES = ["2025-07-13T06:00", "2025-07-17T17:00", "2025-07-23T05:00"]
RECORDED = {  # top at the three times, then 0.3 m above the bed
    "dissolved_oxygen": [4.433714, 5.976186, 3.831291, 0.000038, 0.000094, 0.000003],
    "water_temperature": [26.527871, 30.534677, 28.942606, 23.568044, 23.751959, 23.870722],
    "reduced_substances": [0.013016, 0.015479, 0.036151, 16.633988, 13.680473, 16.639576],
}
MOVED = {"dissolved_oxygen": 0.07, "water_temperature": 0.09, "reduced_substances": 1.0}
SOLIDS = [27.029993, 19.097487, 7.948656]  # kg in the water
OXYGEN = {  # kg over the two weeks
    "surface_exchange": 37.651917,
    "photosynthesis": 144.583384,
    "respiration": -51.533574,
    "organic_decay": -60.608061,
    "nitrification": -12.127843,
    "bed_demand": -33.537002,
    "bottom_debt_oxidation": -28.412144,
}


def results_of(folder, text):
    for name, (unit, values) in MONTHS.items():
        text = text.replace(f"MONTHS_{name}", ", ".join(f'"{value} {unit}"' for value in values))
    file = folder / "pond.toml"
    file.write_text(text, encoding="utf-8")
    return run(read_scenario(file), how_long_start_matters=False)


def test_keys_bring_back_given_algae_and_the_old_laws(tmp_path):
    """To what sinking water, flows between layers and what inflow takes along have moved since."""
    then = results_of(tmp_path, POND + KEYS)
    for name, values in RECORDED.items():
        found = [
            float(at_station(then, name, place).sel(zone="pool", time=time).item())
            for place in ("top", "bottom")
            for time in TIMES
        ]
        assert found == pytest.approx(values, abs=MOVED[name])
    solids = (then["suspended_solids"].sum("settling_class") * then["box_volume"]).sum(("zone", "layer"))
    assert [float(solids.sel(time=time)) / 1e3 for time in TIMES] == pytest.approx(SOLIDS, rel=1e-2)
    lines = then["oxygen_total"].sum("zone")
    for line, value in OXYGEN.items():
        assert float(lines.sel(oxygen_pathway=line)) == pytest.approx(value, rel=3e-2)
