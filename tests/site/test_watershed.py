"""Drainage areas: water, loads and warmth; all invented."""

from dataclasses import replace
from datetime import datetime

import numpy as np
import pytest

from pondsim.scenario.settings import (
    BufferStrip,
    ChannelFlow,
    DesignStorm,
    Drainage,
    LandCover,
    Rain,
    ShallowFlow,
    SheetFlow,
    SyntheticRain,
)
from pondsim.site.rain import rain_series
from pondsim.site.rain_series import RainSeries
from pondsim.site.runoff_quality import carried_by, concentrations_of, runoff_temperature
from pondsim.site.series import WeatherSeries
from pondsim.site.watershed import arriving, grounds_of, runoff_of, time_of_concentration
from tests.site.common import period

INCH, FOOT, ACRE, MINUTE = 0.0254, 0.3048, 43560 * 0.3048**2, 60.0
SUMMER = period("2025-05-01", "2025-10-01")
STORM = Rain(design_storm=DesignStorm(start=datetime(2025, 5, 1), depth=3.0 * INCH))
SEASON = Rain(
    synthetic=SyntheticRain(total=(0.09,) * 12, storms=(9.0,) * 12, seed=2, duration=(5 * 3600.0,) * 12)
)
LOT = Drainage(
    name="west lot",
    zone="forebay",
    area=12.0 * ACRE,
    impervious_share=0.55,
    curve_number=74.0,
    time_of_concentration=15.0 * MINUTE,
)
CLASSES = (0.2,) * 5
SETTLING = tuple(0.3048 / 3600.0 * v for v in (0.03, 0.3, 1.5, 7.0, 65.0))


@pytest.mark.parametrize("rain", [STORM, SEASON])
@pytest.mark.parametrize("peak_factor", [300.0, 484.0])
def test_rain_is_runoff_plus_losses_and_the_hydrograph_holds_the_runoff(rain, peak_factor):
    runoff = runoff_of(replace(LOT, peak_factor=peak_factor), rain_series(rain, SUMMER))
    assert runoff.volume + runoff.losses == pytest.approx(runoff.rain_volume, rel=1e-9)
    assert runoff.volume == pytest.approx(runoff.depth.sum() * LOT.area, rel=1e-9)
    assert np.trapezoid(runoff.flow, runoff.time) == pytest.approx(runoff.volume, rel=1e-9)
    assert np.all(runoff.flow >= 0.0)
    assert 0.0 < runoff.losses < runoff.rain_volume


def test_paving_and_ground_shed_apart():
    """NEH-630 equation 10-11 by hand, 3 in: CN 98 S 0.20408 in, Q 2.7683; CN 74 S 3.5135 in, Q 0.9082."""
    runoff = runoff_of(LOT, rain_series(STORM, SUMMER))
    assert runoff.depth.sum() / INCH == pytest.approx(0.55 * 2.7683 + 0.45 * 0.9082, abs=2e-4)
    drizzle = RainSeries(0.0, 3600.0, np.array([0.3 * INCH]))
    few = runoff_of(LOT, drizzle)
    assert few.excess[1].sum() == 0.0
    assert few.volume > 0.0


def test_peak_is_near_the_graphical_method():
    """Type II, one ground: the graphical peak of TR-55 with Ia/P 0.083 taken as 0.1."""
    one = replace(LOT, impervious_share=0.0, curve_number=88.9, time_of_concentration=1800.0)
    runoff = runoff_of(one, rain_series(STORM, SUMMER))
    # log10 qu at 0.5 h = 2.55323 + 0.61512 x 0.30103 - 0.16403 x 0.09062 = 2.72354: 529 ft3/s/mi2/in
    by_hand = 529.1 * (12.0 / 640.0) * runoff.depth.sum() / INCH * FOOT**3
    assert runoff.peak == pytest.approx(by_hand, rel=0.1)  # judgement: two ways that agree so far


