"""The picture of a size against its benefit: no text lies on another."""

from __future__ import annotations

import math

from pondsim.figures.sizing import Curve, benefit_figure


def test_the_label_beside_the_axis_leaves_the_title_alone():
    """The longest label there is stays within the height of the picture, beside the title of two lines."""
    curve = Curve(
        finding="The smallest flow that keeps the lowest dawn oxygen of every zone at 3 mg/L or more is "
        "420 gpm, with the pipe, the well and the drop as they are drawn in the file",
        size_label="flow of the pump",
        unit="gpm",
        measure="lowest oxygen near sunrise, the top of the water, in the worst of forebay, deep pool, "
        "terrace, cove and far arm",
        measure_unit="mg/L",
        sizes=(200.0, 300.0, 420.0),
        values=(1.0, 2.2, 3.1),
        energies=(900.0, math.nan, 2100.0),
        limit=3.0,
        marks={2: "smallest, 420 gpm"},
    )
    figure = benefit_figure(curve)
    figure.canvas.draw()
    label, title = figure.axes[0].yaxis.label.get_window_extent(), figure._suptitle.get_window_extent()
    assert not label.overlaps(title)
    assert label.y0 >= 0.0 and label.y1 <= title.y0 and label.x0 >= 0.0
