"""Figures as pictures of the page: SVG in both units, a caption, and readings for the pointer."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from pondsim.figures.style import colour, for_a_page, svg_text
from pondsim.reporting.blocks import Both, Paragraph, Picture, alike, note
from pondsim.reporting.readings import readings

if TYPE_CHECKING:
    import xarray as xr

PATH = re.compile(r'(?<= d=")[^"]+')
BEYOND_TENTH = re.compile(r"(?<=\d\.\d)\d+")  # of a point: these digits of a path are seen on no screen


def picture(
    name: str,
    draw: Callable[[str], Any],
    caption: str | Both,
    titles: tuple[str, ...],
    *,
    alike_units: bool = False,
    pointer: bool = False,
    key: bool = False,
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
    key : whether its lines or bars are those of the designs, which a key above it names
    """
    svgs: dict[str, str] = {}
    found: dict[str, tuple[str, str]] = {}
    read: dict[str, Any] = {}
    first: Any = None
    for system in ("us",) if alike_units else ("us", "si"):
        with for_a_page():
            figure = draw(system)
        found[system] = _words_of(figure)
        if first is None:
            first = figure
        else:
            _place_like(figure, first)
        svgs[system] = PATH.sub(_shorter, svg_text(figure, f"{name}-{system}", found[system][0]))
        if pointer:
            read[system] = readings(figure, titles)
    shown = alike(caption) if isinstance(caption, str) else caption
    finding_both, how_both = (Both(found["us"][part], found.get("si", found["us"])[part]) for part in (0, 1))
    svg = Both(svgs["us"], svgs.get("si", svgs["us"]))
    return Picture(name, svg, finding_both, shown, how_both, read, _key(titles) if key else ())


def _key(titles: tuple[str, ...]) -> tuple[tuple[str, str], ...]:
    """Colour and title of each design; nothing for one alone."""
    if len(titles) == 1:
        return ()
    return tuple((colour(number), title) for number, title in enumerate(titles))


def _words_of(figure: Any) -> tuple[str, str]:
    """Finding and small print of a figure, taken out of it: the page writes them in letters of its own."""
    texts = (figure.get_suptitle(), figure.get_supxlabel())
    for text in figure.texts:
        if text.get_text() in texts:
            text.set_text("")
            text.set_in_layout(False)
    finding, how = (" ".join(text.split()) for text in texts)
    return finding, how


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
    return BEYOND_TENTH.sub("", path[0]).replace("\n", "")


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
