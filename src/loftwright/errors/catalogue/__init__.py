"""The catalogue: every code has a page that says what it means, why it matters, how to mend it.

A room adds its codes by adding a file here, with ``ENTRIES`` as a tuple of ``Entry``. A code is
``<family>-<words>``; the families in use are ``quantity``, ``doc``, ``vehicle``, ``payload``,
``site`` and ``file``, and each room may bring its own.
"""

from __future__ import annotations

from functools import cache
from importlib import import_module
from pkgutil import iter_modules

from loftwright.errors.catalogue.entry import Entry

__all__ = ["Entry", "entries", "find", "nearest", "page"]


@cache
def entries() -> dict[str, Entry]:
    """Return every entry by its code, in the order of the files and of their entries."""
    found: dict[str, Entry] = {}
    for module in sorted(each.name for each in iter_modules(__path__)):
        for entry in getattr(import_module(f"{__name__}.{module}"), "ENTRIES", ()):
            if entry.code in found:
                raise ValueError(f"the code {entry.code} is declared twice")
            found[entry.code] = entry
    return found


def find(code: str) -> Entry | None:
    """Return the entry of ``code``, however it is capitalised, or None."""
    return entries().get(code.strip().lower())


def nearest(code: str) -> list[str]:
    """Return known codes that look like ``code``, best first."""
    from difflib import get_close_matches

    return get_close_matches(code.strip().lower(), list(entries()), n=3, cutoff=0.5)


def page(entry: Entry) -> str:
    """Return the page of an entry as Markdown."""
    return (
        f"## {entry.code}\n\n{entry.title.rstrip('.')}.\n\n"
        f"**What it means.** {entry.meaning}\n\n"
        f"**Why it matters.** {entry.why}\n\n"
        f"**How to mend it.** {entry.mend}\n\n"
        f"```toml\n{entry.example}\n```\n"
    )
