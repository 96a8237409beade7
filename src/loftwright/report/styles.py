"""The style sheets of the pages."""

from __future__ import annotations

from collections.abc import Mapping

from markupsafe import Markup

from loftwright.report.templating import environment

__all__ = ["sheet"]


def sheet(name: str, colours: Mapping[str, str]) -> str:
    """Return the style sheet ``name`` with the colours ``light`` and ``dark`` put in."""
    return (
        environment()
        .get_template(name)
        .render({key: Markup(text) for key, text in colours.items()})
    )
