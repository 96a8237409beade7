"""Headers that every answer carries."""

from __future__ import annotations

from starlette.datastructures import MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

__all__ = ["POLICY", "SecurityHeaders"]

# Drawings set widths of bars by style attributes; no style sheet and no script stands in a page.
POLICY = (
    "default-src 'self'; script-src 'self'; style-src 'self'; style-src-attr 'unsafe-inline'; "
    "img-src 'self' data: blob:; connect-src 'self'; form-action {}; base-uri 'none'; "
    "frame-ancestors 'none'; object-src 'none'"
)
HEADERS = {
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
}


class SecurityHeaders:
    """Adds the headers; pages are never kept by the browser."""

    def __init__(self, app: ASGIApp, form_action: str = "'self'") -> None:
        self.app = app
        self.headers = {**HEADERS, "content-security-policy": POLICY.format(form_action)}

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on, and add the headers to its answer."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return

        async def with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in self.headers.items():
                    headers.setdefault(name, value)
                headers.setdefault("cache-control", "no-store")
            await send(message)

        await self.app(scope, receive, with_headers)
