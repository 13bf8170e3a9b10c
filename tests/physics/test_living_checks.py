"""Published lines about algae, phosphorus, mud and calm water, beside what the program takes.

Where several published forms compete, the program's one must lie among them; how far they are apart stands in
docs/living_pond.md.
"""

import math

import numpy as np
import pytest
from scipy import integrate

from pondsim.physics import gas_transfer, kinetics, light
from pondsim.scenario.defaults import default_parameter, parameter_value
from tests.physics.tolerance import close_to
from tests.published.light import smith_layer_mean

DAY = 86400.0
YEAR = 365.25 * DAY
X0, K, DEPTH = 8.0, 1.5, 3.0  # light over Ik at the top, extinction [1/m], m


def layer_mean(curve):
    """Mean of a curve of light over Ik through the layer, by quadrature."""
    found = integrate.quad(lambda z: curve(X0 * math.exp(-K * z)), 0.0, DEPTH, epsrel=1e-10)[0]
    return found / DEPTH


@pytest.mark.parametrize(
    ("check", "curve", "value"),
    [
        ("15.3", lambda x: x / 1.6 * math.exp(1.0 - x / 1.6), 0.56735),
        ("15.6", math.tanh, 0.62432),
        ("15.7", lambda x: 1.0 - math.exp(-x), 0.57106),
        ("15.8", lambda x: (1.0 - math.exp(-x)) * math.exp(-0.05 * x), 0.50120),
    ],
)
def test_other_curves_of_light_lie_about_that_of_the_program(check, curve, value):
    """Steele 1962 (Is 300, Ik 187.5), Jassby and Platt 1976, Webb 1974, Platt 1980 (as read), by quadrature.

    They lie within a sixth of Smith's curve, whose integral the program takes; Jassby and Platt's within 5 %.
    """
    mean = layer_mean(curve)
    assert mean == close_to(value, "0.1 %", "1", check)
    ours = (light.smith_integral(X0) - light.smith_integral(X0 * math.exp(-K * DEPTH))) / (K * DEPTH)
    assert mean == pytest.approx(ours, rel=0.05 if check == "15.6" else 0.17)


def test_the_integral_of_the_program_is_that_of_its_curve():
    """Smith 1936 by quadrature, at the light of check 15.4."""
    ours = (light.smith_integral(X0) - light.smith_integral(X0 * math.exp(-K * DEPTH))) / (K * DEPTH)
    assert ours == pytest.approx(layer_mean(lambda x: x / math.sqrt(1.0 + x * x)), rel=1e-9)


def test_default_growth_is_under_the_newer_envelope_too():
    """15.2: Bissinger et al. 2008, 0.81 exp(0.0631 t): 2.8613 per day at 20 degC."""
    envelope = 0.81 * math.exp(0.0631 * 20.0)
    assert envelope == close_to(2.8613, "0.1 %", "1/d")
    assert default_parameter("algae.growth").high * DAY < envelope


def test_chlorophyll_that_phosphorus_can_make():
    """15.14: all of 100 ug/L of phosphorus as algae of Redfield's ratio at 40 g/g are 102.76 ug/L, exact."""
    ratio = parameter_value("algae.carbon_to_phosphorus")
    assert 100.0 * ratio / 40.0 == close_to(102.76, "0.4 %", "ug/L")  # the default is 41, Redfield's 41.104


def test_production_of_deep_water():
    """15.15: 100 mg/m3 that make 6 mg/mg/h at most, 0.5 + 0.016 x 100 per metre: 0.79328 g/m2/h, exact."""
    k, deep = 0.5 + 1.6, 30.0
    mean = smith_layer_mean(X0, X0 * math.exp(-k * deep), 1.0, k * deep)
    assert 0.1 * 6.0 * mean * deep == close_to(0.79328, "0.1 %", "g/m2/h")


