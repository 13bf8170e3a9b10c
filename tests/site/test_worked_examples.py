"""Worked examples of Crane TP-410 (2009), read in the documentation of the registry library fluids 1.3.1."""

from __future__ import annotations

import pytest
from fluids import fittings as library
from scipy.optimize import brentq

from pondsim.physics import pipes, pumps
from pondsim.scenario.fittings_table import entrance_table
from pondsim.scenario.pipe_tables import inside_diameter
from pondsim.site import pipe_run
from pondsim.site.pipe_run import PipeRun, fittings_coefficient

FOOT, INCH = 0.3048, 0.0254
GPM = 3.785411784e-3 / 60.0
POUND_PER_FT3 = 0.45359237 / FOOT**3
PSI = 6894.757293168
HORSEPOWER = 745.699872
STEEL = 0.0018 * INCH


def run(monkeypatch, nominal, length, fittings, *, poise, pounds, roughness=STEEL):
    """A run of steel pipe with the example's own water."""
    monkeypatch.setattr(pipe_run, "VISCOSITY", poise * 1e-3 / (pounds * POUND_PER_FT3))
    diameter = inside_diameter("steel_40", nominal * INCH)
    return PipeRun(diameter, length * FOOT, roughness, fittings_coefficient(fittings, diameter))


def test_power_required_for_pumping(monkeypatch):
    """Example 7-15: 100 gpm up 400 ft in 500 ft of 3 in pipe, a lift check valve: 421 ft and 15.2 hp.

    The library's own solution, with its roughness of 0.0022 in, has 420.35 ft and 15.154 hp.
    """
    pipe = run(
        monkeypatch,
        3,
        500,
        ((1, "gate valve"), (4, "standard elbow")),
        poise=0.95,
        pounds=62.298,
        roughness=0.0022 * INCH,
    )
    reducer = inside_diameter("steel_40", 2.5 * INCH)
    valve = library.K_lift_check_valve_Crane(D1=reducer, D2=pipe.diameter, angled=False)
    head = 400 * FOOT + pipe.loss(100 * GPM, also=1.0 + valve)
    power = pumps.water_power(100 * GPM, head, 0.7, 62.298 * POUND_PER_FT3)
    assert head / FOOT == pytest.approx(421, abs=1.0)
    assert head / FOOT == pytest.approx(420.35, abs=0.05)
    assert power / HORSEPOWER == pytest.approx(15.2, abs=0.05)


def test_water_from_a_reservoir_by_gravity(monkeypatch):
    """Example 7-19: 11.5 ft through entrance, mitre, gate valve, 3 in, contraction, 20 ft of 2 in: 137 gpm.

    The example counts the losses of the narrow pipe by the velocity in the wide one, with the nominal sizes.
    """
    water = {"poise": 1.1, "pounds": 62.364}
    wide = run(monkeypatch, 3, 10, ((1, "mitre elbow"), (1, "gate valve")), **water)
    narrow = run(monkeypatch, 2, 20, (), **water)

    def lost(flow):
        entrance = entrance_table()["sharp"].loss
        change = pipes.size_change_coefficient(3.0, 2.0)
        nominal = (3.0 / 2.0 / (wide.diameter / narrow.diameter)) ** 4
        return wide.loss(flow, entrance) + nominal * narrow.loss(flow, change + 1.0)

    flow = brentq(lambda q: lost(q) - 11.5 * FOOT, 1e-5, 0.1)
    assert flow / GPM == pytest.approx(137, abs=0.5)


def test_affinity():
    """Example 7-33: 400 gpm, 126 ft, 17.5 hp at 3500 rpm; at 1700 rpm 194 gpm, 29.7 ft, 2.01 hp."""
    speed = 1700 / 3500
    assert 400 * speed == pytest.approx(194, abs=0.5)
    assert 126 * pumps.affinity_head(speed) == pytest.approx(29.73, abs=5e-3)
    assert 17.5 * pumps.affinity_power(speed) == pytest.approx(2.0053, abs=5e-5)


def test_pump_power():
    """Example 7-34: 700 gpm, 428 ft, 70.7 %, motor 95 %, drive 96 %: 107.06 hp at the shaft, 117.39 hp."""
    density = 62.364 * POUND_PER_FT3
    shaft = pumps.water_power(700 * GPM, 428 * FOOT, 0.707, density)
    meter = pumps.water_power(700 * GPM, 428 * FOOT, 0.707 * 0.95 * 0.96, density)
    assert shaft / HORSEPOWER == pytest.approx(107.06, abs=0.005)
    assert meter / HORSEPOWER == pytest.approx(117.39, abs=0.005)


def test_suction_head():
    """Example 7-32: 5 psig on the tank, 60 degF, suction 25 ft up, 6 ft lost: 13.89 ft."""
    found = pumps.npsh_available(
        5 * PSI + 101325.0, 0.256 * PSI, -25 * FOOT, 6 * FOOT, 62.364 * POUND_PER_FT3
    )
    assert found / FOOT == pytest.approx(13.887, abs=5e-4)


def test_smooth_pipe():
    """Example 7-1: Re 100 600 in smooth plastic: friction factor 0.0179."""
    assert pipes.friction_factor(100600.0, 0.0) == pytest.approx(0.0179, abs=1e-4)
