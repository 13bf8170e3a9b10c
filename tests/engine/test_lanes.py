"""Rows taken several numbers at once, against the same by NumPy."""

from __future__ import annotations

import numpy as np
import pytest

from pondsim.jit.compiled import compiled_for_loop
from pondsim.jit.lanes import LANES, add_row, gather, lined_up, move_rows, spread, whole_lanes

BEHIND = 3 * LANES  # numbers behind an array that must stay as they are


@compiled_for_loop
def _spread(held, factor, by_row, by_column):
    spread(held, factor, by_row, by_column)


@compiled_for_loop
def _gather(held, by_row, by_column):
    gather(held, by_row, by_column)


@compiled_for_loop
def _move(target, a, b, forth, back, source):
    move_rows(target, a, b, forth, back, source)


@compiled_for_loop
def _add(target, row, factor, source, from_row):
    add_row(target, row, factor, source, from_row)


def drawn(*shape):
    return np.random.default_rng(20260811).normal(size=shape)


def followed(rows, columns):
    """An array and what lies behind it in memory."""
    whole = drawn(rows * columns + BEHIND)
    return whole, whole[: rows * columns].reshape(rows, columns)


@pytest.mark.parametrize(("rows", "columns"), [(1, 1), (2, 3), (15, 25), (8, 8), (19, 49), (24, 111)])
def test_rows_are_turned_with_any_number_left_over(rows, columns):
    wide, high = int(whole_lanes(columns)) + LANES, int(whole_lanes(rows))
    whole, held = followed(rows, columns)
    factor, behind = drawn(wide), whole[rows * columns :].copy()
    by_row, by_column = np.zeros((high, wide)), np.zeros((wide, high))
    _spread(held, factor, by_row, by_column)
    expected = held * factor[:columns]
    np.testing.assert_array_equal(by_row[:rows, :columns], expected)
    np.testing.assert_array_equal(by_column[:columns, :rows], expected.T)
    by_row, by_column = drawn(high, wide), drawn(wide, high)
    expected = by_row[:rows, :columns] + by_column[:columns, :rows].T
    _gather(held, by_row, by_column)
    np.testing.assert_array_equal(held, expected)
    np.testing.assert_array_equal(whole[rows * columns :], behind)
    assert not by_row[:rows, :columns].any()
    assert not by_column[:columns, :rows].any()


def test_rows_are_added_and_moved():
    target, source = drawn(5, 24), drawn(4, 24)
    expected = target.copy()
    expected[3] += 0.3 * source[1]
    _add(target, 3, 0.3, source, 1)
    np.testing.assert_allclose(target, expected, rtol=1e-15)
    moved = 2.0 * source[0] - 0.5 * source[2]
    expected[0] -= moved
    expected[2] += moved
    _move(target, 0, 2, 2.0, 0.5, source)
    np.testing.assert_allclose(target, expected, rtol=0.0, atol=1e-14)


@pytest.mark.parametrize("size", [1, 7, 8, 1000])
def test_numbers_begin_on_a_cache_line(size):
    one = lined_up(size)
    assert one.size == size
    assert one.ctypes.data % 64 == 0
    assert not one.any()
