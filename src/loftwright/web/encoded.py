"""Answers as bytes, whatever signs stand in them.

A folder's name may have bytes that are no text, and JSON may have half of a sign in it: Python
keeps both as surrogates, which UTF-8 has not. They are shown escaped.
"""

from __future__ import annotations

import json
from typing import Any

from starlette.responses import HTMLResponse, JSONResponse

__all__ = ["PlainJSON", "page"]


def page(text: str, status: int = 200) -> HTMLResponse:
    """Return a page."""
    return HTMLResponse(text.encode("utf-8", "backslashreplace"), status)


class PlainJSON(JSONResponse):
    """A short JSON answer, in ASCII."""

    def render(self, content: Any) -> bytes:
        """Return it as bytes."""
        return json.dumps(content, allow_nan=False, separators=(",", ":")).encode("ascii")
