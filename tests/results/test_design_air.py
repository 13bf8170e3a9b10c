"""The sheet of the aeration and what it is checked against, without a run."""

from __future__ import annotations

import math

import iapws
import numpy as np
import pytest
from scipy import integrate

from pondsim.design.air import air_sheet, limits
from pondsim.design.air_sheet import plume_stop
from pondsim.scenario.read import read_scenario
from pondsim.units import DISPLAY, display
from tests.scenarios_for_tests import minimal_design, minimal_site, write_design

SCFM = 0.3048**3 / 60.0
PSI = 6894.757293168
FT = 0.3048
G, RHO, ATM = 9.80665, 998.2, 101325.0
STATED = 'air_flow = "1.5 scfm"\n'
PISTON = (
    'source = "compressor"\nsource_free_flow = ["4.4 cfm", "3.9 cfm", "3.5 cfm", "3.0 cfm"]\n'
    'source_pressure = ["0 psi", "5 psi", "10 psi", "20 psi"]\n'
)
TUBING = 'tubing_diameter = "0.5 in"\ntubing_length = "200 ft"\n'


def scenario(tmp_path, text=STATED, site=None, **changes):
    design = minimal_design().replace(STATED, text)
    for old, new in changes.items():
        design = design.replace(*{"diffusers": ("diffusers = 2", new), "elevation": ('"1 ft"', new)}[old])
    return read_scenario(write_design(tmp_path, design, site))


def verdicts(found, words):
    """Verdicts of the limits whose text begins so."""
    return [limit.verdict for limit in found if limit.what.startswith(words)]


def test_sheet_of_a_stated_flow_by_hand(tmp_path):
    """Two diffusers of 1.5 scfm under 9 ft: SOTR 0.47253 kg/h per scfm (check 5.4) x 4 %/m x 2.7432 m."""
    (unit,) = air_sheet(scenario(tmp_path)).units
    assert unit.transfer * 3600 == pytest.approx(0.47253 * 3 * 0.04 * 2.7432, rel=2e-3)
    assert unit.air_per_diffuser == pytest.approx(1.5 * SCFM)
    assert unit.normal.pressure == pytest.approx(RHO * G * 9 * FT + PSI, rel=1e-9)
    assert unit.low.depth == pytest.approx(8 * FT)
    assert unit.high.depth == pytest.approx(12 * FT)
    site = ATM * (1 - 2.25577e-5 * 100) ** 5.25588
    assert unit.free_air / SCFM == pytest.approx(3 * ATM / site * 298.15 / 293.15, rel=1e-9)
    assert unit.per_energy == pytest.approx(unit.transfer / unit.normal.power)


def test_areal_rule_beside_the_air(tmp_path):
    """28000 ft2 at normal pool: 1.315 ft3/min per acre (check 5.10 over 1.2 acre)."""
    sheet = air_sheet(scenario(tmp_path))
    assert sheet.air_by_rule / SCFM == pytest.approx(28000 / 43560 * 1.578 / 1.2, rel=0.02)
    assert sheet.air_flow / SCFM == pytest.approx(3.0)


@pytest.mark.parametrize(("scfm", "verdict"), [(0.6, "warn"), (1.0, "pass"), (3.0, "pass"), (3.3, "warn")])
def test_air_through_a_diffuser_against_practice(tmp_path, scfm, verdict):
    """1 to 3 scfm: common practice, no source."""
    found = limits(scenario(tmp_path, f'air_flow = "{scfm} scfm"\n'))
    assert verdicts(found, "standard air through each") == [verdict]


@pytest.mark.parametrize(
    ("source", "elevation", "verdict"),
    [
        ("blower", '"1 ft"', "pass"),
        ("blower", '"-2 ft"', "warn"),
        ("compressor", '"1 ft"', "pass"),
        ("compressor", '"5 ft"', "reported"),
    ],
)
def test_source_suits_the_depth(tmp_path, source, elevation, verdict):
    """Shallow: blower; from 8 to 10 ft: piston or vane compressor (common practice, no source)."""
    site = minimal_site().replace('stage = ["0 ft", "5 ft"', 'stage = ["-3 ft", "5 ft"')
    found = limits(scenario(tmp_path, STATED + f'source = "{source}"\n', site, elevation=elevation))
    assert verdicts(found, "water over the diffusers, for") == [verdict]


def test_pressures_and_line_of_a_curve(tmp_path):
    found = limits(scenario(tmp_path, PISTON + TUBING))
    assert verdicts(found, "pressure at the source") == ["pass"] * 3
    assert verdicts(found, "pressure lost in tubing and main") == ["pass"]
    assert verdicts(found, "velocity at the end of the tubing") == ["pass"]
    assert verdicts(found, "velocity at the end of the main") == []
    top = next(limit for limit in found if limit.what == "pressure at the source at normal pool")
    assert top.most == pytest.approx(20 * PSI)
    assert all(limit.part in ("pool air", "aeration") for limit in found)


def test_a_thin_line_is_told(tmp_path):
    thin = TUBING.replace("0.5 in", "0.17 in")
    found = limits(scenario(tmp_path, 'air_flow = "3 scfm"\n' + thin))
    assert verdicts(found, "pressure lost in tubing and main") == ["warn"]
    assert verdicts(found, "velocity at the end of the tubing")[0] in ("warn", "fail")


