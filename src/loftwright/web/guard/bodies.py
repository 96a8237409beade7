"""The body of a request: bounded in size and time, and the token found in it.

Forms and JSON are read whole before a page sees them: they are small, and a slow sender holds up
nobody but itself. Files are handed on as they come.
"""

from __future__ import annotations

import asyncio
import time
from collections.abc import Awaitable, Callable, Mapping, MutableMapping
from typing import Any

from loftwright.web.guard.refusals import RefusedError
from loftwright.web.guard.rules import TOKEN_HEADER, Bounds
from loftwright.web.guard.shape import check_json_depth
from loftwright.web.guard.token import FIRST_PART, first_part_token, form_token

__all__ = ["Body", "Receive", "read_away"]

Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]

FORM, FILES, JSON = (
    "application/x-www-form-urlencoded",
    "multipart/form-data",
    "application/json",
)


AWAY, AWAY_FOR = 256 * 1024, 1.0  # bytes and s of a refused body that are waited for


async def read_away(receive: Receive, headers: Mapping[str, str]) -> None:
    """Take in what is still to come of a refused request, within reason, and forget it.

    A browser whose request is cut off while it sends shows that the connection broke, and not
    the words that say why.
    """
    if headers.get("content-length", "0") == "0" and "transfer-encoding" not in headers:
        return
    taken, more = 0, True
    until = time.monotonic() + AWAY_FOR
    while more and taken < AWAY and (left := until - time.monotonic()) > 0:
        try:
            message = await asyncio.wait_for(receive(), left)
        except TimeoutError:
            return
        taken += len(message.get("body", b""))
        more = message["type"] == "http.request" and message.get("more_body", False)


class Body:
    """The body of one request that may change something.

    ``said_token`` is the one in it. `receive` is what the application reads it by; once
    ``refusal`` is set, the application is told that the sender has gone.
    """

    def __init__(self, headers: Mapping[str, str], path: str, bounds: Bounds, raw: Receive) -> None:
        self.bounds, self._raw = bounds, raw
        self._type = headers.get("content-type", "")
        self.kind = self._type.partition(";")[0].strip().lower()
        self.is_streamed = self.kind == FILES and path.endswith("/files")
        self._in_header = TOKEN_HEADER in headers
        self._limit = self._largest()
        announced = headers.get("content-length", "0")
        if not (announced.isascii() and announced.isdecimal() and len(announced) <= 15):
            raise RefusedError(400, "guard-body", "the length of the request is no number", _AGAIN)
        if int(announced) > self._limit:
            raise self._too_large()
        self.said_token = ""
        self.refusal: RefusedError | None = None
        self.has_gone = False
        self.is_whole = False  # nothing more comes of it
        self._ahead: list[Message] = []
        self._taken = 0
        self._began = time.monotonic()

    def _largest(self) -> int:
        if self.is_streamed:
            return self.bounds.files
        return self.bounds.json if self.kind == JSON else self.bounds.form

    def _too_large(self) -> RefusedError:
        size = self._limit
        shown = f"{size // 2**20} MiB" if size >= 2**20 else f"{size // 1024} KiB"
        message = f"the request has more than {shown}, which is the most that is taken here"
        mend = "send files on the pages that ask for them, several in several steps"
        return RefusedError(413, "guard-body", message, mend)

    async def read_ahead(self) -> None:
        """Read what must be known first: all of a form or JSON, the first part of files.

        Raises `RefusedError` for what is too large, too slow, or of a kind that no page sends.
        """
        content = bytearray()
        more = True
        while more and not self._is_enough(content):
            message = await self._next()
            content += message.get("body", b"")
            more = message["type"] == "http.request" and message.get("more_body", False)
            self._ahead.append(message)
        if not self.is_streamed:
            self._ahead[:] = [self._whole(content)]
        if self.kind == JSON:
            check_json_depth(bytes(content), self.bounds.depth)
        elif self.kind == FORM:
            if content.count(b"&") > self.bounds.fields:
                many = f"a form has at most {self.bounds.fields} fields"
                raise RefusedError(413, "guard-body", many, "send less at once")
            self.said_token = form_token(bytes(content))
        elif self.kind == FILES:
            self.said_token = first_part_token(bytes(content), self._type) or ""
        elif content:
            raise _of_no_kind(self._type)

    def _whole(self, content: bytearray) -> Message:
        if self.has_gone:
            return {"type": "http.disconnect"}
        return {"type": "http.request", "body": bytes(content), "more_body": False}

    def _is_enough(self, content: bytearray) -> bool:
        """Tell whether a streamed body can be judged: no more is taken in before that."""
        if not self.is_streamed:
            return False
        return (
            self._in_header or first_part_token(bytes(content[:FIRST_PART]), self._type) is not None
        )

    async def receive(self) -> Message:
        """Return the next message for the application."""
        if self._ahead:
            return self._ahead.pop(0)
        if self.has_gone or self.refusal is not None:
            return {"type": "http.disconnect"}
        if not self.is_streamed:  # all of it was here: what may still come is that it has gone
            message = await self._raw()
            self.has_gone = message["type"] == "http.disconnect"
            return message
        try:
            return await self._next()
        except RefusedError as refusal:
            self.refusal = refusal
            return {"type": "http.disconnect"}

    async def _next(self) -> Message:
        try:
            message = await asyncio.wait_for(self._raw(), self._patience())
        except TimeoutError as error:
            raise _slow() from error
        if message["type"] == "http.disconnect":
            self.has_gone = True
            return message
        self.is_whole = not message.get("more_body", False)
        self._taken += len(message.get("body", b""))
        if self._taken > self._limit:
            raise self._too_large()
        spent = time.monotonic() - self._began
        too_slow = self._taken < self.bounds.slowest * (spent - self.bounds.idle)
        if self.is_streamed and too_slow and message.get("more_body", False):
            raise _slow()
        return message

    def _patience(self) -> float:
        if self.is_streamed:
            return self.bounds.idle
        return max(0.01, self._began + self.bounds.whole - time.monotonic())


_AGAIN = "load the page again, and do it once more there"


def _slow() -> RefusedError:
    message = "the request came too slowly to be waited for"
    mend = "send it again, nearer to the laptop or by cable"
    return RefusedError(408, "guard-slow", message, mend, headers=[("connection", "close")])


def _of_no_kind(said: str) -> RefusedError:
    message = "the request is neither a form, nor files, nor JSON"
    mend = "say what it is in the header Content-Type"
    return RefusedError(
        415, "guard-body", message, mend, field="Content-Type", value=said[:80] or "none"
    )
