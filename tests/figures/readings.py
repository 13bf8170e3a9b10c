"""What stands in a figure, for tests: headline, words, bars; and warm up ponds to draw."""

from __future__ import annotations

import numpy as np
import pandas as pd

from tests.results.ponds import small_pond

LB = 0.45359237  # kg, exact by definition
FT = 0.3048  # m, exact by definition


def finding(figure):
    """The headline in one line."""
    return " ".join(figure.get_suptitle().split())


def note(figure):
    """The small line at the foot."""
    return " ".join(figure.get_supxlabel().split())


def texts(axes):
    """Words drawn in a panel."""
    return [text.get_text() for text in axes.texts]


def widths(axes):
    """Lengths of lying bars, in the order drawn."""
    return [bar.get_width() for bar in axes.patches]


def heights(axes):
    """Lengths of standing bars, in the order drawn."""
    return [bar.get_height() for bar in axes.patches]


def dawns_by_day(low_days, *, days=40, title="loop", low=1.5, pumped=0.02):
    """Oxygen of 8 mg/L, at noon 1, at 5 o'clock `low` on the days named and else 4; in the arm 1 more.

    Sunrise there on 1 June is at about 4:33 by the sun's clock (from memory, not verified), so
    that 5 o'clock lies within dawn and noon far from it.
    """
    times = pd.date_range("2025-06-01", periods=24 * days + 1, freq="h")
    oxygen = np.full(len(times), 8.0)
    oxygen[times.hour == 12] = 1.0
    day = (times - times[0]).days
    oxygen[(times.hour == 5)] = 4.0
    oxygen[(times.hour == 5) & np.isin(day, list(low_days))] = low
    by_zone = np.stack([oxygen, oxygen + 1.0], axis=1)[:, :, None]
    return small_pond(by_zone, days=days, title=title, pumped=pumped)
