"""Faults between keys of rain and drainage areas."""

from dataclasses import replace
from datetime import datetime
from pathlib import Path

import pytest

from pondsim.scenario import check_runoff as check
from pondsim.scenario.convert import convert
from pondsim.scenario.keys import keys_of
from pondsim.scenario.settings import (
    ChannelFlow,
    DesignStorm,
    Drainage,
    LandCover,
    Rain,
    SyntheticRain,
)
from pondsim.scenario.unreadable import UnreadableError

LOT = Drainage(
    name="lot", zone="pool", area=1e4, impervious_share=0.5, curve_number=70.0, time_of_concentration=900.0
)
COVERED = replace(LOT, curve_number=None, soil_group="B", cover=(LandCover("meadow", 1.0),))
PATH = (ChannelFlow(100.0, 0.01, 0.03, 0.2),)
STORM = DesignStorm(start=datetime(2025, 6, 1), depth=0.05)
OWN = replace(STORM, distribution="own", curve_time=(0.0, 3600.0), curve_share=(0.0, 1.0))
RAINS = SyntheticRain(total=(0.1,) * 12, storms=(8.0,) * 12)


def faults(found):
    return " | ".join(f"{key} {message}" for key, message in found)


def test_sound_sections_have_no_fault():
    assert not faults(check.drainage([LOT, replace(COVERED, name="other")]))
    assert not faults(check.drainage([replace(LOT, time_of_concentration=None, channel_flow=PATH)]))
    assert not faults(check.drainage([replace(LOT, curve_number=None, impervious_share=1.0)]))
    for rain in (
        Rain(design_storm=STORM),
        Rain(design_storm=OWN),
        Rain(synthetic=RAINS),
        Rain(file=Path("a")),
    ):
        assert not faults(check.rain(rain))


@pytest.mark.parametrize(
    ("area", "said"),
    [
        (replace(COVERED, curve_number=70.0), "drainage.lot.curve_number stands beside"),
        (replace(LOT, curve_number=None), "curve_number is missing"),
        (replace(COVERED, soil_group=None), "soil_group is missing"),
        (replace(COVERED, cover=()), "cover is missing"),
        (
            replace(COVERED, cover=(LandCover("meadow", 0.6), LandCover("woods", 0.3))),
            "cover adds up to 90 %",
        ),
        (replace(LOT, channel_flow=PATH), "time_of_concentration stands beside a flow path"),
        (replace(LOT, time_of_concentration=None), "time_of_concentration is missing"),
    ],
)
def test_faults_of_a_drainage_area(area, said):
    assert said in faults(check.drainage([area]))


@pytest.mark.parametrize(
    ("rain", "said"),
    [
        (Rain(), "rain has no source"),
        (Rain(design_storm=STORM, synthetic=RAINS), "rain.synthetic stands beside rain.design_storm"),
        (
            Rain(design_storm=replace(OWN, curve_share=(0.0, 0.9))),
            "goes from 0 to 0.9; it must go from 0 to 1",
        ),
        (Rain(design_storm=replace(OWN, curve_share=(0.0,))), "has 1 value for 2 times"),
        (Rain(design_storm=replace(OWN, curve_time=(60.0, 3600.0))), "must begin at 0 and rise"),
        (
            Rain(design_storm=replace(OWN, curve_time=(0.0, 1.0, 2.0), curve_share=(0.0, 1.1, 1.0))),
            "curve_share falls",
        ),
        (Rain(design_storm=replace(OWN, distribution="type II")), "has its curve"),
        (Rain(synthetic=replace(RAINS, storms=(0.0,) * 12)), "has 0 storms in month 1"),
        (Rain(synthetic=replace(RAINS, storms=(60.0,) * 12)), "find no room in month 1"),
    ],
)
def test_faults_of_rain(rain, said):
    assert said in faults(check.rain(rain))


@pytest.mark.parametrize(
    ("section", "name", "raw"),
    [
        (Drainage, "curve_number", 25),
        (Drainage, "curve_number", 101),
        (Drainage, "impervious_share", "120 %"),
        (Drainage, "land_use", "industrial"),
        (Drainage, "soil_group", "E"),
        (LandCover, "cover", "lawn"),
        (DesignStorm, "depth", "-1 in"),
    ],
)
def test_values_out_of_range_are_refused(section, name, raw):
    with pytest.raises(UnreadableError):
        convert(raw, keys_of(section)[name])
