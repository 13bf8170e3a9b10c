"""Measures as data: declared once, a dataset that other dimensions can be joined to, read back by key."""

import numpy as np
import pytest

from pondsim.comparison.entries import entries
from pondsim.measures import declarations, joined, measures_of, single
from pondsim.measures.declared import Measure, attributes_of, measure_of
from pondsim.units import convert
from tests.results.ponds import small_pond


def test_every_declaration_has_units_that_convert_and_words():
    for declared in declarations().values():
        measure = declared.template
        assert measure.section and (measure.label or declared.by), declared.name
        for unit in (measure.us, measure.si):
            assert np.isfinite(convert(1.0, measure.unit, unit)), declared.name
        assert measure.tie >= 0.0 and 0.0 <= measure.tie_share < 1.0
        assert not measure.harm or (measure.good and measure.tie > 0.0), declared.name


def test_measures_are_a_dataset_by_zone_and_the_like():
    measures = measures_of(small_pond(pumped=0.02))
    assert measures["dawn_lowest_top"].dims == ("zone",)
    assert measures["oxygen_budget_by_oxygen_pathway"].sel(oxygen_pathway="bed_demand") == -10.0
    assert float(measures["solids_captured"]) == pytest.approx(0.75)
    assert measures["hours_below_3_top"].attrs["unit"] == "h"
    assert float(measures["minimum_1_day_top"].attrs["limit"]) == 3.0


def test_members_are_joined_along_a_dimension_of_their_own():
    """What one run lacks is what a run without it has: no renewal, no electricity of a system."""
    still, pumped = small_pond(), small_pond(pumped=0.02)
    pumped = pumped.assign_coords(system=["pump"]).assign(
        power_by_unit=(("time", "system"), pumped["power"].values[:, None])
    )
    members = joined([measures_of(pond) for pond in (still, pumped, pumped)], "member")
    assert members["dawn_lowest_top"].dims == ("member", "zone")
    assert list(members["electricity_by_system"].sel(system="pump").values) == [0.0, 960.0, 960.0]
    assert np.isnan(members["nominal_turnover"].values[0])
    assert members["renewed_share"].values[0] == 0.0
    spread = members["days_since_waterfall"].max("member")  # reduced as any dataset
    assert float(spread) == pytest.approx((1000 * 2 + 500 * 6) / 1500)


def test_a_measure_is_read_back_from_its_attributes():
    for measure, _ in single(measures_of(small_pond())):
        again = measure_of(attributes_of(measure))
        assert attributes_of(again) == pytest.approx(attributes_of(measure), nan_ok=True) or again == measure


def test_keys_of_targets_are_those_of_the_dataset():
    pond = small_pond(pumped=0.02)
    found = entries(pond)
    assert found["days_since_waterfall.arm"].value == pytest.approx(6.0)
    assert found["oxygen_budget.bed_demand"].label == "sediment oxygen demand"
    assert found["replaced_share"].label == "replaced within 3 d"
    assert found["nominal_turnover"].good == -1
    assert isinstance(found["cost"] if "cost" in found else found["electricity"], Measure)
    assert len(found) == len(list(single(measures_of(pond))))
