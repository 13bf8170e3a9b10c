"""The engine against the same pond written a second time, as a plain script.

The script (independent_*.py) shares no code with pondsim and little method: concentrations in place of
amounts, levels from the pond's volume, flows by least squares, everything renewed at every moment, SciPy's
solver. With levels and flows of the engine renewed every ten seconds both must agree to 0.01 mg/L of oxygen
and 0.01 K in every box at every hour.
"""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from pondsim.scenario.read import read_scenario
from pondsim.site.weather import weather_series, weather_table
from tests.engine import independent_march as independent
from tests.engine import independent_pond as script
from tests.runs import run

HOURS = 96
POND = """\
title = "Two-zone pond with everything in it (invented)"

[period]
start = "2025-07-20"
end = "2025-07-24"

[place]
latitude = "40 deg"
longitude = "-60 deg"
elevation = "200 m"
utc_offset = "-4 h"

[pond]
normal_pool = "10 m"
bank_top = "11 m"
layers = 3
top_layer = "0.5 m"
length = "90 m"
fetch = "80 m"

[[zone]]
name = "pool"
centre = ["0 m", "0 m"]
stage = ["7.4 m", "8.5 m", "10 m", "11 m"]
area = ["300 m2", "900 m2", "1600 m2", "1900 m2"]
shoreline = "60 m"

[[zone]]
name = "arm"
centre = ["45 m", "10 m"]
stage = ["8.1 m", "9 m", "10 m", "11 m"]
area = ["150 m2", "400 m2", "700 m2", "800 m2"]
floating_cover = "20 %"
bed_oxygen_demand = "3 g/m2/d"

[[connection]]
between = ["pool", "arm"]
width = "12 m"
sill = "8.4 m"

[weather.synthetic]
seed = 7
air_temperature = [MONTHS"25 degC"]
daily_range = [MONTHS"10 delta_degC"]
dew_point = [MONTHS"18 degC"]
wind_speed = [MONTHS"3 m/s"]
cloud_cover = [MONTHS"50 %"]

[[inflow]]
zone = "pool"
start = "2025-07-21 15:00"
duration = "6 h"
volume = "500 m3"

[[base_flow]]
zone = "arm"
flow = "0.5 L/s"
temperature = "15 degC"

[ground]
seepage = "3 mm/d"

[outlet]
zone = "arm"
[outlet.orifice]
elevation = "10.02 m"
diameter = "8 cm"
[outlet.weir]
crest = "10.1 m"
width = "2 m"

[algae]
mode = "given"

[mixing]
cooling_entrainment = 0.0      # the edge of the mixed layer is held apart, test_mixed_layer.py

[gas_transfer]
law = "wind"

[solids]
by_temperature = false
shoreline_erosion = "20 kg/m/yr"

[resuspension]
waves = true
at_return = true

[[bloom_crash]]
start = "2025-07-22 06:00"
killed_share = "50 %"
duration = "1 d"
zones = ["arm"]

[intake]
zone = "pool"
elevation = "8.5 m"

[pump]
flow = "15 L/s"
hours = ["05:00-23:00"]

[waterfall]
zone = "arm"
drop = "1.2 m"
width = "1.5 m"
steps = 2

[[aeration]]
name = "air"
zone = "pool"
elevation = "7.6 m"
diffusers = 2
air_flow = "1.2 scfm"
hours = ["21:00-08:00"]

[start]
chloride = "60 mg/L"
[[start.profile]]
zone = "pool"
depth = ["0.2 m", "0.8 m", "1.5 m", "2.3 m"]
temperature = ["26 degC", "25 degC", "22 degC", "19 degC"]
dissolved_oxygen = ["8.5 mg/L", "8 mg/L", "4 mg/L", "0.5 mg/L"]
"""

SHORT = 10.0  # s, the least hydraulic step
COLUMNS = {  # variable: column of the script, factor and offset to its unit, difference allowed
    "water_temperature": (script.T, 1.0, -273.15, 0.01),
    "dissolved_oxygen": (script.O2, 1e3, 0.0, 0.01),
    "carbonaceous_bod": (script.BOD, 1e3, 0.0, 0.01),
    "ammonium": (script.NH4, 1e3, 0.0, 0.002),
    "reduced_substances": (script.DEBT, 1e3, 0.0, 0.01),
    "detritus": (script.DEAD, 1e3, 0.0, 0.01),
    "salinity": (script.SALT, 1.0, 0.0, 1e-4),
    "age_since_inflow": (script.AGE_IN, 1.0 / 86400.0, 0.0, 0.005),
    "age_since_waterfall": (script.AGE_FALL, 1.0 / 86400.0, 0.0, 0.005),
}


pytestmark = pytest.mark.slow  # a second pond in plain NumPy: 22 s


@pytest.fixture(scope="module")
def both(tmp_path_factory: pytest.TempPathFactory) -> Any:
    """Results of the engine, the script's pond, and its states hour by hour."""
    text = re.sub(r'\[MONTHS(".*?")\]', lambda found: f"[{', '.join([found[1]] * 12)}]", POND)
    file = tmp_path_factory.mktemp("pond") / "everything.toml"
    file.write_text(text, encoding="utf-8")
    scenario = read_scenario(file)
    fine = replace(scenario, numerics=replace(scenario.numerics, hydraulic_step=SHORT, tolerance=0.1))
    series = weather_series(scenario.weather, scenario.period, scenario.place)
    pond = script.Pond(scenario, series.time, weather_table(series))
    states = independent.simulate(pond, script.starting(pond), [3600.0 * hour for hour in range(HOURS + 1)])
    return run(fine), pond, states


@pytest.mark.parametrize("variable", COLUMNS)
def test_every_box_at_every_hour(both: Any, variable: str) -> None:
    results, pond, states = both
    column, factor, offset, most = COLUMNS[variable]
    tables = np.array([script.unpack(pond, state)[1][:, column] for state in states])
    found = results[variable].values[:, pond.zone_of, pond.layer_of]
    assert np.abs(found - (tables * factor + offset)).max() < most


def test_solids_of_every_class(both: Any) -> None:
    results, pond, states = both
    tables = np.array([script.unpack(pond, state)[1][:, script.CLASS :] for state in states])
    found = results["suspended_solids"].values[:, pond.zone_of, pond.layer_of]
    assert np.abs(found - 1e3 * tables).max() < 0.02  # mg/L


def test_water_surface(both: Any) -> None:
    results, pond, states = both
    levels = [pond.level(state[0]) for state in states]
    assert np.abs(results["water_surface_elevation"].values - levels).max() < 1e-4


def test_the_pond_has_everything_in_it(both: Any) -> None:
    """The comparison would say little of a pond where little happens."""
    results, _, _ = both
    oxygen, temperature = results["dissolved_oxygen"], results["water_temperature"]
    assert float(oxygen.max() - oxygen.min()) > 5.0
    assert float(temperature.max() - temperature.min()) > 5.0
    assert float(results["water_surface_elevation"].max() - results["water_surface_elevation"].min()) > 0.1
    assert float(results["reduced_substances"].max()) > 0.05
    assert float(np.abs(results["oxygen_rate"]).max("time").min()) > 0.0
