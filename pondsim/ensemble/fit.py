"""Least squares with priors: where a few unknowns agree best with readings, and how far around it.

Each unknown is a normal score of the chance that its value is lower, so that its range is a prior of
deviation 1
about its median; all others stand at their medians. Gauss-Newton steps within bounds by SciPy.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.optimize import least_squares
from scipy.stats import norm

from pondsim.ensemble.calibrate import AtReadings, Calibration
from pondsim.ensemble.facts import Read, split
from pondsim.ensemble.unknowns import drawn
from pondsim.errors import RunError, ScenarioError
from pondsim.scenario.settings import Scenario

Array = np.ndarray[Any, Any]

STEP = 0.1  # of a score, for derivatives
EDGE = 2.5  # scores beyond which nothing is tried
MOST_STEPS = 8
DEVIATIONS = 1.645  # of a normal that hold 90 %


@dataclass(frozen=True)
class Fit:
    """Where a fit came to stand, in normal scores.

    Attributes
    ----------
    score, spread : best place, and standard deviation about it by the slopes there
    at_bound : whether it was pressed against the edge of what is tried
    """

    score: Array
    spread: Array
    at_bound: Array

    @property
    def shares(self) -> tuple[Array, Array]:
        """5 and 95 % as shares of the ranges."""
        ends = (self.score - DEVIATIONS * self.spread, self.score + DEVIATIONS * self.spread)
        return norm.cdf(ends[0]), norm.cdf(ends[1])


@dataclass(frozen=True)
class Fitted:
    """One unknown after a fit: 5 to 95 % of its value (SI), spread over its range's, whether at a bound."""

    name: str
    low: float
    high: float
    narrowed: float
    at_bound: bool


def fit(residuals: Callable[[Array], Array], count: int) -> Fit:
    """Least squares of residuals, each over its standard error, with a standard normal prior on every score.

    Parameters
    ----------
    residuals : callable
        Of the scores; NaN where nothing is compared.
    count : int
        Number of scores.

    Notes
    -----
    For residuals that are linear this is the exact normal posterior.
    """

    known: dict[bytes, Array] = {}  # a season each

    def whole(score: Array) -> Array:
        at = np.asarray(score, dtype=float).tobytes()
        if at not in known:
            known[at] = np.concatenate([np.nan_to_num(residuals(score)), score])
        return known[at]

    def slopes(score: Array) -> Array:
        # SciPy's own steps are a share of the score, which is 0 at first
        columns = []
        for place in range(count):
            step = STEP if score[place] + STEP <= EDGE else -STEP
            moved = np.array(score, dtype=float)
            moved[place] += step
            columns.append((whole(moved) - whole(score)) / step)
        return np.stack(columns, axis=1)

    found = least_squares(
        whole,
        np.zeros(count),
        jac=slopes,
        bounds=(-EDGE, EDGE),
        x_scale=1.0,
        max_nfev=MOST_STEPS,
        method="trf",
    )
    spread = np.sqrt(np.diag(np.linalg.inv(found.jac.T @ found.jac)))
    return Fit(found.x, spread, np.abs(found.x) > EDGE - 0.1)


def fit_unknowns(
    scenario: Scenario, found: Calibration, names: Sequence[str], held_out: float
) -> tuple[Fitted, ...]:
    """Fit a few unknowns to the readings that weighed members.

    Parameters
    ----------
    scenario : Scenario
        As it was weighed.
    found : Calibration
        Tells the variance of errors and how many facts each series holds.
    names : sequence of str
        Unknowns that are fitted.
    held_out : float
        Share of the days that is not used.

    Raises
    ------
    ScenarioError
        A name that is not drawn, or none of these.
    RunError
        A run of the fit failed.
    """
    unknowns = found.draws.unknowns
    known = [one.name for one in unknowns]
    for name in names:
        if name not in known or unknowns[known.index(name)].shape == "choice":
            raise ScenarioError(f"--fit {name}: is not a drawn number; drawn are {', '.join(known)}")
    places = [known.index(name) for name in names]
    function = AtReadings(scenario, tuple(dict.fromkeys(one.variable for one in found.series)))

    def residuals(score: Array) -> Array:
        shares = np.full(len(unknowns), 0.5)
        shares[places] = norm.cdf(score)
        values = [float(one.value(np.array([share]))[0]) for one, share in zip(unknowns, shares, strict=True)]
        run = function(tuple(sorted(drawn(scenario, unknowns, values).items())))
        if run.attrs["failure"]:
            raise RunError(f"a run of the fit failed: {run.attrs['failure']}")
        return _scaled(run["computed"].values.astype(float), found, held_out)

    result = fit(residuals, len(places))
    low, high = result.shares
    return tuple(
        Fitted(
            name,
            float(unknowns[place].value(np.array([low[k]]))[0]),
            float(unknowns[place].value(np.array([high[k]]))[0]),
            float(result.spread[k]),
            bool(result.at_bound[k]),
        )
        for k, (name, place) in enumerate(zip(names, places, strict=True))
    )


def _scaled(computed: Array, found: Calibration, held_out: float) -> Array:
    """Errors such that their sum of squares is the chi2 of the weights."""
    parts, at = [], 0
    for one in found.series:
        own = computed[at : at + one.times.size]
        at += one.times.size
        if one.name in found.weighing.worth:
            parts.append(_of_series(one, own, found, held_out))
    return np.concatenate(parts)


def _of_series(one: Read, computed: Array, found: Calibration, held_out: float) -> Array:
    used = ~split(one.times, held_out) & np.isfinite(one.read)
    off = (computed - one.read)[used]
    variance = max(found.weighing.miss[one.name] ** 2, one.error**2)
    worth = found.weighing.worth[one.name] * found.weighing.alone.get(one.name, 1.0)
    return np.asarray(off * np.sqrt(worth / max(off.size, 1) / variance))
