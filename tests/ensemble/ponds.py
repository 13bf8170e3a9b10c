"""A small pond with two designs, and a study made of numbers in place of runs."""

from __future__ import annotations

import json
from dataclasses import asdict

import numpy as np
import xarray as xr

from pondsim.ensemble.sampling import Unknown, shares_of, values_of
from pondsim.measures.declared import declarations
from pondsim.scenario.read import read_scenario
from pondsim.scenario.values import with_values
from tests.scenarios_for_tests import living_site, minimal_design, write_design

AS_IT_IS = 'site = "site.toml"\ntitle = "as it is"\n'


def short_site(more="", days=3, layers=8):
    """The small site whose algae grow, over a few days, with more sections behind it."""
    site = living_site().replace('end = "2025-07-11"', f'end = "2025-07-{1 + days:02d}"')
    return site.replace("[[zone]]", f"layers = {layers}\n\n[[zone]]", 1) + more


def two_designs(folder, more="", **options):
    """Scenarios of the existing pond and of a waterfall with night air."""
    site = short_site(more, **options)
    design = read_scenario(write_design(folder, minimal_design(), site))
    (folder / "existing.toml").write_text(AS_IT_IS, encoding="utf-8")
    return [read_scenario(folder / "existing.toml"), design]


def changed(scenario, **values):
    """The scenario with other values; double underscores stand for dots."""
    return with_values(scenario, {key.replace("__", "."): value for key, value in values.items()})


def made_study(difference, existing=None, unknowns=None, weights=None, days=40, seed=1, year=None, rng=None):
    """A study of one zone whose mean dawn oxygen differs by the given numbers, a member each."""
    rng = rng or np.random.default_rng(seed)
    difference = np.asarray(difference, dtype=float)
    count = len(difference)
    unknowns = unknowns or [Unknown("u0"), Unknown("u1")]
    members = 2 ** int(np.ceil(np.log2(count)))
    shares = shares_of(unknowns, members, seed)[:count]
    old = np.full(count, 3.0) if existing is None else np.asarray(existing, dtype=float)
    day = rng.normal(0.0, 0.5, (count, days))
    dawn = np.stack([old[:, None] + day, old[:, None] + difference[:, None] + day])[..., None]
    keys = {"dawn_mean_top.cove": dawn.mean(axis=2)[..., 0], "dawn_lowest_top.cove": dawn.min(axis=2)[..., 0]}
    measures = {}
    for key in keys:
        one = asdict(declarations()[key.partition(".")[0]].template) | {"key": key, "label": "cove"}
        one["limit"] = 3.0 if key.startswith("dawn_lowest") else None
        measures[key] = {name: None if isinstance(v, float) and np.isnan(v) else v for name, v in one.items()}
    return xr.Dataset(
        {
            "measure": (("design", "member", "key"), np.stack(list(keys.values()), axis=-1)),
            "oxygen_dawn_top": (("design", "member", "day", "zone"), dawn),
            "failure": (("design", "member"), np.full((2, count), "")),
            "draw": (("member", "unknown"), values_of(unknowns, shares)),
            "draw_share": (("member", "unknown"), shares),
            "weather": ("member", np.zeros(count, int) if year is None else np.asarray(year)),
            "weight": ("member", np.full(count, 1.0 / count) if weights is None else weights),
            "title": ("design", ["as it is", "air"]),
        },
        {
            "key": list(keys),
            "zone": ["cove"],
            "day": np.datetime64("2025-07-01", "ns") + np.arange(days) * np.timedelta64(1, "D"),
        },
        {
            "measures": json.dumps(measures),
            "unknowns": json.dumps([asdict(one) for one in unknowns]),
            "weather_years": json.dumps(["as stated"] if year is None else ["one", "other"]),
            "start": "2025-07-01 00:00",
            "end": "2025-08-10 00:00",
            "weighted": int(weights is not None),
        },
    )
