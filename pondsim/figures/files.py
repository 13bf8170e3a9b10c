"""Figures as files and as text for a page; the same figure always gives the same bytes."""

from __future__ import annotations

import hashlib
import io
import re
from collections.abc import Iterator
from contextlib import contextmanager
from html import escape
from pathlib import Path
from typing import TYPE_CHECKING, Any
from warnings import catch_warnings, filterwarnings

from matplotlib import rc_context
from matplotlib.axes import Axes
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.text import Text
from matplotlib.ticker import FixedFormatter

from pondsim.errors import ScenarioError
from pondsim.results import written_beside

if TYPE_CHECKING:
    from matplotlib.figure import Figure

DPI = 150
ENDINGS = (".png", ".svg", ".pdf")
# Text stays text: smaller than outlines, can be searched and read aloud; the page needs no font file.
SETTINGS: Any = {
    "svg.fonttype": "none",
    "svg.hashsalt": "pondsim",
    "font.sans-serif": ["DejaVu Sans", "Verdana", "sans-serif"],
    "text.parse_math": False,  # a price is no formula
    "path.simplify": True,
    "path.simplify_threshold": 0.25,  # pixels
}
NOT_FOR_A_PAGE = ("metadata", "style")  # where the picture comes from; a rule for everything on the page
JOINS = "stroke-linejoin: round; stroke-linecap: butt"  # what that rule says
UNSEEN = re.compile(r"(?<=\.\d\d)\d+")  # digits beyond a hundredth of a point
NO_DATE: dict[str, dict[str, Any]] = {
    ".svg": {"Date": None, "Creator": None},
    ".pdf": {"CreationDate": None},
    ".png": {},
}


def write_figure(figure: Figure, path: Path) -> None:
    """Write a figure whole or not at all; the kind is that of the ending.

    Raises
    ------
    ScenarioError
        Nothing can be written there.
    """
    kind = path.suffix.lower()
    try:
        with written_beside(path) as partial, _settings():
            _as_written(figure)
            figure.savefig(partial, dpi=DPI, format=kind[1:], metadata=NO_DATE.get(kind))
    except OSError as error:
        raise ScenarioError(f"{path}: could not be written ({error.strerror})") from error


@contextmanager
def _settings() -> Iterator[None]:
    """Settings to draw with; a letter that the font lacks, as in a title of another script, is no warning."""
    with rc_context(SETTINGS), catch_warnings():
        filterwarnings("ignore", message="Glyph .* missing from")
        yield


def _as_written(figure: Figure) -> None:
    """Show every text as it is: what stands between two dollar signs is money, not mathematics.

    Ticks that are plain numbers are left alone: to look at each takes as long as drawing them.
    """
    for text in _written(figure):
        text.set_parse_math(False)


def _written(figure: Figure) -> Iterator[Text]:
    """Texts of a figure that somebody wrote."""
    yield from figure.texts
    for axes in _all_axes(figure):
        yield from (child for child in axes.get_children() if isinstance(child, Text))
        for axis in (axes.xaxis, axes.yaxis):
            yield axis.label
            if isinstance(axis.get_major_formatter(), FixedFormatter):
                yield from axis.get_ticklabels()
        if (legend := axes.get_legend()) is not None:
            yield from legend.get_texts()


def _all_axes(figure: Figure) -> list[Axes]:
    """Axes of a figure and those set into them, such as the scale of the plan."""
    found: list[Axes] = []
    for axes in figure.axes:
        found += [axes, *(inner for inner in axes.child_axes if isinstance(inner, Axes))]
    return found


def _rounded(attribute: re.Match[str]) -> str:
    """Coordinates to a hundredth of a point, which no page shows."""
    return UNSEEN.sub("", attribute[0])


def title_of(figure: Figure) -> str:
    """The finding of a figure in one line: its headline, else the title of its first panel."""
    text = figure.get_suptitle() or next((axes.get_title(loc="left") for axes in figure.axes), "")
    return " ".join(text.split())


def svg_text(figure: Figure, prefix: str = "", title: str = "") -> str:
    """A figure as an SVG element to stand in a page among others.

    Parameters
    ----------
    figure : matplotlib.figure.Figure
        The figure.
    prefix : str, optional
        Put before every id, to tell the figures of a page apart; else made from the picture itself.
    title : str, optional
        What is read aloud; else the figure's finding.

    Returns
    -------
    str
        ``<svg ...>...</svg>`` with a ``<title>``, no XML header, nothing to be fetched from elsewhere.
    """
    out = io.StringIO()
    canvas = figure.canvas
    with _settings():
        _as_written(figure)
        # the canvas itself, not savefig: that draws everything once more for nothing
        FigureCanvasSVG(figure).print_svg(out, metadata=NO_DATE[".svg"])
    figure.set_canvas(canvas)
    text = out.getvalue()[out.getvalue().index("<svg") :]
    for part in NOT_FOR_A_PAGE:
        text = re.sub(rf"<{part}[^>]*>.*?</{part}>\s*", "", text, flags=re.DOTALL)
    text = re.sub(r'\b(d|x|y|transform|points)="[^"]*"', _rounded, text)
    prefix = prefix or "f" + hashlib.sha256(text.encode()).hexdigest()[:8]
    text = re.sub(r'\bid="', f'id="{prefix}-', text)
    text = re.sub(r'(href="#|url\(#)', rf"\g<1>{prefix}-", text)
    head, _, rest = text.partition(">")
    head = re.sub(r'\s(version|width|height)="[^"]*"', "", head)
    words = escape(title or title_of(figure))
    label = f'role="img" aria-labelledby="{prefix}-title"'
    return f'{head} style="{JOINS}" {label}>\n<title id="{prefix}-title">{words}</title>{rest.rstrip()}\n'
