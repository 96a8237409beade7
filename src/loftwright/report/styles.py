"""The style sheets of the pages."""

from __future__ import annotations

from collections.abc import Mapping

import jinja2
from markupsafe import Markup

__all__ = ["sheet"]


def sheet(name: str, colours: Mapping[str, str]) -> str:
    """Return the style sheet ``name`` with the colours ``light`` and ``dark`` put in."""
    made = jinja2.Environment(
        loader=jinja2.PackageLoader("loftwright.report", "templates"),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
    )
    return made.get_template(name).render({key: Markup(text) for key, text in colours.items()})
