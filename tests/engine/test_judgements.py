"""Constants that are judgements can be varied by their keys, and reach what the time loop reads."""

from __future__ import annotations

from dataclasses import fields, replace
from pathlib import Path

import numpy as np
import pytest

from pondsim.engine.forcing import build_forcing
from pondsim.engine.found import bare_pond, layers_of_passes
from pondsim.engine.model import build_model
from pondsim.ensemble.unknowns import unknowns_of
from pondsim.jit.bundle import Bundle
from pondsim.scenario.defaults import default_parameters
from pondsim.scenario.read import read_scenario
from pondsim.scenario.settings import Ice
from pondsim.scenario.settings_unknowns import UnknownRange
from pondsim.scenario.values import value_at, with_value, with_values

CAMPUS = Path(__file__).parents[2] / "scenarios" / "campus"
OF_PASSES = {"bed.pass_layers", "bed.last_pass_layers", "bed.pass_tolerance"}  # asked before the loop begins
JUDGEMENTS = sorted({name for name, row in default_parameters().items() if not row.drawn} - OF_PASSES)
MUD = 400.0  # kg/m3, the default dry density of mud: the depth of a layer counts as mass
NO_SETTINGS = {"grid", "layout", "envelope", "forcing", "work", "control"}


@pytest.fixture(scope="module")
def scenario():
    return replace(read_scenario(CAMPUS / "waterfall_night_air.toml"), ice=Ice())


@pytest.fixture(scope="module")
def forcing(scenario):
    return build_forcing(scenario)[0]


def numbers(bundle):
    """All numbers of the settings in a bundle, one after the other."""
    found = []
    for field in fields(bundle):
        value = getattr(bundle, field.name)
        if field.name not in NO_SETTINGS:
            found += numbers(value) if isinstance(value, Bundle) else list(np.ravel(value))
    return found


@pytest.mark.parametrize("name", JUDGEMENTS)
def test_a_judgement_reaches_the_settings_of_the_loop(scenario, forcing, name):
    key = name.replace("aeration.", "aeration.pool_air.")
    row = default_parameters()[name]
    assert value_at(scenario, key) == row.value
    before, after = (
        numbers(build_model(with_value(scenario, key, v), forcing)) for v in (row.value, row.high)
    )
    there = [new for old, new in zip(before, after, strict=True) if old != new and not np.isnan(new)]
    assert (row.high * MUD if name == "resuspension.bound_layer" else row.high) in there


def test_judgements_on_the_passes_that_fill_the_bed_reach_them(scenario):
    """Of two passes of 16 layers: 8 layers, then 12, at ten times the error, as before they were keys.

    No more layers than the run has; a run that is coarser still keeps its own tolerance.
    """

    def passes(**values):
        bare = bare_pond(with_values(scenario, {key.replace("__", "."): v for key, v in values.items()}))
        return layers_of_passes(bare), bare.numerics.tolerance

    assert passes() == ((8, 12), 10.0)
    assert passes(bed__passes=3, bed__pass_layers=6, bed__last_pass_layers=9) == ((6, 6, 9), 10.0)
    assert passes(pond__layers=10, bed__pass_layers=30, bed__pass_tolerance=1) == ((10, 10), 1.0)
    assert passes(numerics__tolerance=5, bed__pass_tolerance=2, bed__passes=0) == ((12,), 5.0)


def test_judgements_are_drawn_where_unknowns_name_them(scenario):
    assert len(JUDGEMENTS) >= 24
    assert not {one.name for one in unknowns_of([scenario], ())} & set(JUDGEMENTS)
    own = UnknownRange(key="nitrogen.half_saturation", low="0.5 mg/L", high="2 mg/L")
    asked = replace(scenario, unknowns=replace(scenario.unknowns, range=(own,)))
    found = {one.name: one for one in unknowns_of([asked], ())}
    assert (found[own.key].low, found[own.key].high) == (pytest.approx(0.5e-3), pytest.approx(2e-3))