def test_time_of_concentration_of_a_flow_path():
    """TR-55 (1986) example 3-1, from memory, not verified: 1.53 h."""
    path = replace(
        LOT,
        time_of_concentration=None,
        sheet_flow=(SheetFlow(100 * FOOT, 0.01, 0.24, 3.6 * INCH),),
        shallow_flow=(ShallowFlow(length=1400 * FOOT, slope=0.01),),
        channel_flow=(ChannelFlow(7300 * FOOT, 0.005, 0.05, 0.957 * FOOT),),
    )
    assert time_of_concentration(path) / 3600.0 == pytest.approx(1.53, abs=0.01)
    assert time_of_concentration(replace(path, sheet_flow=(), channel_flow=())) == pytest.approx(
        1400 / 1.61345, rel=1e-6
    )
    short = replace(path, sheet_flow=(), channel_flow=(), shallow_flow=(ShallowFlow(length=1.0, slope=0.1),))
    assert time_of_concentration(short) == 360.0


def test_grounds_by_cover():
    covered = replace(
        LOT,
        curve_number=None,
        soil_group="C",
        cover=(LandCover("fair lawn", 0.8), LandCover("paving", 0.2), LandCover("woods", 0.0)),
    )
    parts = grounds_of(covered)
    assert [(part.name, part.curve_number, part.paved) for part in parts] == [
        ("connected paving", 98.0, True),
        ("fair lawn", 79.0, False),
        ("paving", 98.0, False),
    ]
    assert [part.share for part in parts] == pytest.approx([0.55, 0.36, 0.09])
    assert sum(part.share for part in grounds_of(replace(LOT, impervious_share=1.0))) == 1.0


def test_finer_rain_steps_change_little():
    """Rain is even within its steps: the same storm in 6 and in 3 minutes."""
    storm = STORM.design_storm
    fine = Rain(design_storm=replace(storm, step=180.0))
    coarse, finer = (runoff_of(LOT, rain_series(rain, SUMMER)) for rain in (STORM, fine))
    assert finer.volume == pytest.approx(coarse.volume, rel=1e-9)
    assert finer.peak == pytest.approx(coarse.peak, rel=0.03)


@pytest.mark.parametrize("first_flush", [1.0, 0.6])
@pytest.mark.parametrize("rain", [STORM, SEASON])
def test_loads_are_concentration_times_volume(rain, first_flush):
    """By definition, with 67 and 7.8 mg/L of mixed land (NURP 1983, from memory)."""
    area = replace(LOT, first_flush=first_flush)
    runoff = runoff_of(area, rain_series(rain, SUMMER))
    carried, strip = carried_by(runoff, area, CLASSES, SETTLING)
    assert strip is None
    assert carried.solids.sum() * runoff.step == pytest.approx(0.067 * runoff.volume, rel=1e-9)
    assert carried.bod5.sum() * runoff.step == pytest.approx(0.0078 * runoff.volume, rel=1e-9)
    assert np.all(carried.solids >= 0.0)


def test_a_dry_period_carries_nothing():
    """No rain at all: no runoff and no load, and no fault."""
    dry = RainSeries(0.0, 3600.0, np.zeros(200))
    runoff = runoff_of(replace(LOT, first_flush=0.6), dry)
    carried, _ = carried_by(runoff, replace(LOT, first_flush=0.6), CLASSES, SETTLING)
    assert runoff.flow.sum() == 0.0
    assert carried.solids.sum() == 0.0


def test_first_flush_comes_first():
    """Half of the load in the first third of the water: 0.517 by (1/3)^0.6."""
    area = replace(LOT, first_flush=0.6)
    runoff = runoff_of(area, rain_series(STORM, SUMMER))
    carried, _ = carried_by(runoff, area, CLASSES, SETTLING)
    volume, load = np.cumsum(runoff.flow), np.cumsum(carried.bod5)
    assert np.interp(volume[-1] / 3.0, volume, load) / load[-1] == pytest.approx((1 / 3) ** 0.6, abs=0.003)


