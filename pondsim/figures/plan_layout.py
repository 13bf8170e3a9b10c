"""Where zones and signs stand on the sketch of the plan: circles kept apart, signs where there is room."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Any

import numpy as np

Array = np.ndarray[Any, Any]
GAP = 0.5  # of the mean radius, between circles
ROUNDS = 400
DIRECTIONS = 48
FURTHER = (0.0, 1.6, 3.2, 4.8)  # letters by which words may stand further out where it is crowded


def apart(centres: Array, radii: Array) -> Array:
    """Centres moved as little as keeps the circles from touching.

    Parameters
    ----------
    centres : (n, 2) array
        Where the zones are; those that fall together are first laid on a small ring.
    radii : (n,) array
        Of the circles, in the same unit.

    Returns
    -------
    (n, 2) array
        Moved centres; their mean is kept.
    """
    count = len(radii)
    moved = np.array(centres, dtype=float)
    turn = 2.0 * np.pi * np.arange(count) / max(count, 1)
    moved += 1e-3 * radii.mean() * np.column_stack([np.cos(turn), np.sin(turn)])
    wanted = radii[:, None] + radii[None, :] + GAP * radii.mean()
    for _ in range(ROUNDS):
        between = moved[:, None, :] - moved[None, :, :]
        distance = np.hypot(between[..., 0], between[..., 1]) + np.eye(count)
        lacking = np.maximum(wanted - distance, 0.0) * (1.0 - np.eye(count))
        if lacking.max(initial=0.0) < 1e-3 * radii.mean():
            break
        push = 0.5 * lacking[..., None] * between / distance[..., None]
        moved += 0.6 * push.sum(axis=1)
    return np.asarray(moved + (np.mean(centres, axis=0) - moved.mean(axis=0)))


@dataclass
class Room:
    """What is taken on the sketch.

    Attributes
    ----------
    centres, radii : the circles
    letter : size of a line of words, in the unit of the plan
    links : pairs of zones joined by a passage
    boxes : words already placed: left, bottom, right, top
    """

    centres: Array
    radii: Array
    letter: float
    links: list[tuple[int, int]]
    boxes: list[tuple[float, float, float, float]] = field(default_factory=list)

    def best_place(self, zone: int, letters: int, lines: int, reach: float) -> tuple[float, float]:
        """Where words outside a zone meet least: an angle, and letters from its rim, at least `reach`.

        The place is taken.
        """
        wide, high = 0.66 * self.letter * letters, 1.35 * self.letter * lines
        best, lowest = (0.0, reach), math.inf
        for more in FURTHER:
            for angle in 2.0 * np.pi * np.arange(DIRECTIONS) / DIRECTIONS:
                place = float(angle), reach + more
                cost = self._cost(self.box(zone, *place, wide, high), zone, place[0])
                cost += 1.2 * self.letter * more
                if cost < lowest:
                    best, lowest = place, cost
            if lowest <= 0.0:  # it meets nothing
                break
        self.boxes.append(self.box(zone, *best, wide, high))
        return best

    def box(
        self, zone: int, angle: float, letters: float, wide: float, high: float
    ) -> tuple[float, float, float, float]:
        """Words so many letters outside the rim: left, bottom, right, top."""
        reach = self.radii[zone] + letters * self.letter
        x = self.centres[zone, 0] + reach * math.cos(angle)
        y = self.centres[zone, 1] + reach * math.sin(angle)
        left = x if math.cos(angle) > 0.25 else x - wide if math.cos(angle) < -0.25 else x - 0.5 * wide
        return left, y - 0.5 * high, left + wide, y + 0.5 * high

    def _cost(self, box: tuple[float, float, float, float], zone: int, angle: float) -> float:
        """How much words at `box` cover, in units of the plan; passages and the outer side count too."""
        left, bottom, right, top = box
        cost = 0.0
        for (x, y), radius in zip(self.centres.tolist(), self.radii.tolist(), strict=True):
            away = math.hypot(min(max(x, left), right) - x, min(max(y, bottom), top) - y)
            cost += 4.0 * max(0.0, radius + 0.8 * self.letter - away)
        for other in self.boxes:
            across = min(right, other[2]) - max(left, other[0]) + self.letter
            down = min(top, other[3]) - max(bottom, other[1]) + 0.8 * self.letter
            cost += 12.0 * max(0.0, min(across, down)) if across > 0.0 and down > 0.0 else 0.0
        for a, b in self.links:
            if zone in (a, b):
                toward = self.centres[b if zone == a else a] - self.centres[zone]
                turn = angle - math.atan2(toward[1], toward[0])
                cost += 8.0 * self.letter * max(0.0, math.cos(turn) - 0.7)
        outward = self.centres[zone] - self.centres.mean(axis=0)
        return cost - 0.5 * self.letter * float(np.dot(outward, (math.cos(angle), math.sin(angle)))) / (
            float(np.hypot(*outward)) + self.letter
        )
