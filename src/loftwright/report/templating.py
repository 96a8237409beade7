"""The templates of pages, with what comes from files escaped."""

from __future__ import annotations

import re
from functools import cache

import jinja2

__all__ = ["capitalize_first", "environment", "environment_of"]


def environment_of(package: str) -> jinja2.Environment:
    """Return the templates of a package of ours, its folder ``templates``."""
    made = jinja2.Environment(
        loader=jinja2.PackageLoader(package, "templates"),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.filters["capitalize_first"] = capitalize_first
    return made


FILE = re.compile(r"[\w/-]+\.(toml|csv|json|db|txt|md)\b")  # names of ours, and of most logs


def capitalize_first(words: str) -> str:
    """Return words as a sentence begins; the name of a file stays as it is."""
    return words if FILE.match(words) else words[:1].upper() + words[1:]


@cache
def environment() -> jinja2.Environment:
    """Return the templates of the reports."""
    return environment_of("loftwright.report")
