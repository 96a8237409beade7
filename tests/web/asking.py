"""Requests to an ASGI application without a server: every byte of them as a test wants it."""

from __future__ import annotations

import asyncio
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any
from urllib.parse import unquote


@dataclass
class Answer:
    """What came back."""

    status: int = 0
    headers: dict[str, str] = field(default_factory=dict)
    raw_headers: list[tuple[bytes, bytes]] = field(default_factory=list)
    body: bytes = b""

    @property
    def text(self) -> str:
        return self.body.decode("utf-8")


def scope_of(
    method: str,
    target: str,
    headers: Iterable[tuple[str, str]],
    client: tuple[str, int],
    server: tuple[str, int],
) -> dict[str, Any]:
    """A connection as uvicorn describes it."""
    path, _, query = target.partition("?")
    return {
        "type": "http",
        "asgi": {"version": "3.0", "spec_version": "2.3"},
        "http_version": "1.1",
        "scheme": "http",
        "method": method,
        "path": unquote(path),
        "raw_path": path.encode("latin-1"),
        "query_string": query.encode("latin-1"),
        "root_path": "",
        "headers": [(k.lower().encode("latin-1"), v.encode("latin-1")) for k, v in headers],
        "client": client,
        "server": server,
        "state": {},
    }


def ask(
    app: Any,
    method: str,
    target: str,
    headers: Mapping[str, str] | Sequence[tuple[str, str]] = (),
    body: bytes | Sequence[bytes] = b"",
    *,
    client: tuple[str, int] = ("127.0.0.1", 50000),
    server: tuple[str, int] = ("127.0.0.1", 8765),
    breaks_off: bool = False,
) -> Answer:
    """Send one request and return the answer; ``breaks_off`` after the chunks of ``body``."""
    given = list(headers.items() if isinstance(headers, Mapping) else headers)
    if not any(name.lower() == "host" for name, _ in given):
        given.insert(0, ("Host", "127.0.0.1:8765"))
    chunks = [body] if isinstance(body, bytes) else list(body)
    messages = [
        {"type": "http.request", "body": each, "more_body": breaks_off or i < len(chunks) - 1}
        for i, each in enumerate(chunks)
    ]
    answer = Answer()

    async def receive() -> dict[str, Any]:
        return messages.pop(0) if messages else {"type": "http.disconnect"}

    async def send(message: Mapping[str, Any]) -> None:
        if message["type"] == "http.response.start":
            answer.status = message["status"]
            answer.raw_headers = list(message["headers"])
            answer.headers = {k.decode(): v.decode() for k, v in message["headers"]}
        else:
            answer.body += message.get("body", b"")

    asyncio.run(app(scope_of(method, target, given, client, server), receive, send))
    return answer