def test_a_buoyant_kind_rises_no_faster_than_colonies_do():
    """15.17: 100 um/s, the low end of Microcystis (Reynolds 2006, as read), is 8.64 m/d."""
    fast = 100e-6
    assert fast * DAY == close_to(8.64, "0.1 %", "m/d")
    assert 0.0 < -default_parameter("algae_kind.sinking").low < fast


def test_oxygen_that_phosphorus_asks_for():
    """16.2: 138 O2 per P of Redfield's matter, nitrification included: 142.56 g/g, exact."""
    carbon, nitrogen, phosphorus = 106 * 12.011, 16 * 14.007, 30.974
    asked = carbon * kinetics.OXYGEN_PER_CARBON + nitrogen * kinetics.OXYGEN_PER_NITROGEN
    assert asked / phosphorus == close_to(142.56, "0.2 %", "g/g")


LOAD, RUN_OVER, MEAN_DEPTH = 2000.0, 20.0, 2.0  # mg/m2/a, m/a, m
LAKES = {
    "16.6": (75.975, LOAD / RUN_OVER / (1.0 + math.sqrt(MEAN_DEPTH / RUN_OVER))),
    "16.7": (56.180, 1e3 * LOAD / 1e3 / (11.6 + 1.2 * RUN_OVER)),
    "16.8": (
        60.000,
        LOAD / (MEAN_DEPTH * (0.114 * (LOAD / MEAN_DEPTH) ** 0.589 + RUN_OVER / MEAN_DEPTH)),
    ),
}


@pytest.mark.parametrize("check", list(LAKES))
def test_a_mixed_lake_lies_among_published_loading_lines(check):
    """Vollenweider 1976, Canfield and Bachmann 1981 (from memory), Reckhow 1979 (as read), of one lake.

    They give 56 to 76 ug/L. The pond's steady state, L/(qs + v), lies there with velocities of lakes.
    """
    published, by_line = LAKES[check]
    assert by_line == close_to(published, "0.2 %", "ug/L", check)
    for velocity in (10.0, 13.2):  # Vollenweider 1975, Dillon and Kirchner 1975, from memory
        assert 56.0 < LOAD / (RUN_OVER + velocity) < 76.0
    usual = parameter_value("phosphorus.solids_settling") * YEAR
    assert usual > 16.0  # on solids only: of all phosphorus of a pond a part stays dissolved


def test_secchi_depth_of_a_green_pond_by_its_trophic_index():
    """16.11: Carlson 1977, 60 - 14.41 ln SD: an extinction of 3.4 per metre is half a metre, 69.988."""
    assert 60.0 - 14.41 * math.log(light.secchi_depth(3.4)) == close_to(69.988, 0.05, "1")


def test_removal_of_phosphorus_from_its_two_parts():
    """16.15: Minnesota manual, level 2: 84 % of what is particulate, 8 % of the rest, by hand; printed 50.

    A particulate share of 0.55 (from memory) gives that; the default's lies within a tenth of it.
    """
    assert close_to(49.8, "0.2 %", "%") == 0.55 * 84.0 + 0.45 * 8.0
    assert 1.0 - parameter_value("stormwater.phosphorus_dissolved") == pytest.approx(0.55, abs=0.1)


def test_the_range_of_the_old_store_reaches_matter_of_ten_years():
    """17.8: 0.2/t (Rothman and Forney 2007): 0.02 per year after ten years."""
    assert default_parameter("bed.old_decay").low * YEAR == close_to(0.02, "5 %", "1/a")


def test_the_anoxic_bed_decays_as_slowly_as_recent_lake_mud():
    """17.10: 6.7e-4 1/d at 35 degC (Gale, Reddy and Graetz 1992, as read) is 2.369e-4 at 20 degC, Q10 2.

    Without oxygen the old store lies below it and the slow one above, as fresher matter must.
    """
    recent = 6.7e-4 * 2.0**-1.5
    assert recent == close_to(2.369e-4, "1 %", "1/d")
    slowed = parameter_value("bed.anoxic_decay")
    old, slow = (parameter_value(f"bed.{store}_decay") * DAY * slowed for store in ("old", "slow"))
    assert old < recent < slow


