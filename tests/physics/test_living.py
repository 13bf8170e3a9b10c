"""Grown algae, phosphorus and the bed's stores: published values and what the program's rates amount to."""

import math

import numpy as np
import pytest
from scipy.optimize import brentq

from pondsim.physics import algae, bed_stores, kinetics
from pondsim.scenario.defaults import default_parameter, parameter_value
from tests.physics.tolerance import close_to
from tests.published.kinetics import monod
from tests.published.light import mean_light_fraction, smith_layer_mean

DAY = 86400.0


@pytest.mark.parametrize(
    ("check", "x0", "k", "depth", "value"), [("15.4", 8, 1.5, 3, 0.59727), ("15.5", 0.6, 2.2, 1, 0.22836)]
)
def test_layer_mean_of_growth_in_light(check, x0, k, depth, value):
    """Smith 1936, exact integral through a layer, checked against quadrature."""
    mean = smith_layer_mean(x0, x0 * math.exp(-k * depth), 1.0, k * depth)
    assert mean == close_to(value, "0.1 %", "1", check)


def test_growth_is_not_taken_at_the_mean_light():
    """15.9: Smith's curve at the mean light of the layer is 0.86922; the mean of the curve is 0.59727."""
    mean = smith_layer_mean(8.0, 8.0 * math.exp(-4.5), 1.0, 4.5)
    at_mean = 8.0 * mean_light_fraction(4.5)
    assert at_mean / math.sqrt(1.0 + at_mean**2) == close_to(0.86922, "0.1 %", "1")
    assert mean < 0.7 * 0.86922


def test_mean_over_the_day():
    """15.10: 1500 umol/m2/s at noon, Ik 180, 1.5 per metre, 3 m, 14 h of light; sine of the day."""
    at = (np.arange(4000) + 0.5) / 4000.0
    surface = 1500.0 * np.sin(np.pi * at)
    through = [smith_layer_mean(x, x * math.exp(-4.5), 180.0, 4.5) for x in surface]
    assert np.mean(through) * 14.0 / 24.0 == close_to(0.27710, "0.2 %", "1")


def test_depth_where_production_meets_a_tenth_of_its_most():
    """15.11: Smith's curve, x = r/(1 - r^2)^0.5 at 8 times Ik under the surface and 1.3 per metre, r 0.1."""
    step = 1e-4

    def through(depth):
        above, below = (8.0 * math.exp(-1.3 * at) for at in (depth - step, depth + step))
        return smith_layer_mean(above, below, 1.0, 1.3 * 2.0 * step) - 0.1

    assert brentq(through, 0.1, 10.0) == close_to(3.3669, "0.1 %", "m")


def test_half_saturation():
    """15.12: Monod 1949, 5 ug/L with a half-saturation of 3 ug/L."""
    assert monod(5e-6, 3e-6) == close_to(0.62500, "0.01 %", "1")


@pytest.mark.parametrize("celsius", [5.0, 10.0, 15.0, 20.0, 25.0, 28.0, 33.0])
def test_default_growth_stays_under_the_envelope_of_all_algae(celsius):
    """Eppley 1972: 0.59 exp(0.0633 t) per day, which nothing exceeds; growth is capped at 28 degC."""
    warm = min(celsius + 273.15, algae.HOTTEST)
    for kind in ("algae", "algae_kind"):
        theta = parameter_value(f"{kind}.growth_theta")
        rate = parameter_value(f"{kind}.growth") * DAY * theta ** (warm - 293.15)
        assert rate <= 0.59 * math.exp(0.0633 * celsius)


def test_oxygen_that_living_algae_hold():
    """15.13: 50 ug/L of chlorophyll at 40 g/g and a quotient of 1."""
    assert close_to(5.3333, "0.1 %", "mg/L") == 50e-6 * 40.0 * kinetics.OXYGEN_PER_CARBON * 1e3


def test_default_carbon_to_phosphorus_is_redfields():
    """16.1: 106 C to 1 P by mass is 41.104."""
    assert parameter_value("algae.carbon_to_phosphorus") == pytest.approx(41.104, rel=0.003)


@pytest.mark.parametrize("depth", [0.5, 1.0, 3.0])
@pytest.mark.parametrize("sun", [0.0, 8.0, 40.0])
def test_chlorophyll_per_carbon_stays_in_the_measured_range(sun, depth):
    """20 to 160 g/g, Taylor, Geider and Gilbert 1997; 37 in eutrophic waters, Finenko et al. 2003."""
    ratio = algae.chlorophyll_to_carbon(25.0, sun / depth, 0.7)
    assert 1.0 / 160.0 <= ratio <= 1.0 / 20.0