def test_air_faster_than_sound_fails(tmp_path):
    """10 scfm through 0.1 in: 1.2 kg/m3 x 4.7e-3 m3/s over 5 mm2 is some 500 m/s at 2 atm."""
    thin = TUBING.replace("0.5 in", "0.1 in").replace("200 ft", "1 ft")
    found = limits(scenario(tmp_path, 'air_flow = "10 scfm"\n' + thin))
    assert verdicts(found, "velocity at the end of the tubing") == ["fail"]


def test_a_source_at_its_end_is_told_and_one_beaten_fails(tmp_path):
    """A blower of 4.6 psi: 4.39 psi are gone with no air at normal pool, 5.7 psi at the bank top."""
    curve = 'source_flow = ["40 scfm", "20 scfm"]\nsource_pressure = ["0 psi", "4.6 psi"]\n'
    found = limits(scenario(tmp_path, curve + TUBING))
    assert verdicts(found, "pressure at the source at normal") == ["warn"]
    assert verdicts(found, "pressure at the source at bank") == ["warn"]
    bank = next(limit for limit in found if limit.what == "pressure at the source at bank top")
    assert bank.note == "More than the pressure of the source: no air."


def test_a_rated_point_says_that_its_curve_is_a_guess(tmp_path):
    found = limits(
        scenario(tmp_path, 'source = "compressor"\nrated_flow = "4 scfm"\nrated_pressure = "9 psi"\n')
    )
    notes = [limit.note for limit in found if limit.what.startswith("pressure at the source")]
    assert all("guess" in note for note in notes)


def test_diffusers_dry_at_low_pool_fail(tmp_path):
    found = limits(scenario(tmp_path, elevation='"9.5 ft"'))
    assert verdicts(found, "water over the diffusers at low pool") == ["fail"]


def test_high_ground_warns_of_a_curve_in_standard_air_only(tmp_path):
    high = minimal_site().replace('"100 m"', '"5000 ft"')
    standard = PISTON.replace("free_flow", "flow").replace("cfm", "scfm")
    assert verdicts(limits(scenario(tmp_path, standard, high)), "elevation") == ["warn"]
    assert verdicts(limits(scenario(tmp_path, PISTON, high)), "elevation") == []
    assert verdicts(limits(scenario(tmp_path, STATED, high)), "elevation") == []
    assert verdicts(limits(scenario(tmp_path, standard)), "elevation") == []


def test_a_weak_plume_is_not_credited_with_the_surface(tmp_path):
    """Much air in many diffusers: each plume stops below; the same air in few reaches the surface."""
    weak = limits(scenario(tmp_path, 'air_flow = "0.03 scfm"\n', diffusers="diffusers = 100"))
    strong = limits(scenario(tmp_path, 'air_flow = "1.5 scfm"\n'))
    assert verdicts(weak, "end of the plume") == ["warn", "warn"]
    assert verdicts(strong, "end of the plume") == ["pass", "pass"]
    stop = next(limit for limit in weak if limit.what.startswith("end of the plume"))
    assert stop.value > 0.0
    assert "does not mix the top" in stop.note


def test_plume_of_the_sheet_against_an_integration_apart(tmp_path):
    """Primitive variables in a continuous profile, density by a general library's IAPWS-IF97."""
    depth, air, difference = 9 * FT, 2e-5, 10.0
    site = ATM * (1 - 2.25577e-5 * 100) ** 5.25588
    heights = np.linspace(0.0, depth, 41)
    table = [iapws.IAPWS97(T=300.15 - difference * (1 - z / depth), P=0.101325).rho for z in heights]

    def gas(z):
        return air * ATM / (site + RHO * G * (depth - z))

    def slopes(z, y):
        b, w, light = y
        gradient = (
            -np.interp(z, 0.5 * (heights[1:] + heights[:-1]), np.diff(table) / np.diff(heights)) / RHO * G
        )
        inflow = 0.22 * b * w
        dw = (G * gas(z) / (math.pi * (w + 0.3)) + b * b * light - w * inflow) / (b * b * w)
        return [(inflow - b * b * dw) / (2 * b * w), dw, -gradient - light * inflow / (b * b * w)]

    wanted = 2 * 1.6**2 * G * gas(0.0) / (math.pi * 0.1)
    start = max(r.real for r in np.roots([1.0, 0.3, 0.0, -wanted]) if abs(r.imag) < 1e-9)

    def stopped(z, y):
        return y[1] - 1e-3 * start

    stopped.terminal = True
    solved = integrate.solve_ivp(
        slopes, (0.0, depth), [0.1, start, 0.0], events=stopped, rtol=1e-8, atol=1e-10, method="LSODA"
    )
    true_below = depth - solved.t[-1]
    assert 0.3 < true_below < depth - 0.3
    stop = plume_stop(air, depth, scenario(tmp_path), difference)
    assert stop.below == pytest.approx(true_below, abs=0.03)
    b, w, _ = solved.y[:, -1]
    assert stop.lifted == pytest.approx(math.pi * b * b * w, rel=0.03)


def test_every_limit_can_be_shown(tmp_path):
    for text in (STATED, PISTON + TUBING, STATED + TUBING + 'line_diameter = "1 in"\nline_length = "9 ft"\n'):
        for limit in limits(scenario(tmp_path, text)):
            assert limit.kind in DISPLAY
            assert limit.verdict in ("pass", "warn", "fail", "reported")
            for system in ("us", "si"):
                for value in (limit.value, limit.least, limit.most):
                    assert value is None or display(value, limit.kind, system) != "-"
            assert limit.what and limit.source


def test_no_aeration_has_no_limits(tmp_path):
    text = minimal_design()
    path = write_design(tmp_path, text[: text.index("[[aeration]]")])
    assert limits(read_scenario(path)) == ()