def test_concentrations_given_median_and_mean():
    """NURP 1983 residential: 101 mg/L, 1.39 times that on the mean of storms."""
    assert concentrations_of(replace(LOT, land_use="residential")).suspended_solids == pytest.approx(0.101)
    mean = concentrations_of(replace(LOT, land_use="residential", concentrations="mean"))
    assert mean.suspended_solids == pytest.approx(0.101 * 1.386, rel=1e-3)
    given = concentrations_of(replace(LOT, suspended_solids=0.2, concentrations="mean"))
    assert given.suspended_solids == 0.2
    assert concentrations_of(LOT).ammonium == pytest.approx(0.3e-3, rel=0.02)


def test_buffer_strip_keeps_coarse_classes_and_shows_it():
    strip = BufferStrip(width=5.0, length=120.0, slope=0.03)
    area = replace(LOT, buffer_strip=strip)
    runoff = runoff_of(area, rain_series(STORM, SUMMER))
    bare, _ = carried_by(runoff, LOT, CLASSES, SETTLING)
    carried, kept = carried_by(runoff, area, CLASSES, SETTLING)
    assert np.all(np.diff(kept.solids) > 0.0)
    assert 0.0 <= kept.solids[0] < kept.solids[-1] < 1.0
    assert carried.solids.sum(axis=0) / bare.solids.sum(axis=0) == pytest.approx(1.0 - kept.solids)
    assert kept.of_all_solids == pytest.approx(kept.solids.mean())
    assert np.all(carried.ammonium == bare.ammonium)
    assert 0.5 * bare.bod5.sum() < carried.bod5.sum() < bare.bod5.sum()
    half = replace(area, buffer_strip=replace(strip, runoff_share=0.5))
    _, less = carried_by(runoff, half, CLASSES, SETTLING)
    assert less.of_all_solids < 0.7 * kept.of_all_solids
    dry = RainSeries(0.0, 3600.0, np.zeros(5))
    _, none = carried_by(runoff_of(area, dry), area, CLASSES, SETTLING)
    assert none.of_all_solids == 0.0


def weather(days=3, sunlight=0.0):
    """Humid air of 26 degC over the first days of the period."""
    time = 3600.0 * np.arange(24 * days + 1)
    full = np.ones(time.size)
    return WeatherSeries(
        *(time, 299.15 * full, 3000.0 * full, sunlight * full, 0.5 * full, 2.0 * full, 1e5 * full, 0.0 * full)
    )


def test_runoff_is_rain_warmed_by_paving():
    rain = RainSeries(0.0, 3600.0, np.array([0.0] * 14 + [0.02, 0.01] + [0.0] * 8))
    shade, sun = weather(), weather(sunlight=600.0)
    runoff = runoff_of(LOT, rain)
    wet = runoff.flow > 1e-6
    warm = runoff_temperature(runoff, sun)[wet]
    cool = runoff_temperature(runoff, shade)[wet]
    assert np.all(warm > cool)
    assert np.all((cool > 297.0) & (cool < 299.15))  # between the wet bulb, 24.9 degC, and the air
    lawn = runoff_of(replace(LOT, impervious_share=0.0, curve_number=95.0), rain)
    assert runoff_temperature(lawn, sun) == pytest.approx(runoff_temperature(lawn, shade))
    assert runoff_temperature(lawn, sun)[lawn.flow > 1e-6] == pytest.approx(298.0, abs=0.3)


def test_what_is_shed_arrives():
    """A hydrograph of depths holds them times the area; the centre comes later than the rain."""
    rain = RainSeries(0.0, 600.0, np.array([0.01, 0.02, 0.0, 0.01]))
    runoff = runoff_of(LOT, rain)
    flow = arriving(runoff, rain.depth)
    assert flow.sum() * runoff.step == pytest.approx(0.04 * LOT.area, rel=1e-12)
    assert np.sum(flow * runoff.time) / flow.sum() > np.sum(rain.depth * np.arange(4) * 600.0) / 0.04
