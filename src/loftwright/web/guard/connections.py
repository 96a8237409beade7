"""Connections that wait for a request only so long, and are only so many.

What stands in `loftwright.web.guard.guard` begins when the head of a request is complete; a sender
that never completes one, or opens connections by the hundred, is met here.
"""

from __future__ import annotations

import asyncio
from typing import Any

import h11
import uvicorn
from uvicorn.protocols.http.h11_impl import H11Protocol

__all__ = ["PatientConnection", "server_of"]

PATIENCE = 15.0  # s from the first byte of a head to its last
MOST = 256  # connections at once


class PatientConnection(H11Protocol):
    """A connection as uvicorn has it, closed when the head of a request is not here in time."""

    patience, most = PATIENCE, MOST

    def __init__(self, *words: Any, **named: Any) -> None:
        super().__init__(*words, **named)
        self._head_timer: asyncio.TimerHandle | None = None

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Begin to wait for the first request."""
        super().connection_made(transport)
        if len(self.connections) > self.most:
            transport.close()
            return
        self._wait_for_head()

    def data_received(self, data: bytes) -> None:
        """Take in what came; wait on while it is no whole head."""
        super().data_received(data)
        if self.conn.their_state is h11.IDLE:
            self._wait_for_head()
        else:
            self._stop_waiting()

    def connection_lost(self, exc: Exception | None) -> None:
        """Forget the connection."""
        self._stop_waiting()
        super().connection_lost(exc)

    def _wait_for_head(self) -> None:
        if self._head_timer is None:
            self._head_timer = self.loop.call_later(self.patience, self.transport.close)

    def _stop_waiting(self) -> None:
        if self._head_timer is not None:
            self._head_timer.cancel()
            self._head_timer = None


def server_of(app: Any) -> uvicorn.Server:
    """Return a server of ``app`` that nobody stands before, and that says little of itself."""
    return uvicorn.Server(
        uvicorn.Config(
            app,
            http=PatientConnection,
            ws="none",
            proxy_headers=False,  # who says that it speaks for another is not believed
            log_level="error",
            access_log=False,
            server_header=False,
            date_header=False,
            timeout_graceful_shutdown=2,
        )
    )
