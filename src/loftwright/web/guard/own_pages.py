"""Only our own pages may change anything: the name asked for, the place of the asker, the token."""

from __future__ import annotations

from hmac import compare_digest
from urllib.parse import parse_qs, urlsplit

from starlette.requests import Request
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from loftwright.web.config import Config, is_loopback

__all__ = ["OwnPages"]

SAFE = ("GET", "HEAD")
FORM = "application/x-www-form-urlencoded"
MOST = 4_000_000  # bytes of a form


class OwnPages:
    """Refuses what does not come from a page of this workbench."""

    def __init__(self, app: ASGIApp, config: Config) -> None:
        self.app = app
        self.config = config

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on, or answer why not."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        request = Request(scope, receive)
        said = self._by_headers(request)
        if said is None and request.method not in SAFE:
            said, receive = await self._by_token(request, receive)
        if said is not None:
            await PlainTextResponse(said, 403)(scope, receive, send)
            return
        await self.app(scope, receive, send)

    def _by_headers(self, request: Request) -> str | None:
        host = urlsplit(f"//{request.headers.get('host', '')}").hostname or ""
        if not is_loopback(host):
            return f"this workbench does not answer to the name {host!r}"
        site = request.headers.get("sec-fetch-site", "same-origin")
        if request.method not in SAFE and site not in ("same-origin", "none"):
            return "a page of another site asked for this"
        return None

    async def _by_token(self, request: Request, receive: Receive) -> tuple[str | None, Receive]:
        sent = request.headers.get("x-loftwright-token") or request.query_params.get("token", "")
        if not sent and request.headers.get("content-type", "").startswith(FORM):
            body = await _body(receive)
            if body is None:
                return "this form is too long", receive
            sent = parse_qs(body.decode("latin-1")).get("token", [""])[0]
            receive = _again(body, receive)
        if compare_digest(sent.encode(), self.config.token.encode()):
            return None, receive
        return "this page is of an earlier start of the workbench: load it anew", receive


async def _body(receive: Receive) -> bytes | None:
    parts, size, more = [], 0, True
    while more:
        message = await receive()
        part = message.get("body", b"")
        parts.append(part)
        size += len(part)
        if size > MOST:
            return None
        more = message.get("more_body", False)
    return b"".join(parts)


def _again(body: bytes, receive: Receive) -> Receive:
    """Return a ``receive`` that gives ``body`` once, then what the first has left."""
    left = [body]

    async def replay() -> Message:
        if left:
            return {"type": "http.request", "body": left.pop(), "more_body": False}
        return await receive()

    return replay