def test_green_shaded_water_has_the_ratio_of_eutrophic_waters():
    """37 g/g in eutrophic waters (Finenko et al. 2003): 25 to 55 for a daily 10 mol/m2 at 25 degC."""
    assert 25.0 < 1.0 / algae.chlorophyll_to_carbon(25.0, 10.0, 0.7) < 55.0


def test_extinction_counts_each_part_once():
    """0.02 m2/mg of 100 ug/L is 2 per metre, 0.052 m2/g of 10 mg/L mineral 0.52; no more is added."""
    found = algae.extinction_of_parts(0.5, 20000.0 * 100e-6, 10e-3, 150.0 * 2e-3, 0.3)
    assert found == pytest.approx(0.5 + 2.0 + 0.52 + 0.3 + 0.3)


def test_areal_production_has_a_ceiling():
    """15.16: with light that only algae take, more of them make no more per area: 6/0.016 asinh(8)."""
    chl, kc, most = 0.2e-3, 16000.0, 6.0  # kg/m3, m2/kg, kg/kg/h
    thickness = 200.0
    k = kc * chl
    mean = smith_layer_mean(8.0, 0.0, 1.0, k * thickness)
    assert 1e3 * chl * most * mean * thickness == close_to(1.0412, "0.1 %", "g/m2/h")


def test_winter_demand_is_that_measured_under_ice():
    """18.13: theta alone leaves 0.73 of 2 g/m2/d at 4 degC; measured is 0.23 (Mathias and Barica 1980)."""
    theta, share = parameter_value("bed.oxygen_demand_theta"), parameter_value("bed.winter_share")
    assert 2.0 * theta**-16.0 == close_to(0.73019, "0.1 %", "g/m2/d")
    assert 2.0 * bed_stores.bed_temperature_factor(theta, share, 277.15) == close_to(0.23, 0.005, "g/m2/d")
    assert bed_stores.bed_temperature_factor(theta, share, 274.15) == pytest.approx(share)


def test_summer_demand_follows_theta_and_meets_winters():
    """Above 10 degC the factor is theta^(T - 20); it has no jump at 10 and 4 degC and rises everywhere."""
    at = np.linspace(273.15, 308.15, 200)
    factor = bed_stores.bed_temperature_factor(1.065, 0.115, at)
    assert factor[at > 283.15] == pytest.approx(1.065 ** (at[at > 283.15] - 293.15))
    assert np.all(np.diff(factor) >= -1e-12)
    assert np.max(np.abs(np.diff(factor))) < 0.1


def test_debt_leaves_the_bed_less_the_more_there_is():
    """Half at the ceiling; all of the share into clean water."""
    assert bed_stores.debt_share(0.5, 0.0, 20e-3) == 0.5
    assert bed_stores.debt_share(0.5, 20e-3, 20e-3) == 0.25
    assert bed_stores.debt_share(0.5, -1e-6, 20e-3) == 0.5


@pytest.mark.parametrize(
    ("check", "days", "value", "tolerance"), [("17.1", 30, 0.55216, "0.2 %"), ("17.2", 365, 0.37946, "0.2 %")]
)
def test_default_stores_leave_what_was_measured(check, days, value, tolerance):
    """Westrich and Berner 1984: shares 0.50, 0.16, 0.34 and 24, 1.4, 0 per year, of a 365.25-day year."""
    left = 1.0 - parameter_value("bed.fast_share") - parameter_value("bed.slow_share")
    for store in ("fast", "slow"):
        share = parameter_value(f"bed.{store}_share")
        left += share * math.exp(-parameter_value(f"bed.{store}_decay") * days * DAY)
    assert left == close_to(value, tolerance, "1", check)


def test_share_of_a_steady_demand_a_year_after_its_supply_ends():
    """17.6: Westrich and Berner 1984 (rates from memory), with the default shares and rates."""
    share, decay = (
        [parameter_value(f"bed.{store}_{of}") for store in ("fast", "slow")] for of in ("share", "decay")
    )
    left = sum(f * math.exp(-k * 365.0 * DAY) for f, k in zip(share, decay, strict=True))
    assert left / sum(share) == close_to(0.059781, "0.2 %", "1")


def test_no_growth_beyond_the_envelope_can_be_stated():
    """2.09 per day at 20 degC: 0.59 exp(0.0633 x 20), Eppley 1972."""
    assert default_parameter("algae.growth").most * DAY == pytest.approx(2.09)
