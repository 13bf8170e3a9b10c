"""The water that leaves: what passes outlet, intake and inlets, against the budgets and an exact profile."""

from __future__ import annotations

import numpy as np
import pytest

from pondsim.measures.leaving import chloride
from pondsim.measures.table import measures_of
from pondsim.processes import constituents as s
from pondsim.results import variables
from pondsim.results.declared import SAMPLED_AT
from pondsim.scenario.read import read_scenario
from pondsim.scenario.settings import Orifice, Outlet, Weir
from pondsim.simulate import run
from tests.cli.common import SHORT, write_files
from tests.engine.ponds import LEVEL, basin, inert_pond, integrate_pond, set_concentration


@pytest.fixture(scope="module")
def results(tmp_path_factory):
    """The small pond with its loop, its storm and its weir, over five days."""
    folder = tmp_path_factory.mktemp("sampled")
    return run(read_scenario(write_files(folder, SHORT)), how_long_start_matters=False)


def passed(results, name, flow):
    """A concentration [mg/L, or degC above 0] times the flow, over the run. [kg, or m3 K]"""
    seconds = np.diff(results["time"].values) / np.timedelta64(1, "s")
    values = np.nan_to_num(results[name].values[1:])
    if values.ndim > 1:
        values = values.sum(axis=1)
    return float(np.sum(values * results[flow].values[1:] * seconds))


def test_samples_times_the_flow_add_up_to_the_budgets(results):
    """Oxygen by its budget lines, solids by what came in and went; splash leaves with the intake's water."""
    totals = results["oxygen_total"].sum("zone")
    out = -float(totals.sel(oxygen_pathway="outflow"))
    splash = passed(results, "intake_dissolved_oxygen", "splash") / 1e3
    assert passed(results, "outlet_dissolved_oxygen", "outflow") / 1e3 + splash == pytest.approx(
        out, rel=1e-6
    )
    came = float(totals.sel(oxygen_pathway="inflow"))
    assert passed(results, "inflow_dissolved_oxygen", "inflow") / 1e3 == pytest.approx(came, rel=1e-6)
    solids = {
        name: passed(results, f"{name}_suspended_solids", flow) / 1e3
        for name, flow in (("inflow", "inflow"), ("outlet", "outflow"), ("intake", "splash"))
    }
    assert solids["inflow"] == pytest.approx(float(results["solids_in_kg"].sum()), rel=1e-6)
    gone = float(results["solids_out_kg"].sum())
    assert solids["outlet"] + solids["intake"] == pytest.approx(gone, rel=1e-6)


def test_water_is_sampled_only_while_it_flows(results):
    dry = ~(results["outflow"].values > 1e-6)
    assert dry.any() and not dry.all()
    assert np.isnan(results["outlet_dissolved_oxygen"].values[dry]).all()
    assert np.isfinite(results["outlet_dissolved_oxygen"].values[~dry]).all()


def test_every_constituent_of_the_table_is_sampled_and_declared(results):
    """So that a new row of the table of states comes along; its row of variables.toml needs `sampled`."""
    names = [kept.output for kept in s.BOXES if kept.output] + [
        "suspended_solids",
        "organic_solids",
        "chlorophyll",
    ]
    assert set(s.SAMPLED_AT) == set(SAMPLED_AT)
    for place in SAMPLED_AT:
        for name in names:
            assert f"{place}_{name}" in results, name
            assert f"{place}_{name}" in variables(), name
            assert "flow" in results[f"{place}_{name}"].attrs["comment"]


def test_organic_solids_are_algae_and_dead_algae(results):
    """Dry matter of C5H7NO2, 1.42 kg of oxygen each: 50 ug/L of chlorophyll at 40 g C/g is 3.76 mg/L."""
    chlorophyll, detritus = (results[f"outlet_{name}"].values for name in ("chlorophyll", "detritus"))
    carbon = 40.0  # kg/kg, the default of algae.carbon_to_chlorophyll
    expected = (chlorophyll * carbon * 32.0 / 12.0 / 1e3 + detritus) / 1.42
    assert results["outlet_organic_solids"].values == pytest.approx(expected, nan_ok=True)


def test_a_deep_hole_draws_deep_water_whatever_lies_above():
    """Salt holds 2 mg/L below and 8 mg/L above apart: a weir draws the upper water, a deep hole the lower.

    Both halves are uniform, so what is drawn is one of the two, to what the sharp edge lets through.
    """
    lower, upper = 2.0, 8.0

    def halves(model, state):
        deep = model.grid.box_layer < model.grid.box_layer.max() / 2
        set_concentration(state, s.OXYGEN, np.where(deep, lower, upper) / 1e3)
        set_concentration(state, s.SALT, np.where(deep, 20.0, 0.0))

    found = {}
    for name, outlet in {
        "weir": Outlet(zone="pool", weir=(Weir(crest=LEVEL - 0.01, width=1.0),)),
        "hole": Outlet(zone="pool", orifice=(Orifice(elevation=LEVEL - 3.8, diameter=0.05),)),
    }.items():
        pond = inert_pond(basin("pool", 5000.0, 4.0), days=0.125, layers=8, outlet=outlet)
        marched = integrate_pond(pond, halves)
        passed = marched.state_part("sampled")[-1, s.AT_OUTLET]
        found[name] = 1e3 * passed[s.OXYGEN] / passed[s.WATER]
    assert found["weir"] == pytest.approx(upper, abs=0.05)
    assert found["hole"] == pytest.approx(lower, abs=0.05)


def test_chloride_is_told_as_it_was_given(tmp_path):
    """Road salt in the storm: what came in is the chloride of the file, and what left and stayed adds up."""
    site = ("[[inflow]]\n", '[[inflow]]\nchloride = "6000 mg/L"\n')
    found = run(read_scenario(write_files(tmp_path, SHORT, site)), how_long_start_matters=False)
    assert np.nanmax(chloride(found["inflow_salinity"].values)) == pytest.approx(6000.0, rel=1e-9)
    measures = measures_of(found)
    salt = found["salinity"].fillna(0.0) * found["box_volume"].fillna(0.0)
    held = chloride(salt.sum(["zone", "layer"]).values)[[0, -1]] / 1e3
    came, splashed = (
        passed(found, f"{name}_salinity", flow) for name, flow in (("inflow", "inflow"), ("intake", "splash"))
    )
    left = float(measures["outlet_chloride_mean"]) / 1e3 * float(found["outflow"][1:].sum() * 3600.0)
    assert left == pytest.approx(held[0] - held[1] + chloride(came - splashed) / 1e3, rel=1e-3)
