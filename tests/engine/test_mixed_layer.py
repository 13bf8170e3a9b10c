"""The mixed layer deepening through a graded pool by cooling alone: exact, whatever the layers."""

from dataclasses import replace

import numpy as np
import pytest

from pondsim.processes import constituents as s
from pondsim.scenario.read import read_scenario
from pondsim.scenario.settings import Mixing, Numerics, Profile, Start
from pondsim.simulate import run
from tests.engine.ponds import (
    CAMPUS,
    CELSIUS_0,
    basin,
    inert_pond,
    integrate_pond,
    set_concentration,
    steady_weather,
)

DEPTH = 3.0  # m
WARM, COLD = 27.0, 15.0  # degC, at the surface and at the bed
SLOPE = (WARM - COLD) / DEPTH  # K/m
MOST = 0.010  # kg/m3 of a tracer at the surface, none at the bed


def cooled(layers, entrainment=0.0):
    """Two cold dry nights in one: heat lost, temperature by layer and top tracer at each output."""
    depths = tuple(DEPTH * (i + 0.5) / layers for i in range(layers))
    profile = Profile(
        zone="pool",
        depth=depths,
        temperature=tuple(CELSIUS_0 + WARM - SLOPE * d for d in depths),
        dissolved_oxygen=(8e-3,) * layers,
    )
    pond = inert_pond(
        basin("pool", 400.0, DEPTH),
        layers=layers,
        days=1.5,
        weather=steady_weather(air=14.0, dew=10.0, cloud=0.0),
        start=Start(profile=(profile,), suspended_solids=0.0, bod5=0.0, ammonium=0.0, chloride=0.0),
        mixing=Mixing(
            background_multiplier=0.0,
            diffusivity_floor=1e-12,  # the exact laws know no diffusion
            convective_diffusivity=1e-2,
            cooling_entrainment=entrainment,
        ),
        numerics=Numerics(),
    )

    def tracer(_model, state):
        set_concentration(state, s.BOD, MOST * (1.0 - np.array(depths[::-1]) / DEPTH))

    marched = integrate_pond(pond, tracer)
    heat = marched.amounts(s.HEAT) - CELSIUS_0 * marched.amounts(s.WATER)
    warm = marched.concentration(s.HEAT) - CELSIUS_0
    gone = (marched.amounts(s.WATER)[0] - marched.amounts(s.WATER)).sum(axis=1)  # evaporated, warm
    lost = (heat[0] - heat).sum(axis=1) - gone * WARM
    return lost / 400.0, warm, marched.concentration(s.BOD)[:, -1]


def mean_of_mixed(warm, depth):
    """Mean temperature of the upper four fifths of a mixed layer, each row to its own depth [m]."""
    layers = warm.shape[1]
    count = np.maximum(np.round(0.8 * depth / DEPTH * layers).astype(int), 1)
    return np.array([row[layers - n :].mean() for row, n in zip(warm, count, strict=True)])


@pytest.mark.parametrize("layers", [12, 24])
def test_cooling_eats_into_a_graded_pool_by_the_exact_law(layers):
    """Encroachment: with heat q lost per area (K m) the layer is sqrt(2 q/slope) deep, as cold as the water
    that it reaches, and holds the mean of what it swallowed; within an eighth of a layer's step."""
    lost, warm, tracer = cooled(layers)
    depth = np.sqrt(2.0 * lost[3:] / SLOPE)
    assert depth[-1] > 1.2
    assert mean_of_mixed(warm[3:], depth) == pytest.approx(WARM - SLOPE * depth, abs=0.12)
    assert tracer[3:] == pytest.approx(MOST * (1.0 - depth / 2.0 / DEPTH), abs=0.005 * MOST)


@pytest.mark.parametrize("layers", [12, 24, 40])
def test_cooling_that_overshoots_entrains_by_the_exact_law(layers):
    """Flux A B at the base, once: the layer is (2 (1 + 2 A) q/slope)^0.5 deep and holds the mean of what it
    swallowed, to 3 % of the depth; its temperature follows from the heat lost. Check 20.9; A = 0.2."""
    share = 0.2
    lost, warm, tracer = cooled(layers, share)
    depth = np.sqrt(2.0 * (1.0 + 2.0 * share) * lost[6:] / SLOPE)
    assert depth[-1] > 1.4
    wanted = WARM - SLOPE * depth / 2.0 - lost[6:] / depth
    assert mean_of_mixed(warm[6:], depth) == pytest.approx(wanted, abs=0.12)
    assert tracer[6:] == pytest.approx(MOST * (1.0 - depth / 2.0 / DEPTH), abs=0.012 * MOST)


@pytest.mark.slow
def test_the_edge_takes_no_more_of_a_thing_than_its_layer_holds():
    """The demo pond with a bed that lets all unmet demand out as debt: a run with oxygen below 0 is refused.

    Late in September an overturn joins a layer without oxygen to richer ones; the edge took by their mean.
    """
    pond = read_scenario(CAMPUS / "existing.toml")
    results = run(replace(pond, bed=replace(pond.bed, reduced_share=1.0)), how_long_start_matters=False)
    assert float(results["dissolved_oxygen"].min()) >= 0.0
