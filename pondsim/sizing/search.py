"""The smallest size that meets a target: a coarse look first, then a bracket that is closed by real runs.

Measures need not rise with the size: days failing jump, air may lower the oxygen at dawn. So the whole range
is looked at first; what is closed in on is the lowest place where the answer changes from no to yes.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

SCAN = 5  # sizes looked at first, both ends among them
PRECISION = 0.02  # of the size
FAR = 3.0  # largest over smallest size, above which steps are equal in ratio
PEAK_RUNS = 6  # more runs around the best size when none meets the target
BISECT_EACH = 3  # every third step halves, whatever the slope promises: it closes on jumps too
NOISE = 0.01  # of the span of all margins: smaller falls are the solver's steps, not the pond; judgement
GOLDEN = 0.381966  # share of a golden section, (3 - sqrt(5)) / 2


@dataclass(frozen=True)
class Sample:
    """One size that was run.

    Attributes
    ----------
    size : SI
    margin : by how much it meets the target, below zero where it misses; None where there is no such number
    meets : whether it meets the target
    """

    size: float
    margin: float | None
    meets: bool


@dataclass(frozen=True)
class Answer:
    """What a search found.

    Attributes
    ----------
    kind : "found", "already" (the smallest size looked at meets it) or "never"
    size : the smallest size that was seen to meet the target; None for never
    below : the largest size below it, which misses; None unless found
    largest : where more is too much: the largest size that was seen to meet it, and the smallest above that
        misses; None where all sizes above meet it
    best : of all that were run, the one with the largest margin; None where no run gave a number
    others : further ranges of the sizes looked at that meet it, beyond a gap
    rises : whether the margin never falls from one size to the next, but for noise
    samples : all that were run, by size
    """

    kind: str
    size: float | None
    below: float | None
    largest: tuple[float, float] | None
    best: Sample | None
    others: bool
    rises: bool
    samples: tuple[Sample, ...]


def find_smallest(
    run: Callable[[float], Sample],
    low: float,
    high: float,
    *,
    precision: float = PRECISION,
    scan: int = SCAN,
    whole: bool = False,
    also: tuple[float, ...] = (),
    ahead: Callable[[list[float]], None] | None = None,
) -> Answer:
    """Find the smallest size between two that meets a target.

    Parameters
    ----------
    run : runs one size; never called twice for the same
    low, high : range looked at, low < high [SI]
    precision : width of the last bracket over the size
    scan : sizes looked at first, 2 at least
    whole : whether sizes are whole numbers
    also : further sizes to look at first, where they lie in the range
    ahead : told which sizes are looked at first, before any is run, so that they can be run at once

    Returns
    -------
    Answer
        `size` was run and meets the target, `below` was run and misses it, and they lie within `precision`.

    Notes
    -----
    A window of sizes narrower than the coarse look, in which alone the target is met, can be missed.
    """
    search = _Search(run, low, high, precision, whole)
    looked_at = search.whole_sizes([*search.spaced(scan), *(one for one in also if low <= one <= high)])
    if ahead:
        ahead(looked_at)
    for size in looked_at:
        search.at(size)
    if not any(sample.meets for sample in search.samples()):
        search.climb()
    samples = search.samples()
    first = next((place for place, sample in enumerate(samples) if sample.meets), None)
    if first is None:
        return search.answer("never", None, None, None)
    found = search.close(samples[first - 1], samples[first]) if first else (None, samples[0])
    samples = search.samples()
    start = samples.index(found[1])
    last = start
    while last + 1 < len(samples) and samples[last + 1].meets:
        last += 1
    upper = None
    if last + 1 < len(samples):
        fails, meets = search.close(samples[last + 1], samples[last])
        upper = (meets.size, fails.size)
    below = found[0].size if found[0] else None
    return search.answer("found" if found[0] else "already", found[1].size, below, upper)


class _Search:
    """Runs made so far, and the steps that choose the next."""

    def __init__(
        self, run: Callable[[float], Sample], low: float, high: float, precision: float, whole: bool
    ) -> None:
        self.run, self.low, self.high = run, low, high
        self.precision, self.whole = precision, whole
        self.ratio = low > 0.0 and high / low > FAR
        self.known: dict[float, Sample] = {}

    def whole_sizes(self, sizes: list[float]) -> list[float]:
        """Each size once, as it is run."""
        return list(dict.fromkeys(float(round(size)) if self.whole else size for size in sizes))

    def at(self, size: float) -> Sample:
        (size,) = self.whole_sizes([size])
        if size not in self.known:
            self.known[size] = self.run(size)
        return self.known[size]

    def samples(self) -> list[Sample]:
        return [self.known[size] for size in sorted(self.known)]

    def spaced(self, count: int) -> list[float]:
        return spaced(self.low, self.high, count)

    def close(self, misses: Sample, meets: Sample) -> tuple[Sample, Sample]:
        """Narrow a bracket, whichever end lies lower, until it is as wide as the precision asks."""
        step = 0
        while True:
            wide = abs(meets.size - misses.size)
            width = self.precision * max(abs(meets.size), abs(misses.size))
            if wide <= (1.0 if self.whole else width * (1.0 + 1e-9)):
                return misses, meets
            step += 1
            sample = self.at(self._next(misses, meets, width, step))
            if sample in (misses, meets):
                return misses, meets
            if sample.meets:
                meets = sample
            else:
                misses = sample

    def _next(self, misses: Sample, meets: Sample, width: float, step: int) -> float:
        a, b = misses.size, meets.size
        low, high = min(a, b), max(a, b)
        middle = math.sqrt(low * high) if self.ratio and low > 0.0 else 0.5 * (low + high)
        if self.whole:
            return min(max(float(round(middle)), low + 1.0), high - 1.0)
        if step % BISECT_EACH == 0 or misses.margin is None or meets.margin is None:
            return middle
        fall = meets.margin - misses.margin
        if not fall > 0.0:
            return middle
        root = a + (b - a) * -misses.margin / fall
        # aim a little to the far side of the end that is nearer, so that the next run closes the bracket
        aside = 0.4 * width
        root += aside if abs(root - low) < abs(root - high) else -aside
        return min(max(root, low + 0.25 * width), high - 0.25 * width)

    def climb(self) -> None:
        """A few runs around the best size: a peak between two looked at may still reach the target."""
        for _ in range(PEAK_RUNS):
            samples = self.samples()
            place, best = self._best(samples)
            if best is None or best.meets:
                return
            if place in (0, len(samples) - 1):
                return  # the best is an end of the range: no peak between
            left, right = samples[place - 1].size, samples[place + 1].size
            if right - left <= 2.0 * self.precision * best.size or (self.whole and right - left <= 2.0):
                return
            longer = right if right - best.size > best.size - left else left
            self.at(best.size + GOLDEN * (longer - best.size))

    def _best(self, samples: list[Sample]) -> tuple[int, Sample | None]:
        known = [(s.margin, -place) for place, s in enumerate(samples) if s.margin is not None]
        if not known:
            return 0, None
        place = -max(known)[1]
        return place, samples[place]

    def answer(
        self, kind: str, size: float | None, below: float | None, largest: tuple[float, float] | None
    ) -> Answer:
        samples = self.samples()
        margins = [sample.margin for sample in samples]
        known = [margin for margin in margins if margin is not None]
        slack = NOISE * (max(known) - min(known)) if known else 0.0
        rises = all(one is None or (two is not None and two >= one - slack) for one, two in pairwise(margins))
        others = largest is not None and any(s.meets and s.size > largest[1] for s in samples)
        return Answer(kind, size, below, largest, self._best(samples)[1], others, rises, tuple(samples))


def spaced(low: float, high: float, count: int) -> list[float]:
    """Sizes from one to another, both included: equal in ratio over a wide range, else equal in step."""
    if low > 0.0 and high / low > FAR:
        return [low, *(low * (high / low) ** (n / (count - 1)) for n in range(1, count - 1)), high]
    return [low, *(low + (high - low) * n / (count - 1) for n in range(1, count - 1)), high]
