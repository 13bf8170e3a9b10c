"""From the loop's arrays to results: each figure with the shape of the pond at its own time."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest

from pondsim.scenario.settings import Bed, Ground
from tests.engine.ponds import BEGIN, DAY, WARM, bowl, inert_pond
from tests.runs import run

ASKED = 2e-3 / DAY  # kg/m2/s at 20 degC


def test_the_bed_asks_the_same_of_each_square_meter_at_every_level():
    """With no new organic matter and water of 20 degC the demand per area is the one stated, on any bed.

    The level falls 1.2 m between sloping banks, so the bed at the end is far less than at the start.
    """
    bed = Bed(oxygen_demand=ASKED, organic_decay=0.0, heat_conductivity=0.0, ammonium_release=0.0)
    pond = inert_pond(
        bowl("pool", 2000.0, 2.0),
        days=8.0,
        layers=4,
        bed=bed,
        ground=Ground(seepage=0.15 / DAY, temperature=WARM),
    )
    results = run(pond)
    level = results["water_surface_elevation"].values
    assert level[0] - level[-1] > 0.9
    assert results["bed_oxygen_demand"].values == pytest.approx(
        np.full((results.sizes["time"], 1), 2.0), rel=2e-3
    )


def test_results_of_an_hour_do_not_depend_on_how_long_the_run_goes_on():
    """A run of two days and one of six agree in the two days they share."""
    pond = inert_pond(
        bowl("pool", 2000.0, 2.0), days=6.0, layers=4, ground=Ground(seepage=0.2 / DAY, temperature=WARM)
    )
    pond = replace(pond, bed=Bed(oxygen_demand=ASKED))
    long = run(pond).isel(time=slice(0, 49))
    short = run(replace(pond, period=replace(pond.period, end=BEGIN + timedelta(days=2.0))))
    for name, values in short.data_vars.items():
        if values.dims[:1] == ("time",) and values.dtype.kind == "f":
            assert values.values == pytest.approx(long[name].values, rel=1e-6, abs=1e-9, nan_ok=True), name
