"""Templates of this package, rendered as HTML that needs nothing else."""

from __future__ import annotations

from importlib.resources import files
from typing import Any

import jinja2
from markupsafe import Markup


def environment() -> jinja2.Environment:
    """Where templates are read: everything put into them is escaped, nothing may be missing."""
    return jinja2.Environment(
        loader=jinja2.PackageLoader("pondsim.reporting", "."),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


def own_file(name: str) -> Markup:
    """A file of this package, trusted."""
    return Markup(files("pondsim.reporting").joinpath(name).read_text(encoding="utf-8"))


def rendered(name: str, **values: Any) -> str:
    """A page of its own: the template and the style of that name."""
    page = environment().get_template(f"{name}.html.j2")
    return page.render(style=own_file("summary.css"), **values)
