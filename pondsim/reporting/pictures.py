"""Figures as pictures of the page: SVG in both units, a caption, and readings for the pointer."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from pondsim.figures.style import svg_text
from pondsim.reporting.blocks import Both, Paragraph, Picture, alike, note
from pondsim.reporting.readings import readings

if TYPE_CHECKING:
    import xarray as xr

PATH = re.compile(r'(?<= d=")[^"]+')
TENTH = re.compile(r"(\d+\.\d)\d+")  # of a point: more digits of a path are seen on no screen


def picture(
    name: str,
    draw: Callable[[str], Any],
    caption: str | Both,
    titles: tuple[str, ...],
    *,
    alike_units: bool = False,
    pointer: bool = False,
) -> Picture:
    """Draw a figure for the page.

    Parameters
    ----------
    name : name in the page
    draw : makes the figure (of matplotlib) in the units of a system
    caption : what it shows and how it is read
    titles : names of the designs
    alike_units : whether it is the same in both systems
    pointer : whether values are shown under the pointer
    """
    svgs: dict[str, str] = {}
    read: dict[str, Any] = {}
    first: Any = None
    for system in ("us",) if alike_units else ("us", "si"):
        figure = draw(system)
        if first is None:
            first = figure
        else:
            _place_like(figure, first)
        svgs[system] = PATH.sub(_shorter, svg_text(figure, prefix=f"{name}-{system}"))
        if pointer:
            read[system] = readings(figure, titles)
    shown = alike(caption) if isinstance(caption, str) else caption
    return Picture(name, Both(svgs["us"], svgs.get("si", svgs["us"])), shown, read)


def _place_like(figure: Any, drawn: Any) -> None:
    """Give a figure the places of one that was drawn and differs in units only: to find them takes long.

    Where words take more or fewer lines in the other units it finds its own.
    """
    if [text.get_text().count("\n") for text in figure.texts] != [
        text.get_text().count("\n") for text in drawn.texts
    ]:
        return
    figure.set_layout_engine("none")
    for own, model in zip(figure.axes, drawn.axes, strict=True):
        own.set_position(model.get_position())
    for own, model in zip(figure.texts, drawn.texts, strict=True):
        own.set_position(model.get_position())


def _shorter(path: re.Match[str]) -> str:
    """A path without the digits that nobody sees and without its line ends."""
    return TENTH.sub(r"\1", path[0]).replace("\n", "")


def missing(datasets: list[xr.Dataset], *names: str) -> Paragraph | None:
    """A word on what cannot be shown because results lack a variable; None where all have all."""
    lacking = {
        str(dataset.attrs.get("title", "untitled")): absent
        for dataset in datasets
        if (absent := [name for name in names if name not in dataset])
    }
    if not lacking:
        return None
    said = "; ".join(f'"{title}": {", ".join(absent)}' for title, absent in lacking.items())
    return note(f"Not shown: results lack what is needed ({said}). Run the design again with this version.")
