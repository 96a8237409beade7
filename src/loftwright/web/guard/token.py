"""The token that every change needs: a page of another site cannot know it.

It stands in a header, or as the first field of a form. A form with files is not read further than
that field before the token is known to be right.
"""

from __future__ import annotations

import hmac
import re
from collections.abc import Mapping
from urllib.parse import unquote_plus

from loftwright.web.guard.refusals import RefusedError
from loftwright.web.guard.rules import TOKEN_FIELD, TOKEN_HEADER

__all__ = ["FIRST_PART", "check_token", "first_part_token", "form_token"]

FIRST_PART = 8 * 1024  # bytes within which the first part of a form with files ends
_BOUNDARY = re.compile(r'boundary=(?:"([^"]{1,70})"|([^\s;,"]{1,70}))')


def form_token(body: bytes) -> str:
    """Return the token in a form that is written like a query; empty where there is none."""
    for pair in body.split(b"&"):
        name, _, value = pair.partition(b"=")
        if name == TOKEN_FIELD.encode():
            return unquote_plus(value.decode("latin-1"))
    return ""


def first_part_token(body: bytes, content_type: str) -> str | None:
    """Return the token in the first part of a form with files; empty where that is another field.

    None where the first part does not end within ``body``, and may with more of it.
    """
    found = _BOUNDARY.search(content_type)
    if found is None:
        return ""
    boundary = b"--" + (found.group(1) or found.group(2)).encode("latin-1")
    begins = re.escape(boundary) + rb"\r\n(?P<head>(?:[^\r\n]+\r\n){1,8})\r\n"
    part = re.match(begins + rb"(?P<value>.*?)\r\n" + re.escape(boundary), body, re.DOTALL)
    if part is None:
        return None if len(body) < FIRST_PART else ""
    named = re.search(
        rb'(?i)^content-disposition: *form-data; *name="?token"? *\r$', part["head"], re.M
    )
    return part["value"].decode("latin-1") if named else ""


def check_token(said: str, headers: Mapping[str, str], token: str) -> None:
    """Raise `RefusedError` unless header or form have the token; compared in constant time."""
    given = headers.get(TOKEN_HEADER, said)
    if hmac.compare_digest(given.encode("utf-8", "replace"), token.encode()):
        return
    raise RefusedError(
        403,
        "guard-token",
        "this page is from before the workbench was started, or from elsewhere; nothing was done",
        "copy what you have typed, load the page again, and do it once more there",
    )
