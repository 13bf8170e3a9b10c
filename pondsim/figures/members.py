"""Members of a study: the difference of every member by zone and design, its interval, the band of a tie."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from pondsim.figures import style

if TYPE_CHECKING:
    from matplotlib.figure import Figure

Array = np.ndarray[Any, Any]

ROW_IN = 0.30  # height of a row
BAND = "#eef1f2"  # of a tie
CLOUD = 0.16  # half height over which members are spread, of a row


@dataclass(frozen=True)
class MemberRow:
    """One row: differences of members, in the unit shown.

    Attributes
    ----------
    place : zone, or what the measure is
    design : place of the design, 1 or more
    differences : of every member
    low, middle, high : 5 %, median and 95 % of them
    words : what stands at the right end
    """

    place: str
    design: int
    differences: Array
    low: float
    middle: float
    high: float
    words: str


def members_figure(
    rows: Sequence[MemberRow], titles: Sequence[str], finding: str, what: str, unit: str, band: float
) -> Figure:
    """Draw differences of members.

    Parameters
    ----------
    rows : sequence of MemberRow
        Places together, designs within them.
    titles : sequence of str
        Of all designs, the existing pond first.
    finding : str
        Headline.
    what, unit : str
        Measure and unit along the axis.
    band : float
        Difference up to which two designs tie, in the unit shown.
    """
    figure = style.new_figure(1.5 + ROW_IN * len(rows))
    axes = figure.subplots()
    axes.axvspan(-band, band, color=BAND, zorder=0)
    axes.axvline(0.0, color=style.EXISTING, linewidth=1.0)
    for at, row in enumerate(rows):
        spread = at + CLOUD * np.sin(2.4 * np.arange(len(row.differences)))  # even, and the same each time
        colour = style.colour(row.design)
        axes.plot(row.differences, spread, ".", color=colour, markersize=2.5, alpha=0.45, zorder=1)
        axes.plot([row.low, row.high], [at, at], color=colour, linewidth=2.2, zorder=2)
        axes.plot([row.middle], [at], "o", color=colour, markersize=5.5, markeredgecolor="white", zorder=3)
        axes.annotate(
            row.words,
            (1.01, at),
            xycoords=("axes fraction", "data"),
            va="center",
            fontsize=style.SIZE - 1,
            color=style.ink(row.design),
            annotation_clip=False,
        )
    axes.set_yticks(range(len(rows)), [row.place for row in rows])
    axes.set_ylim(len(rows) - 0.4, -0.6)
    style.panel(axes, "", "", grid="x")
    axes.tick_params(axis="y", length=0)
    axes.set_xlabel(
        f"{what}: design less existing, {style.unit_text(unit)}", fontsize=style.SIZE, color=style.INK
    )
    named = "; ".join(f"{chr(65 + k)} {title}" for k, title in enumerate(titles))
    note = (
        f"{named}. A dot is a member, which has one draw and one weather year for all designs; line: "
        "5 to 95 %, disc: median, gray band: a tie. Right: percent of members in which the design is "
        "better beyond a tie, and its 95 % interval."
    )
    style.headline(figure, finding, note)
    return figure
