"""Files that pages are made with, under an address that changes when any of them does.

So a browser may keep them, and scripts find each other by their plain names.
"""

from __future__ import annotations

import hashlib
from functools import cache
from pathlib import Path

from markupsafe import Markup
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

__all__ = ["ROUTES", "VENDORED", "static_url", "vendored"]

FOLDER = Path(__file__).parent / "static"
KINDS = {
    ".js": "text/javascript",
    ".css": "text/css",
    ".svg": "image/svg+xml",
    ".txt": "text/plain",
}

# Scripts that others wrote, with the digest of what was taken in; a page refuses any other.
VENDORED = {
    "vendor/htmx-4.0.1.min.js": "sha384-"
    "Qp9rdC8H7EqOoX+nR0P3RPG2Noji+qdwJlGpfzwQJsfOpp3sGwIdSP9xO3+UlEhn",
}


def static_url(name: str) -> str:
    """Return the address of a static file."""
    return f"/static/{_edition()}/{name}"


def vendored(name: str) -> Markup:
    """Return the script element of a vendored script, with its integrity."""
    tag = '<script src="{}" integrity="{}" defer></script>'
    return Markup(tag).format(static_url(name), VENDORED[name])


@cache
def _content(name: str) -> bytes:
    if name == "report.css":
        from loftwright.web.report_style import report_style

        return report_style().encode()
    return (FOLDER / name).read_bytes()


@cache
def _edition() -> str:
    """Return a digest of all static files."""
    whole = hashlib.sha256()
    for name in sorted(_names()):
        whole.update(name.encode() + b"\0" + hashlib.sha256(_content(name)).digest())
    return whole.hexdigest()[:12]


@cache
def _names() -> frozenset[str]:
    files = (path for path in FOLDER.rglob("*") if path.suffix in KINDS)
    return frozenset({"report.css", *(path.relative_to(FOLDER).as_posix() for path in files)})


def _static(request: Request) -> Response:
    name = request.path_params["name"]
    if name not in _names():
        raise HTTPException(404)
    kept = request.path_params["edition"] == _edition()
    headers = {"cache-control": "max-age=31536000, immutable" if kept else "no-cache"}
    return Response(_content(name), 200, headers, KINDS[Path(name).suffix])


ROUTES = [Route("/static/{edition}/{name:path}", _static)]
