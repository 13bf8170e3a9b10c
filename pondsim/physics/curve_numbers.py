"""Curve numbers of land covers by hydrologic soil group, average conditions."""

from __future__ import annotations

from pondsim.physics.runoff import PAVED_CURVE_NUMBER

SOIL_GROUPS = ("A", "B", "C", "D")

# From memory, not verified in text, but for numbers quoted in worked examples.
CURVE_NUMBERS: dict[str, tuple[float, float, float, float]] = {
    "good lawn": (39.0, 61.0, 74.0, 80.0),  # grass on more than 75 %
    "fair lawn": (49.0, 69.0, 79.0, 84.0),  # on 50 to 75 %
    "poor lawn": (68.0, 79.0, 86.0, 89.0),  # on less
    "meadow": (30.0, 58.0, 71.0, 78.0),
    "brush": (30.0, 48.0, 65.0, 73.0),
    "woods": (30.0, 55.0, 70.0, 77.0),
    "thin woods": (45.0, 66.0, 77.0, 83.0),  # grazed or burned, no litter
    "row crops": (67.0, 78.0, 85.0, 89.0),
    "bare ground": (77.0, 86.0, 91.0, 94.0),  # newly graded
    "dirt road": (72.0, 82.0, 87.0, 89.0),
    "gravel": (76.0, 85.0, 89.0, 91.0),
    "paving": (PAVED_CURVE_NUMBER,) * 4,  # that does not drain straight into the sewer
}


def curve_number_of(cover: str, soil_group: str) -> float:
    """Curve number of a cover on a soil group.

    Parameters
    ----------
    cover : str
        A key of `CURVE_NUMBERS`.
    soil_group : str
        A (sand) to D (clay).

    Returns
    -------
    float
        Curve number. [1]

    Notes
    -----
    Raises: KeyError for an unknown cover, ValueError for an unknown group. Source: tr55 (table 2-2); from
    memory, not verified.
    """
    return CURVE_NUMBERS[cover][SOIL_GROUPS.index(soil_group)]
