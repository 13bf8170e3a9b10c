"""The next size one can buy: candidates of a list, run from the smallest up until one meets the target."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from pondsim.scenario.settings import Scenario
from pondsim.sizing.one import Judge, Point
from pondsim.sizing.target import Wish
from pondsim.sizing.trial import try_out

SAME = 1e-6  # a candidate counts as large enough within this share of the size found


@dataclass(frozen=True)
class Candidate:
    """One thing to buy, laid over the design.

    Attributes
    ----------
    name, price : as listed; price None where none is given
    size : of what is sized [SI]; None where it cannot be told from the list
    scenario : the design with it
    """

    name: str
    price: float | None
    size: float | None
    scenario: Scenario


@dataclass(frozen=True)
class Offer:
    """What came of a candidate.

    Attributes
    ----------
    candidate : what it is
    point : its run, or None where it was not run
    fate : "meets", "misses", "failed", "too small" or "not needed" (a smaller one does, for no more money)
    """

    candidate: Candidate
    point: Point | None
    fate: str


def choose(
    candidates: Sequence[Candidate], least: float | None, wish: Wish, *, every: bool = False
) -> tuple[Offer, ...]:
    """Run candidates from the smallest up until one meets the wish; above it only those that cost less.

    Parameters
    ----------
    candidates : what can be bought
    least : the smallest size that meets it [SI]; smaller candidates are not run. None: run all sizes
    wish : what must be reached
    every : run all candidates, also the smaller and those above the first that serves

    Returns
    -------
    tuple of Offer
        By size; candidates whose size cannot be told come last, in the order of the list.
    """
    judge = Judge(wish)
    price: float | None = None  # least of those that meet it so far; infinite where it is not known
    offers: list[Offer] = []
    for candidate in sorted(candidates, key=lambda one: math.inf if one.size is None else one.size):
        small = least is not None and candidate.size is not None and candidate.size < least * (1.0 - SAME)
        own = math.inf if candidate.price is None else candidate.price
        if not every and (small or (price is not None and own >= price)):
            offers.append(Offer(candidate, None, "too small" if small else "not needed"))
            continue
        size = math.nan if candidate.size is None else candidate.size
        point = judge.point(size, try_out(candidate.scenario))
        if point.meets:
            price = own if price is None else min(price, own)
        fate = "failed" if point.trial.failure else "meets" if point.meets else "misses"
        offers.append(Offer(candidate, point, fate))
    return tuple(offers)


def cheapest(offers: Sequence[Offer]) -> Offer | None:
    """Of those that meet the target the one with the least price; None where none does or is priced."""
    priced = [o for o in offers if o.fate == "meets" and o.candidate.price is not None]
    return min(priced, key=lambda offer: offer.candidate.price or 0.0, default=None)
