"""The one door to fluids: inside diameters of pipe one can buy, and Crane's friction factor for fittings.

The library is imported when the first size is looked up: reading a scenario without pipes does without it.
"""

from __future__ import annotations

from functools import cache
from typing import Any

INCH = 0.0254  # m
MILLIMETRE = 1e-3  # m

# Name in a scenario: name of the table in the library, and the standard it follows.
KINDS: dict[str, tuple[str, str]] = {
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
    import fluids.piping as tables  # noqa: PLC0415  (a fifth of a second, only for those who name a pipe)

    sizes, inside, *_ = tables.schedule_lookup[KINDS[kind][0]]
    return {float(size): MILLIMETRE * float(bore) for size, bore in zip(sizes, inside, strict=True)}


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
