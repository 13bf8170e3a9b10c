"""Headline numbers of a comparison, recomputed from its netCDF and CSV files by formulas written here.

Nothing of the package computes here but the commands that write the files: netCDF is read by its library,
series come from `pondsim export`. The tolerance is half the last printed digit of the table, or seven digits.
"""

from __future__ import annotations

import csv
import io
import json
from datetime import datetime, timedelta

import numpy as np
import pytest
from netCDF4 import Dataset

from tests.cli.common import call, write_files

FOOT, GALLON, POUND = 0.3048, 231 * 0.0254**3, 0.45359237  # m, m3, kg, exact
LAYERS = ('low_pool = "9 ft"', 'low_pool = "9 ft"\nlayers = 6')
OWN = """
[[judging.limit]]
name = "permit"
oxygen = "5 mg/L"
statistic = "daily minimum"
at = "outlet"
"""
PERIOD = ('end = "2025-07-11"', 'end = "2025-07-13"')  # twelve days: six windows of seven


@pytest.fixture(scope="module")
def files(tmp_path_factory):
    """A comparison of two runs, kept; the table as JSON, and series of the design as CSV."""
    folder = tmp_path_factory.mktemp("recomputed")
    design = write_files(folder, LAYERS, PERIOD)
    site = folder / "site.toml"
    site.write_text(site.read_text(encoding="utf-8") + OWN, encoding="utf-8")
    result = call(
        "compare", site, design, "--save", folder / "kept", "--json", folder / "all.json", "--units", "si"
    )
    assert result.exit_code == 0, result.output
    names = (
        "outlet_dissolved_oxygen",
        "outlet_water_temperature",
        "outlet_organic_solids",
        "outflow",
        "power",
    )
    options = [word for name in names for word in ("--variable", name)]
    result = call(
        "export", folder / "kept" / "design.nc", *options, "-o", folder / "series.csv", "--units", "si"
    )
    assert result.exit_code == 0, result.output
    return folder


@pytest.fixture(scope="module")
def table(files):
    """Value of the design by key, from the JSON file."""
    data = json.loads((files / "all.json").read_text(encoding="utf-8"))
    return {row["key"]: row["values"][1] for row in data["measures"]} | {"limits": data["limits"]}


@pytest.fixture(scope="module")
def series(files):
    """Columns of the CSV file; empty cells are NaN."""
    rows = list(csv.reader(io.StringIO((files / "series.csv").read_text(encoding="utf-8"))))
    columns = {head.partition(" [")[0]: [row[k] for row in rows[1:]] for k, head in enumerate(rows[0])}
    numbers = {
        name: np.array([float(v) if v else np.nan for v in found])
        for name, found in columns.items()
        if name != "time"
    }
    return numbers | {"time": [datetime.fromisoformat(text) for text in columns["time"]]}


@pytest.fixture(scope="module")
def arrays(files):
    """Variables of the netCDF file as arrays, NaN where missing."""
    with Dataset(files / "kept" / "design.nc") as file:
        return {
            name: np.ma.filled(variable[:].astype(float), np.nan)
            for name, variable in file.variables.items()
            if getattr(variable.dtype, "kind", "") == "f"
        } | {"zones": [str(zone) for zone in file.variables["zone"][:]]}


HOUR = 3600.0


def top_metre(arrays, name):
    """Mean of the upper metre by (time, zone): layers by how much of them lies in it, as whole layers' means.

    Layers here are a third of a metre and more, so the share of the layer that the metre cuts is taken level:
    right to some hundredths where the profile is steep, exact where it is not.
    """
    tops, bottoms = arrays["layer_top_elevation"], arrays["layer_bottom_elevation"]
    surface = np.nanmax(tops, axis=2, keepdims=True)
    bed = np.nanmin(bottoms, axis=2, keepdims=True)
    floor = np.maximum(surface - 1.0, bed)
    part = np.clip(tops - np.maximum(bottoms, floor), 0.0, None)
    return np.nansum(part * arrays[name], axis=2) / np.nansum(part, axis=2)


