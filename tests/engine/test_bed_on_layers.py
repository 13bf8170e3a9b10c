"""The bed that passes fill on their own layers, laid on those of the run."""

import numpy as np
import pytest

from pondsim.engine.bed_start import laid_on


def test_stores_laid_on_other_layers_keep_their_mass_and_their_place():
    """A bed of 4 + 2 + 2 m2 laid on boxes of 1, 5 and 2 m2: by hand, area by area; a second zone is apart."""
    stores = np.array([[8.0, 6.0, 1.0, 5.0], [0.0, 0.0, 4.0, 1.0]])
    areas = [np.array([4.0, 2.0, 2.0]), np.array([3.0])]
    onto = [np.array([1.0, 5.0, 2.0]), np.array([1.0, 2.0])]
    laid = laid_on(stores, areas, onto)
    assert laid[0] == pytest.approx([2.0, 12.0, 1.0, 5.0 / 3.0, 10.0 / 3.0])
    assert laid[1] == pytest.approx([0.0, 0.0, 4.0, 1.0 / 3.0, 2.0 / 3.0])
    assert laid_on(laid, onto, onto) == pytest.approx(laid)


def test_a_dry_zone_has_no_bed_to_lay():
    laid = laid_on(np.zeros((1, 2)), [np.zeros(2)], [np.zeros(3)])
    assert laid.tolist() == [[0.0, 0.0, 0.0]]
