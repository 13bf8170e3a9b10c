"""Defaults: every row reads, lies in its range, and reaches the settings through the same reader."""

from __future__ import annotations

import dataclasses

import pytest

from pondsim.scenario import settings
from pondsim.scenario.defaults import default_parameters, parameter_value
from pondsim.scenario.keys import keys_of
from pondsim.words import MARKS


def sections(cls):
    for key in keys_of(cls).values():
        if key.section is not None:
            yield key.section
            yield from sections(key.section)


def test_every_row_is_in_order():
    for name, row in default_parameters().items():
        assert row.least <= row.low <= row.value <= row.high <= row.most, name
        assert row.low < row.high, name
        assert row.about and row.source and row.mark in MARKS, name


@pytest.mark.parametrize(
    ("name", "si_unit", "expected"),
    [
        ("bed.oxygen_demand", "kg/m2/s", 2e-3 / 86400),
        ("bed.organic_decay", "1/s", 0.005 / 86400),
        ("bed.half_saturation", "kg/m3", 0.7e-3),
        ("bed.heat_conductivity", "W/m/K", 1.0),
        ("gas_transfer.k600_at_no_wind", "m/s", 2.07e-2 / 3600),
        ("algae.photosynthesis", "1/s", 6 / 3600),
        ("algae.light_saturation", "mol/m2/s", 180e-6),
        ("aeration.transfer_efficiency_fine", "1/m", 0.04),
        ("aeration.line_loss", "Pa", 6894.757293168),
        ("light.albedo", "1", 0.07),
    ],
)
def test_units_follow_from_the_text(name, si_unit, expected):
    """Expected: the values of defaults.toml by definition of their units."""
    row = default_parameters()[name]
    assert row.si_unit == si_unit
    assert parameter_value(name) == row.value == pytest.approx(expected, rel=1e-12)


def test_sections_can_be_built_from_defaults_alone():
    assert settings.Bed().oxygen_demand_theta == 1.065
    assert settings.Algae().chlorophyll == (pytest.approx(50e-6),) * 12
    assert settings.Ground().temperature == pytest.approx(285.15)
    assert settings.Pump(flow=0.03).hours == ((0.0, 86400.0),)
    assert settings.Pump(flow=0.03).season == ((1, 1, 12, 31),)
    assert settings.Weather().file is None


def test_every_default_lies_in_its_own_range():
    """Each default goes through the reader, which checks the range."""
    for cls in {settings.Scenario, *sections(settings.Scenario)}:
        for field in dataclasses.fields(cls):
            if field.default_factory is not dataclasses.MISSING:
                field.default_factory()


def test_every_parameter_of_the_settings_stands_in_the_defaults():
    named = {
        key.parameter for cls in sections(settings.Scenario) for key in keys_of(cls).values() if key.parameter
    }
    unused = set(default_parameters()) - named
    by_kind = {f"aeration.transfer_efficiency_{kind}" for kind in ("fine", "tubing", "coarse")}
    for source in ("blower", "compressor"):
        by_kind |= {f"aeration.open_flow_{source}", f"aeration.max_pressure_{source}"}
    assert unused == by_kind


def test_every_key_is_described():
    for cls in sections(settings.Scenario):
        assert all(key.doc for key in keys_of(cls).values()), cls