def test_twelve_headline_numbers_from_the_files_alone(table, series, arrays):
    outflow, oxygen = series["outflow"] / 1000.0, series["outlet_dissolved_oxygen"]  # L/s in m3/s
    flows = np.isfinite(oxygen)
    flows[0] = False  # the first value repeats the second
    water = outflow * HOUR
    expected = {
        # the water that leaves
        "outlet_oxygen_mean": np.sum(oxygen[flows] * water[flows]) / np.sum(water[flows]),
        "outlet_oxygen_lowest": np.min(oxygen[flows]),
        "outlet_hours": float(np.sum(flows)),
        "outlet_hours_below_5": float(np.sum(oxygen[flows] < 5.0)),
        "outlet_temperature_mean": np.sum(series["outlet_water_temperature"][flows] * water[flows])
        / np.sum(water[flows]),
        "outlet_temperature_highest": np.max(series["outlet_water_temperature"][flows]),
        "outlet_organic_solids": np.sum(series["outlet_organic_solids"][flows] * water[flows])
        / np.sum(water[flows]),
        "outlet_volume": np.sum(water[1:]),
        "outlet_peak": np.max(series["outflow"]),
        "electricity": np.sum(series["power"][1:]),  # kW in steps of an hour
    }
    # solids: what came in less what left as sediment, and as algae and detritus with outlet and splash
    splash = arrays["splash"][1:] * HOUR
    organic = np.sum(np.nan_to_num(series["outlet_organic_solids"][1:]) * water[1:]) / 1e3
    organic += np.sum(np.nan_to_num(arrays["intake_organic_solids"][1:]) * splash) / 1e3
    came, left = arrays["solids_in_kg"].sum(), arrays["solids_out_kg"].sum()
    expected["solids_captured"] = 100.0 * (1.0 - left / came)
    expected["solids_removed"] = 100.0 * (1.0 - (left + organic) / came)
    expected["outlet_solids"] = left
    expected["outlet_organic"] = organic
    # nominal turnover: mean volume over mean pumped flow
    volume = np.nansum(arrays["mean_box_volume"])
    expected["nominal_turnover"] = volume / np.mean(arrays["circulation_flow"][1:]) / 86400.0
    expected["highest_surface"] = np.max(arrays["water_surface_elevation"])
    for key, value in expected.items():
        assert table[key] == pytest.approx(value, rel=2e-5), key  # the CSV keeps six digits
    assert len(expected) >= 12


def test_days_and_windows_of_the_criteria_from_the_file_alone(table, arrays):
    """Days below 3 mg/L, the lowest 7-day mean of daily minima and its windows below 4, by zone."""
    oxygen, full = (top_metre(arrays, name) for name in ("dissolved_oxygen", "oxygen_saturation"))
    days = (oxygen.shape[0] - 1) // 24
    by_day = oxygen[: 24 * days].reshape(days, 24, -1)
    capped = np.minimum(oxygen, full)[: 24 * days].reshape(days, 24, -1)
    minima = capped.min(axis=1)
    windows = np.stack([minima[k : k + 7].mean(axis=0) for k in range(days - 6)])
    for at, zone in enumerate(arrays["zones"]):
        assert table[f"minimum_1_day_top.{zone}"] == pytest.approx(by_day.min(axis=1)[:, at].min(), abs=0.1)
        assert table[f"mean_minimum_7_day_top.{zone}"] == pytest.approx(windows[:, at].min(), abs=0.1)
        clear = (
            np.abs(by_day.min(axis=1)[:, at] - 3.0) > 0.1
        )  # days that the simpler profile leaves no doubt of
        sure = int(np.sum((by_day.min(axis=1)[:, at] < 3.0) & clear))
        assert sure <= table[f"days_failing_top.{zone}"] <= sure + int(np.sum(~clear))
        doubt = int(np.sum(np.abs(windows[:, at] - 4.0) <= 0.1))
        low = int(np.sum(windows[:, at] < 3.9))
        assert low <= table[f"windows_failing_mean_minimum_7_day_top.{zone}"] <= low + doubt


def test_the_own_limit_at_the_outlet_from_the_csv_alone(table, series):
    """Lowest of each day while water leaves; days without flow are not judged; first and last date."""
    lows: dict[object, float] = {}
    every = set()
    for time, value in zip(series["time"][1:], series["outlet_dissolved_oxygen"][1:], strict=True):
        day = (time - timedelta(minutes=30)).date()  # a value is of the hour that ends at its time
        every.add(day)
        if np.isfinite(value):
            lows[day] = min(value, lows.get(day, np.inf))
    failing = sorted(day for day, low in lows.items() if low < 5.0)
    found = next(
        row for row in table["limits"] if row["limit"] == "permit" and row["design"].startswith("Waterfall")
    )
    assert (found["windows"], found["failing"]) == (len(lows), len(failing))
    assert found["not_judged"] == len(every) - len(lows)
    assert found["worst"] == pytest.approx(min(lows.values()), rel=1e-5)
    if failing:
        assert (found["first"], found["last"]) == (str(failing[0]), str(failing[-1]))
