"""Builds the pages as a site: `python -m sphinx -W docs build/docs`. With -W every warning is an error.

The pages are plain Markdown that reads as well on a code host. What only a site needs is added as it is
built: the contents at the side, in the order in which README.md names the pages, and words in place of
links that lead to files outside the site.
"""

import re
from pathlib import Path
from typing import Any

import pondsim

project = "pondsim"
author = "the pondsim authors"
release = version = pondsim.__version__

extensions = ["myst_parser"]
source_suffix = {".md": "markdown"}
root_doc = "README"
exclude_patterns = ["studies"]

myst_heading_anchors = 4  # as code hosts make them, so that one link serves both

html_theme = "alabaster"
html_theme_options = {
    "page_width": "70em",
    "description": "what waterfalls, pumps and aerators change in a pond",
}
html_show_sourcelink = False

HERE = Path(__file__).parent
LINK = re.compile(r"(?<!!)\[([^\]]*)\]\(([^)#\s]+)\)")


def _within(found: re.Match[str]) -> str:
    """A link as it is, or its words alone where it leads to something that is there but not on the site."""
    target = HERE / found[2]
    outside = target.exists() and (target.is_dir() or not target.resolve().is_relative_to(HERE))
    return found[1] if outside else found[0]


def _for_the_site(_app: Any, page: str, text: list[str]) -> None:
    text[0] = LINK.sub(_within, text[0])
    if page == root_doc:
        named = dict.fromkeys(re.findall(r"\]\(([\w-]+)\.md\)", text[0]))
        text[0] += "\n```{toctree}\n:hidden:\n\n" + "\n".join(named) + "\n```\n"


def setup(app: Any) -> None:
    """Called when the site is built."""
    app.connect("source-read", _for_the_site)
