"""Weights and draws in a file, as `pondsim calibrate` writes them; promise, size and report take them."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict, replace
from pathlib import Path
from typing import Any

import numpy as np
import xarray as xr

from pondsim import __version__
from pondsim.ensemble.calibrate import Calibration, oxygen_margin
from pondsim.ensemble.sampling import Unknown, shares_of
from pondsim.ensemble.study import Draws, draws_from
from pondsim.ensemble.study_file import unknowns_in
from pondsim.ensemble.unknowns import unknowns_of
from pondsim.ensemble.weather_years import weather_years
from pondsim.errors import ScenarioError
from pondsim.records import to_json
from pondsim.results import check_writable
from pondsim.results.raw import read_raw, to_bytes
from pondsim.results.write import write_whole
from pondsim.scenario.settings import Scenario

FORMAT = "pondsim weights 1"
SPENT = 1e-3  # share of the whole weight that members of least weight may hold together and not be run


def save_weights(found: Calibration, scenario: Scenario, path: Path, said: Mapping[str, Any]) -> None:
    """Write weights, draws and what must be said with them, in words; ScenarioError where it cannot be."""
    draws = found.draws
    assert draws.weights is not None
    dataset = xr.Dataset(
        {
            "weight": ("member", draws.weights, {"units": "1"}),
            "draw": (("member", "unknown"), draws.values, {"units": "SI"}),
            "draw_share": (("member", "unknown"), draws.shares, {"units": "1"}),
        },
        {"unknown": [one.name for one in draws.unknowns]},
        {
            "format": FORMAT,
            "pondsim_version": __version__,
            "title": scenario.title,
            "zones": json.dumps([zone.name for zone in scenario.zone]),
            "seed": draws.seed,
            "unknowns": json.dumps([asdict(one) for one in draws.unknowns]),
            "effective_number": found.weighing.effective,
            "oxygen_margin_mg_per_L": oxygen_margin(found.weighing),
            "warnings": to_json(found.warnings),
            "said": json.dumps(said),
        },
    )
    check_writable(path)
    write_whole(path, to_bytes(dataset))


def load_weights(path: Path) -> xr.Dataset:
    """Read a file of weights; ScenarioError for another file."""
    try:
        found = read_raw(path)
    except (OSError, ValueError) as error:
        raise ScenarioError(f"{path}: cannot be read as a file of weights ({error})") from None
    if found.attrs.get("format") != FORMAT:
        raise ScenarioError(
            f"{path}: holds no weights of this version; write it with pondsim calibrate ... -o"
        )
    return found


def weighted_draws(scenarios: Sequence[Scenario], path: Path, seed: int = 1) -> Draws:
    """Draws of a calibration for designs of the same pond, with what the readings knew nothing of drawn anew.

    Parameters
    ----------
    scenarios : sequence of Scenario
        The existing pond first.
    path : Path
        From `save_weights`.
    seed : int
        Of the unknowns that come in with the designs, the weather among them.

    Raises
    ------
    ScenarioError
        The file holds no weights, or those of another pond, or an unknown of it has another range now.
    """
    found = load_weights(path)
    read, zones = json.loads(str(found.attrs["zones"])), [zone.name for zone in scenarios[0].zone]
    if read != zones:
        raise ScenarioError(
            f"{path}: its readings are of a pond with the zones {', '.join(read)}, and this one has "
            f"{', '.join(zones)}; calibrate with readings of this pond"
        )
    kept = {one.name: one for one in unknowns_in(found)}
    years = weather_years(scenarios[0])
    now = unknowns_of(scenarios, years)
    for one in now:
        before = kept.get(one.name)
        if before is not None and _range(before) != _range(one):
            raise ScenarioError(
                f"{path}: {one.name} was drawn from another range when the weights were made; calibrate again"
            )
    weights = _without_least(found["weight"].values.astype(float))
    columns = {name: found["draw_share"].values[:, place] for place, name in enumerate(kept)}
    new = [one for one in now if one.name not in kept]
    fresh = shares_of(new, len(weights), seed)
    rng = np.random.default_rng(seed)
    for place, one in enumerate(new):  # dealt out anew: two sequences side by side would go together
        columns[one.name] = rng.permutation(fresh[:, place])
    shares = np.stack([columns[one.name] for one in now], axis=1)
    margin = float(found.attrs["oxygen_margin_mg_per_L"])
    return replace(draws_from(now, shares, years, seed), weights=weights, margin=margin)


def _range(one: Unknown) -> tuple[Any, ...]:
    return one.shape, one.options, float(f"{one.low:.6g}"), float(f"{one.high:.6g}")


def _without_least(weights: np.ndarray) -> np.ndarray:
    """Weights with those that matter least at 0, so that their members are not run."""
    order = np.argsort(weights)
    spent = np.cumsum(weights[order]) <= SPENT * weights.sum()
    kept = weights.copy()
    kept[order[spent]] = 0.0
    return np.asarray(kept / kept.sum())
