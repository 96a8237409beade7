"""The templates of pages, with what comes from files escaped."""

from __future__ import annotations

from functools import cache

import jinja2

__all__ = ["environment", "environment_of"]


def environment_of(package: str) -> jinja2.Environment:
    """Return the templates of a package of ours, its folder ``templates``."""
    made = jinja2.Environment(
        loader=jinja2.PackageLoader(package, "templates"),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.filters["capitalize_first"] = lambda words: words[:1].upper() + words[1:]
    return made


@cache
def environment() -> jinja2.Environment:
    """Return the templates of the reports."""
    return environment_of("loftwright.report")
