"""Watches that no page of the docs fetches anything from a network."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from sphinx.errors import ExtensionError

_FETCHED = (
    # Whatever a page loads by itself; a link that a person may follow is none of it.
    re.compile(
        r"<(?:script|img|iframe|audio|video|source|embed)\b[^>]*?\bsrc=[\"']?(?:https?:)?//"
    ),
    re.compile(r"<link\b(?![^>]*rel=[\"']?canonical)[^>]*?\bhref=[\"']?(?:https?:)?//"),
    re.compile(r"@import\s+[\"'(u]*[^;]*?(?:https?:)?//"),
    re.compile(r"url\([\"']?(?:https?:)?//"),
)


def fetches(text: str) -> list[str]:
    """Return each piece of ``text`` (HTML or CSS) that makes a browser ask a network."""
    return [match.group() for pattern in _FETCHED for match in pattern.finditer(text)]


def fetching_files(folder: Path) -> Iterator[str]:
    """Yield ``file: piece`` for whatever in ``folder`` is fetched from a network."""
    for path in sorted(folder.rglob("*")):
        if path.suffix in {".html", ".css"}:
            text = path.read_text(encoding="utf-8", errors="replace")
            yield from (f"{path.relative_to(folder)}: {piece}" for piece in fetches(text))


def check_build(app: Any, exception: Exception | None) -> None:
    """Fail the build when a page would fetch something."""
    found = [] if exception else list(fetching_files(Path(app.outdir)))
    if found:
        raise ExtensionError("these pages need a network:\n" + "\n".join(found))
