"""The search against functions whose answer is known exactly."""

from __future__ import annotations

import math

import pytest

from pondsim.sizing.search import PRECISION, Sample, find_smallest, spaced


def searched(margin, low, high, **options):
    """The answer for a function of margin; it must not be asked twice for one size."""
    asked = []

    def run(size):
        assert size not in asked
        assert low <= size <= high
        asked.append(size)
        value = margin(size)
        return Sample(size, value, value is not None and value >= 0.0)

    told = []
    answer = find_smallest(run, low, high, ahead=told.append, **options)
    assert told == [asked[: len(told[0])]]  # once, and before any was run
    assert [sample.size for sample in answer.samples] == sorted(asked)
    return answer


@pytest.mark.parametrize(
    ("margin", "low", "high", "exact"),
    [
        (lambda x: x - 37.3, 1.0, 100.0, 37.3),
        (lambda x: 37.3 - 0.5 * x if x < 0 else x - 37.3, 30.0, 40.0, 37.3),
        (lambda x: 1.0 - math.exp(-x) - 0.8, 0.1, 10.0, math.log(5.0)),
        (lambda x: 2.0 - 1.0 / x, 0.01, 10.0, 0.5),
        (lambda x: 1.0 if x >= math.pi else -1.0, 0.1, 10.0, math.pi),
        (lambda x: (x - math.pi) ** 3 if x >= math.pi else -100.0, 0.1, 10.0, math.pi),
        (lambda x: None if x < 5.0 else 2.0, 1.0, 50.0, 5.0),
        (lambda x: x**9 - 2.0**9, 0.1, 10.0, 2.0),
        (lambda x: math.atan(1e4 * (x - 2.0)), 0.1, 10.0, 2.0),
    ],
)
@pytest.mark.parametrize("precision", [PRECISION, 0.001])
def test_the_bracket_holds_the_exact_size(margin, low, high, exact, precision):
    answer = searched(margin, low, high, precision=precision)
    assert answer.kind == "found"
    assert answer.below < exact <= answer.size
    assert answer.size - answer.below <= precision * answer.size * (1 + 1e-9)
    assert answer.largest is None
    assert answer.rises


def test_a_smooth_measure_takes_few_runs():
    """Five to look, then about four; halving alone would take another seven."""
    assert len(searched(lambda x: 1.0 - math.exp(-x) - 0.8, 0.1, 10.0).samples) <= 10


def test_a_jump_takes_no_more_than_halving_with_two_steps_lost_in_three():
    steps = 3 * math.ceil(math.log2(100 ** (1 / 4) / 0.02))
    assert len(searched(lambda x: 1.0 if x >= math.pi else -1.0, 0.1, 10.0).samples) <= 5 + steps


def test_never_tells_the_best_and_where():
    answer = searched(lambda x: x - 200.0, 1.0, 100.0)
    assert (answer.kind, answer.size, answer.below) == ("never", None, None)
    assert answer.best == Sample(100.0, -100.0, False)
    falling = searched(lambda x: -1.0 - x, 1.0, 100.0)
    assert falling.best.size == 1.0
    assert not falling.rises


def test_never_with_no_number_at_all():
    answer = searched(lambda _: None, 1.0, 100.0)
    assert answer.kind == "never"
    assert answer.best is None


def test_a_peak_between_the_first_looks_is_climbed():
    """The target holds from 4.8 to 5.2 only; the first looks are 1, 3.25, 5.5, 7.75 and 10 in equal steps."""
    answer = searched(lambda x: 0.04 - (x - 5.0) ** 2, 4.0, 8.0, precision=0.01)
    assert answer.kind == "found"
    assert answer.below < 4.8 <= answer.size
    assert answer.largest[0] <= 5.2 < answer.largest[1]


def test_a_peak_that_stays_below_is_not_reached():
    answer = searched(lambda x: -0.5 - (math.log(x / 7.0)) ** 2, 1.0, 100.0)
    assert answer.kind == "never"
    assert answer.best.size == pytest.approx(7.0, rel=0.3)
    assert answer.best.margin < -0.5 + 1e-9


def test_more_that_is_worse_names_the_interval():
    answer = searched(lambda x: 10.0 - abs(x - 30.0), 1.0, 100.0)
    assert answer.kind == "found"
    assert answer.below < 20.0 <= answer.size
    most, over = answer.largest
    assert most <= 40.0 < over
    assert over - most <= PRECISION * over * (1 + 1e-9)
    assert not answer.rises
    assert not answer.others


def test_two_windows_find_the_lower_and_say_there_is_more():
    answer = searched(math.sin, 0.1, 9.0, scan=9)
    assert answer.kind == "already"  # sin 0.1 > 0
    assert answer.largest[0] <= math.pi < answer.largest[1]
    assert answer.others


def test_the_smallest_that_already_meets_it():
    answer = searched(lambda x: x, 1.0, 100.0)
    assert (answer.kind, answer.size, answer.below, answer.largest) == ("already", 1.0, None, None)
    assert len(answer.samples) == 5


def test_whole_numbers_are_found_exactly():
    answer = searched(lambda x: x - 16.2, 1.0, 40.0, whole=True)
    assert (answer.below, answer.size) == (16.0, 17.0)
    assert all(sample.size == round(sample.size) for sample in answer.samples)
    few = searched(lambda x: x - 2.5, 1.0, 4.0, whole=True)
    assert (few.below, few.size) == (2.0, 3.0)


def test_further_sizes_are_looked_at_first():
    answer = searched(lambda x: x - 37.3, 1.0, 100.0, also=(52.0, 1000.0))
    assert 52.0 in [sample.size for sample in answer.samples]


def test_steps_are_equal_in_ratio_over_a_wide_range_only():
    assert spaced(1.0, 16.0, 5) == pytest.approx([1, 2, 4, 8, 16])
    assert spaced(2.0, 4.0, 5) == pytest.approx([2, 2.5, 3, 3.5, 4])
    assert spaced(0.0, 4.0, 3) == pytest.approx([0, 2, 4])