def test_carbon_that_algae_rain_on_the_bed():
    """17.11: 50 ug/L at 40 g/g that sink 0.2 m/d bring 0.4 g/m2/d, by hand; the default is half as fast."""
    assert close_to(0.4, "0.1 %", "gC/m2/d") == 50e-3 * 40.0 * 0.2
    assert 0.1 < 50e-3 * 40.0 * parameter_value("algae.sinking") * DAY < 0.4


def test_calm_water_exchanges_gas_as_measured():
    """19.7 to 19.9: 0.55 to 2.83 cm/h (Xiao 2014), 0.35 to 0.74 m/d (Cole 2010), 4.0 cm/h (Jansen 2020).

    No wind by day lies in the first two, a cooling night at 1 m/s at the third.
    """
    per_hour = 3600.0 * 100.0
    floor = parameter_value("gas_transfer.k600_at_no_wind")
    still = float(gas_transfer.k600_cole_caraco(0.0, floor)) * per_hour
    assert 0.55 < still < 2.83
    assert 0.35 / 0.24 < still < 0.74 / 0.24
    cooling = float(gas_transfer.k600_cooling(1.0, parameter_value("gas_transfer.k600_cooling"))) * per_hour
    assert cooling == pytest.approx(4.0, abs=0.1)


@pytest.mark.parametrize(("check", "end", "days"), [("20.3", "low", 41.336), ("20.4", "high", 5.7870)])
def test_the_floor_of_mixing_spans_molecular_to_once_measured(check, end, days):
    """H^2/(2 K) through 1 m at both ends of the default's range, exact: molecular heat, and 1e-6 m2/s."""
    diffusivity = getattr(default_parameter("mixing.diffusivity_floor"), end)
    assert 1.0 / (2.0 * diffusivity) / DAY == close_to(days, "0.1 %", "d", check)


def test_the_floor_of_mixing_carries_a_third_of_a_bed():
    """20.5, 20.6, 20.13: 1e-6 m2/s over 1 m of 8 mg/L is 0.69 g/m2/d, molecular oxygen over 0.1 m 0.0138.

    Measured in a thermocline were 2e-8 to 3.4e-7 m2/s (Hesslein and Quay 1973, abstract): below the default.
    """
    high = default_parameter("mixing.diffusivity_floor").high
    assert high * 8.0 / 1.0 * DAY == close_to(0.69120, "0.1 %", "g/m2/d", "20.5")
    assert close_to(0.013824, "0.1 %", "g/m2/d", "20.6") == 2e-9 * 8.0 / 0.1 * DAY
    assert 3.4e-7 < parameter_value("mixing.diffusivity_floor") < high


LINES = {  # chlorophyll from total phosphorus, both ug/L, log10: slope, intercept; at, and value
    "16.12": (1.46, -1.09, 50.0, 24.575),
    "16.13": (1.449, -1.136, 50.0, 21.174),
    "16.14": (0.96, -0.55, 100.0, 23.442),
}


@pytest.mark.parametrize("check", list(LINES))
def test_lines_from_phosphorus_to_chlorophyll(check):
    """Jones and Bachmann 1976, OECD 1982 (secondary text), Dillon and Rigler 1974 (from memory).

    At 100 ug/L they are apart by a factor of three; what Redfield's ratio allows is more than any of them.
    """
    slope, intercept, at, value = LINES[check]
    assert 10.0 ** (intercept + slope * math.log10(at)) == close_to(value, "0.2 %", "ug/L", check)
    at_100 = [10.0 ** (a + b * 2.0) for b, a, *_ in LINES.values()]
    assert 2.5 < max(at_100) / min(at_100) < 3.5
    assert np.max(at_100) < 100.0 * parameter_value("algae.carbon_to_phosphorus") / 40.0
