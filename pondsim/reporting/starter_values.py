"""Whether a site file is still the invented starter pond of `pondsim new`, and which of its parts are."""

from __future__ import annotations

import tomllib
from importlib.resources import files
from typing import TYPE_CHECKING, Any

from pondsim.comparison.names import listed
from pondsim.reporting.study import files_of

if TYPE_CHECKING:
    import xarray as xr

PARTS = {  # sections of a site file that make a pond somebody's own: in words
    "pond": "levels",
    "zone": "zones and depths",
    "drainage": "drainage areas",
    "weather": "weather",
}


def starter_notice(dataset: xr.Dataset) -> tuple[str, ...]:
    """A sentence where the pond of these results is still that of the starter; nothing where it is not.

    The zones decide: once their areas and depths are the user's own, the pond is his. What else is left of
    the starter then is named as well, because it is as invented as the rest was. A pond that was not begun
    from the starter shares none of its sections and is left alone.
    """
    site = _site(dataset)
    if site is None:
        return ()
    starter = tomllib.loads(
        files("pondsim").joinpath("starter", "site.toml").read_text(encoding="utf-8"),
    )
    same = [words for section, words in PARTS.items() if site.get(section) == starter.get(section)]
    if site.get("zone") == starter.get("zone"):
        return ("This is the invented starter pond: no number here is of a real pond.",)
    return (f"Still invented, as in the starter file: {listed(same)}.",) if same else ()


def _site(dataset: xr.Dataset) -> dict[str, Any] | None:
    """The site file as kept with the results; None where it cannot be read."""
    kept = files_of(dataset)
    try:
        return tomllib.loads(kept[0][1]) if kept else None
    except tomllib.TOMLDecodeError:
        return None
