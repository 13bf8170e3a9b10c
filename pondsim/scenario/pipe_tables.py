"""The one door to fluids: diameters of pipe one can buy, and Crane's friction factor for fittings.

The library is imported when the first size is looked up: reading a scenario without pipes does without it.
Pipe that it does not hold stands in pipes.toml.
"""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path
from typing import Any

INCH = 0.0254  # m
MILLIMETRE = 1e-3  # m

OWN: dict[str, dict[str, Any]] = tomllib.loads(
    (Path(__file__).parents[1] / "data" / "pipes.toml").read_text(encoding="utf-8")
)

# Name in a scenario: name of the table in the library, and the standard it follows.
_IN_LIBRARY: dict[str, tuple[str, str]] = {
    "pvc_40": ("40D1785", "PVC schedule 40, ASTM D1785"),
    "pvc_80": ("80D1785", "PVC schedule 80, ASTM D1785"),
    "pvc_sdr21": ("DR21D2241", "PVC pressure pipe SDR 21, ASTM D2241"),
    "pvc_sdr26": ("DR26D2241", "PVC pressure pipe SDR 26, ASTM D2241"),
    "pvc_sdr32.5": ("DR325D2241", "PVC pressure pipe SDR 32.5, ASTM D2241"),
    "pvc_sdr41": ("DR41D2241", "PVC pressure pipe SDR 41, ASTM D2241"),
    "pvc_pip_sdr32.5": ("DR325D2241PIP", "PVC irrigation pipe SDR 32.5, ASTM D2241"),
    "pvc_pip_sdr41": ("DR41D2241PIP", "PVC irrigation pipe SDR 41, ASTM D2241"),
    "pvc_pip_sdr51": ("DR51D2241PIP", "PVC irrigation pipe SDR 51, ASTM D2241"),
    "pvc_c900_dr14": ("DR14C900", "PVC water main DR 14, AWWA C900"),
    "pvc_c900_dr18": ("DR18C900", "PVC water main DR 18, AWWA C900"),
    "pvc_c900_dr25": ("DR25C900", "PVC water main DR 25, AWWA C900"),
    "pvc_c905_dr18": ("CIDR18C905", "PVC water main DR 18, AWWA C905"),
    "pvc_c905_dr25": ("CIDR25C905", "PVC water main DR 25, AWWA C905"),
    "pvc_c905_dr41": ("CIDR41C905", "PVC water main DR 41, AWWA C905"),
    "pvc_f679_ps46": ("PS46F679", "PVC gravity sewer pipe of stiffness 46, ASTM F679"),
    "pvc_f679_ps115": ("PS115F679", "PVC gravity sewer pipe of stiffness 115, ASTM F679"),
    "pvc_dwv": ("PVCD2665", "PVC drain pipe, ASTM D2665"),
    "hdpe_sdr11": ("DR11F2619IPS", "polyethylene pipe SDR 11, ASTM F2619, iron pipe sizes"),
    "hdpe_sdr17": ("DR17F2619IPS", "polyethylene pipe SDR 17, ASTM F2619, iron pipe sizes"),
    "hdpe_sdr21": ("DR21F2619IPS", "polyethylene pipe SDR 21, ASTM F2619, iron pipe sizes"),
    "hdpe_sdr26": ("DR26F2619IPS", "polyethylene pipe SDR 26, ASTM F2619, iron pipe sizes"),
    "hdpe_sdr32.5": ("DR325F2619IPS", "polyethylene pipe SDR 32.5, ASTM F2619, iron pipe sizes"),
    "steel_40": ("40", "steel schedule 40, ASME B36.10"),
    "steel_80": ("80", "steel schedule 80, ASME B36.10"),
    "stainless_10": ("10S", "stainless steel schedule 10S, ASME B36.19"),
    "stainless_40": ("40S", "stainless steel schedule 40S, ASME B36.19"),
}


KINDS = _IN_LIBRARY | {kind: ("", str(row["about"])) for kind, row in OWN.items()}
NOT_FOR_PRESSURE = {"pvc_f679_ps46", "pvc_f679_ps115", "pvc_dwv"} | {
    kind for kind, row in OWN.items() if not row["pressure"]
}


@cache
def _sizes(kind: str) -> dict[float, tuple[float, float]]:
    """Inside and outside diameter by nominal size [in], [m]."""
    if kind in OWN:
        row = OWN[kind]
        rows = zip(row["nominal"], row["outside"], row["wall"], strict=True)
        return {float(size): (INCH * (outside - 2.0 * wall), INCH * outside) for size, outside, wall in rows}
    import fluids.piping as tables  # noqa: PLC0415  (a fifth of a second, only for those who name a pipe)

    sizes, inside, outside, *_ = tables.schedule_lookup[KINDS[kind][0]]
    return {
        float(size): (MILLIMETRE * float(bore), MILLIMETRE * float(over))
        for size, bore, over in zip(sizes, inside, outside, strict=True)
    }


@cache
def inside_diameters(kind: str) -> dict[float, float]:
    """Inside diameters of a kind of pipe by nominal size.

    Parameters
    ----------
    kind : str
        One of `KINDS`.

    Returns
    -------
    dict
        Nominal size [in] to inside diameter [m], as the standard's outside diameter less two walls.

    Notes
    -----
    Walls of plastic pipe are the least the standard allows: pipe as made is a little narrower. Steel is kept
    in millimetres by the library: within 0.1 mm of the inch tables. Raises: KeyError for an unknown kind.
    """
    return {size: bore for size, (bore, _) in _sizes(kind).items()}


def outside_diameter(kind: str, nominal: float) -> float:
    """Outside diameter of a pipe [m] of a nominal size [m]; KeyError when it is not in the table."""
    return _sizes(kind)[nearest_inches(nominal)][1]


def manning_of(kind: str | None) -> float | None:
    """Manning's n that the makers of a kind give for it [1]; None where they give none."""
    found = OWN.get(kind or "", {}).get("manning")
    return None if found is None else float(found)


def inside_diameter(kind: str, nominal: float) -> float:
    """Inside diameter of a pipe [m] of a nominal size [m]; KeyError when it is not in the table."""
    return inside_diameters(kind)[nearest_inches(nominal)]


def nearest_inches(nominal: float) -> float:
    """A nominal size [m] in inches, to a thousandth, as the tables count it."""
    return round(nominal / INCH, 3)


def crane_friction(diameter: float) -> float:
    """Friction factor fT that losses of fittings are counted in, fully turbulent in clean steel [1]."""
    import fluids.fittings as losses  # noqa: PLC0415

    found: Any = losses.ft_Crane(diameter)
    return float(found)
