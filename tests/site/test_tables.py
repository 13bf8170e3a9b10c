"""Reading equipment tables, against numpy's own interpolation."""

from __future__ import annotations

import numpy as np
import pytest

from pondsim.site.tables import on_line


@pytest.mark.parametrize("rows", [1, 2, 3, 7, 40])
def test_straight_lines_between_rows_and_the_last_value_beyond(rows):
    generator = np.random.default_rng(rows)
    places = np.cumsum(generator.uniform(0.01, 1.0, rows))
    values = generator.uniform(-1.0, 1.0, rows)
    for place in [*generator.uniform(places[0] - 1.0, places[-1] + 1.0, 50), *places]:
        assert on_line(places, values, place) == pytest.approx(np.interp(place, places, values), abs=1e-12)


def test_a_constant_table_gives_its_constant_exactly():
    places, values = np.array([0.0, 30.0]), np.full(2, 0.0328)
    assert all(on_line(places, values, place) == 0.0328 for place in np.linspace(-3.0, 33.0, 1000))
