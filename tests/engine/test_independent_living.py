"""Grown algae, phosphorus and bed of the engine against a column written apart, over a storm and a night."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from pondsim.scenario.settings import Algae, Bed, OrganicMatter
from tests.engine import independent_living_column as theirs
from tests.engine.ponds import LEVEL
from tests.engine.test_independent_column import DEPTH, LAYERS, both_of, storm_and_night

# Output, row of the column, its unit there; what 95 % of layers and hours and what all stay within; the rest
# is at the edge of the mixed layer and, of oxygen, in the upper layers of a still afternoon.
HELD = (
    ("dissolved_oxygen", theirs.O2, 1e3, 0.12, 0.8),
    ("chlorophyll", theirs.CHLOROPHYLL, 1e6, 3.0, 12.0),
    ("dissolved_phosphorus", theirs.P, 1e6, 1.5, 4.0),
    ("detritus", theirs.DEAD, 1e3, 0.05, 0.1),
    ("detritus_phosphorus", theirs.DEAD_P, 1e6, 0.2, 0.4),
    ("carbonaceous_bod", theirs.BOD, 1e3, 0.01, 0.05),
    ("reduced_substances", theirs.DEBT, 1e3, 0.04, 0.08),
)

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def both(tmp_path_factory: pytest.TempPathFactory) -> Any:
    """A green pond of 60 ug/L of chlorophyll and of phosphorus; its bed begins with the usual stores."""
    pond = storm_and_night(
        tmp_path_factory.mktemp("weather"),
        algae=Algae(),
        organic_matter=OrganicMatter(),
        bed=Bed(ammonium_release=0.0, passes=0),
    )
    start = replace(pond.start, chlorophyll=60e-6, dissolved_phosphorus=60e-6)
    return both_of(replace(pond, start=start), theirs.LivingColumn)


@pytest.mark.parametrize(("name", "row", "factor", "most", "all_of_them"), HELD)
def test_the_living_pond(
    both: Any, name: str, row: int, factor: float, most: float, all_of_them: float
) -> None:
    """By layer and hour, after the first: at its start the column has chlorophyll of 1/40 of the carbon."""
    results, column, profiles = both
    ours = results[name].values[1:, 0, :]
    means = factor * column.means(profiles[1:, row], np.linspace(LEVEL - DEPTH, LEVEL, LAYERS + 1))
    apart = np.abs(ours - means)
    assert np.ptp(means) > 10.0 * most
    assert np.quantile(apart, 0.95) < most
    assert apart.max() < all_of_them


def test_the_pool_as_a_whole(both: Any) -> None:
    """At every hour within 2 % of the column in oxygen and phosphorus, within 4 % in chlorophyll."""
    results, column, profiles = both
    volume = results["box_volume"].values[1:, 0, :]
    for (name, row, factor, _, _), within in zip(HELD[:3], (0.02, 0.04, 0.02), strict=True):
        ours = (results[name].values[1:, 0, :] * volume).sum(axis=1) / volume.sum(axis=1)
        means = factor * column.means(profiles[1:, row], np.array([LEVEL - DEPTH, LEVEL]))[:, 0]
        assert ours == pytest.approx(means, rel=within), name
