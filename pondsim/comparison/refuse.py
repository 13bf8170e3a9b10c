"""Runs that cannot be held against each other at all."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from pondsim.errors import ScenarioError
from pondsim.measures import step_hours

if TYPE_CHECKING:
    import xarray as xr

SAME = 1e-6  # places and levels may differ by so much, relative to their size
OF_SITE = (
    ("normal_pool_m", "normal pools"),
    ("latitude_deg", "latitudes"),
    ("longitude_deg", "longitudes"),
)
OF_JUDGING = (
    ("criterion", "judging.criterion"),
    ("own_limits", "judging.limit"),
    ("fish_oxygen_mg_per_L", "judging.fish_oxygen"),
    ("fish_temperature_degC", "judging.fish_temperature"),
    ("renewed_within_d", "judging.renewed_within"),
)


def moment_text(time: np.datetime64) -> str:
    """A moment as people read it."""
    return str(np.datetime_as_string(time, unit="m")).replace("T", " ")


def refuse_unlike(first: xr.Dataset, other: xr.Dataset) -> None:
    """Raise ScenarioError where the difference of two runs would mean nothing."""
    a, b = first["time"].values, other["time"].values
    names = f'"{first.attrs.get("title", "")}" and "{other.attrs.get("title", "")}" cannot be compared: '
    if a[0] != b[0] or a[-1] != b[-1]:
        raise ScenarioError(
            f"{names}the first runs from {moment_text(a[0])} to {moment_text(a[-1])}, the second from "
            f"{moment_text(b[0])} to {moment_text(b[-1])}; give both the same [period]: "
            "in the site file, and not another in a design file"
        )
    if len(a) != len(b):
        raise ScenarioError(
            f"{names}results are kept every {step_hours(a):g} h in the first and every {step_hours(b):g} h "
            "in the second; give both the same period.output_step"
        )
    zones = [[str(zone) for zone in dataset["zone"].values] for dataset in (first, other)]
    if zones[0] != zones[1]:
        raise ScenarioError(
            f"{names}the first has the zones {', '.join(zones[0])}, the second {', '.join(zones[1])}; "
            "both must be designs of one site"
        )
    for key, words in OF_SITE:
        one, two = (float(dataset.attrs.get(key, 0.0)) for dataset in (first, other))
        if abs(one - two) > SAME * max(1.0, abs(one)):
            raise ScenarioError(
                f"{names}their {words} differ ({one:g} and {two:g}); both must be of one site"
            )
    for key, words in OF_JUDGING:
        if first.attrs.get(key) != other.attrs.get(key):
            raise ScenarioError(f"{names}{words} is not the same in both; they must be judged alike")
    money = [str(dataset.attrs["currency"]) for dataset in (first, other) if "currency" in dataset.attrs]
    if len(set(money)) > 1:
        raise ScenarioError(
            f"{names}their tariffs are in {' and in '.join(money)}; give both one tariff.currency"
        )
