"""What is said of a storm, on series whose answers are known by hand."""

from __future__ import annotations

import numpy as np
import pytest
import xarray as xr

from pondsim.cli._storms import storm_table, storm_text
from pondsim.figures.storm import storm_figure
from pondsim.measures import event_measures, event_word

STEP = 900.0
HOURS = np.arange(0, 96 * 4 + 1) * 0.25
START = 24.0  # h


def storm(**more):
    """A block of 2 m3/s over 3 h from hour 24, leaving as 1 m3/s over 6 h from hour 26."""
    time = np.datetime64("2025-07-01") + (HOURS * 3600).astype("timedelta64[s]")
    inflow = np.where((HOURS > START) & (HOURS <= START + 3), 2.0, 0.0)
    outflow = np.where((HOURS > 26.0) & (HOURS <= 32.0), 1.0, 0.0)
    level = np.interp(HOURS, [START, 28.0, 38.0], [10.0, 11.0, 10.0])
    oxygen = np.where(HOURS < START, 6.0, np.interp(HOURS, [24.0, 40.0, 60.0], [6.0, 3.0, 7.0]))
    box = np.ones((HOURS.size, 1, 1))
    data = {
        "inflow": ("time", inflow),
        "outflow": ("time", outflow),
        "rain_intensity": ("time", np.where(inflow > 0, 0.05 / (3 * 3600.0), 0.0)),
        "area_flow": (("time", "drainage_area"), np.stack([0.75 * inflow, 0.25 * inflow], axis=1)),
        "water_surface_elevation": ("time", level),
        "solids_in_rate": ("time", 0.1 * inflow),
        "solids_out_rate": ("time", 0.02 * outflow),
        "layer_top_elevation": (("time", "zone", "layer"), 10.0 * box),
        "layer_bottom_elevation": (("time", "zone", "layer"), 8.0 * box),
        "dissolved_oxygen": (("time", "zone", "layer"), oxygen[:, None, None] * box),
        "water_temperature": (("time", "zone", "layer"), 20.0 * box),
        "outlet_dissolved_oxygen": ("time", np.where(outflow > 0.0, oxygen - 1.0, np.nan)),
        "outlet_water_temperature": ("time", np.where(outflow > 0.0, 20.0 + 0.1 * (HOURS - 29.125), np.nan)),
        "outlet_total_phosphorus": ("time", np.where(outflow > 0.0, 100.0, np.nan)),
        "outlet_organic_solids": ("time", np.where(outflow > 0.0, 5.0, np.nan)),
    }
    coordinates = {"time": time, "zone": ["pool"], "layer": [0], "drainage_area": ["lot", "lawn"]}
    attributes = {
        "event_start": "2025-07-02T00:00:00",
        "event_end": "2025-07-02T03:00:00",
        "normal_pool_m": 10.0,
        "outlet_zone": "pool",
    }
    return xr.Dataset(data, coordinates, attributes | more)


def test_a_storm_by_hand():
    found = event_measures(storm())
    expected = {
        "rain": 0.05,
        "runoff_lot": 0.75 * 2.0 * 3 * 3600,
        "peak_lawn": 0.5,
        "water_in": 21600.0,
        "water_out": 21600.0,
        "peak_in": 2.0,
        "peak_out": 1.0,
        "level_highest": 11.0,
        "rise": 1.0,
        "detention": (29.0 - 25.5) * 3600,
        "drawdown": 9.0 * 3600,
        "solids_in": 2160.0,
        "solids_out": 432.0,
        "outlet_temperature": 20.0,
        "oxygen_before": 6.0,
        "oxygen_after": 3.0,
    }
    assert {key: found[key] for key in expected} == pytest.approx(expected, rel=1e-9)
    # 1 mg/L below the top metre, since the outlet draws deeper; 21,600 m3 at 5 mg/L; warming about 29.125 h
    assert found["outlet_oxygen_lowest"] == pytest.approx(6.0 - 3.0 * 8.0 / 16.0 - 1.0)
    assert found["organic_out"] == pytest.approx(108.0)
    assert found["phosphorus_out"] == pytest.approx(2.16)  # 21,600 m3 at 100 ug/L
    assert found["outlet_temperature_highest"] == pytest.approx(20.0 + 0.1 * 2.875)


def test_what_does_not_come_to_pass_is_missing():
    early = storm().isel(time=slice(0, 4 * 30))
    found = event_measures(early)
    assert np.isnan(found["detention"])
    assert np.isnan(found["drawdown"])
    still = storm().drop_vars([name for name in storm() if str(name).startswith("outlet_")])
    assert np.isnan(event_measures(still)["outlet_oxygen"])


def test_the_picture_shows_the_days_that_its_title_speaks_of():
    """The lows of the drawn lines, left and right of the storm's beginning, are those of the headline."""
    oxygen = storm()
    oxygen["dissolved_oxygen"] = 0.5 * oxygen["dissolved_oxygen"]
    figure = storm_figure([storm(title="old"), oxygen.assign_attrs(title="new")])
    drawn = [line for line in figure.axes[2].lines if len(line.get_xdata()) > 2]
    title = " ".join(figure.get_suptitle().split())
    for line, name in zip(drawn, ("old", "new"), strict=True):
        days, values = np.asarray(line.get_xdata()), np.asarray(line.get_ydata())
        before, after = values[days <= 0.0].min(), values[days > 0.0].min()
        assert f'"{name}" {before:.1f} mg/L before and {after:.1f} mg/L after' in title


def test_rain_on_the_pond_is_counted_apart():
    """0.1 m3/s over the three hours of the storm is 1080 m3."""
    rainy = storm()
    rainy["rain"] = ("time", np.where(rainy["inflow"].values > 0.0, 0.1, 0.0))
    assert event_measures(rainy)["rain_on_pond"] == pytest.approx(1080.0)
    assert event_measures(rainy)["water_in"] == pytest.approx(21600.0)


def coming(degC, inches, **more):
    """The same inflow at one temperature, with so much rain on the pond over its three hours."""
    found = storm(title="depot", **more)
    flowing = found["inflow"].values > 0.0
    found["inflow_water_temperature"] = ("time", np.where(flowing, degC, np.nan))
    found["rain_intensity"] = ("time", np.where(flowing, inches * 0.0254 / (3 * 3600.0), 0.0))
    return found


def test_cold_water_without_rain_is_snowmelt():
    """Rain on snow is a storm, and so is warm water of a file that names no rain."""
    assert event_word(coming(1.0, 0.0)) == "snowmelt"
    assert event_word(coming(1.0, 0.05)) == "snowmelt"  # a shower does not make the water
    assert event_word(coming(3.0, 1.0)) == "storm"
    assert event_word(coming(22.0, 0.0)) == "storm"
    assert event_word(storm()) == "storm"  # results that do not hold what came in


def test_snowmelt_is_called_so_on_screen_and_in_the_picture():
    melt = coming(1.0, 0.0)
    text = storm_text(storm_table([melt], compared=False), "us")
    assert text.startswith("Snowmelt of 2025-07-02 00:00; inflow until 2025-07-02 03:00")
    figure = storm_figure([melt])
    title = " ".join(figure.get_suptitle().split())
    assert "The peak of the snowmelt falls" in title and "before and after the snowmelt began" in title
    assert "storm" not in f"{text} {title} {figure.axes[2].get_xlabel()}".lower()
