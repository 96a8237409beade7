"""An event loop on a thread of its own, for a client that needs one."""

from __future__ import annotations

import asyncio
from threading import Event, Thread
from typing import Any

__all__ = ["LoopThread", "NoLoopError"]

NAME = "cluster loop"


class NoLoopError(RuntimeError):
    """Raised when no event loop could be started; says why in a few words."""


class LoopThread:
    """An event loop that runs from ``start`` to ``stop``.

    Dask's client can start a loop itself, but holds a lock of its whole process while it waits for
    it. A client that was dropped unclosed wants that lock when it is collected, and it may be
    collected by the very thread that is waited for: neither goes on. Here nothing is held.
    """

    def __init__(self) -> None:
        self.loop: Any = None  # tornado's, while it runs
        self._thread = Thread(target=self._run, name=NAME, daemon=True)
        self._begun, self._given_up = Event(), Event()
        self._end: asyncio.Event | None = None
        self._why: Exception | None = None

    def start(self, within: float) -> Any:
        """Start the loop and return it.

        Raises
        ------
        NoLoopError
            When the system gives no thread or no loop, or it does not run ``within`` seconds.
        """
        try:
            self._thread.start()
        except RuntimeError as error:
            raise NoLoopError(str(error)) from error
        if not self._begun.wait(within):
            self._given_up.set()
            self._ask_to_end()
            raise NoLoopError(f"its thread did not begin within {within:g} s")
        if self._why is not None:
            raise NoLoopError(str(self._why)) from self._why
        return self.loop

    def stop(self, within: float) -> bool:
        """End the loop; tell whether its thread has ended ``within`` seconds."""
        self._ask_to_end()
        self._thread.join(within)
        return not self._thread.is_alive()

    def _ask_to_end(self) -> None:
        if self.loop is not None and self._end is not None:
            self.loop.add_callback(self._end.set)

    def _run(self) -> None:
        try:
            # What Dask wants everywhere, also where the system's default is another.
            with asyncio.Runner(loop_factory=_new_loop) as runner:
                runner.run(self._wait())
        except Exception as error:  # told by `start`, in the thread that asked
            self._why = error
            self._begun.set()

    async def _wait(self) -> None:
        from tornado.ioloop import IOLoop  # Dask's loops are tornado's

        # The end before the loop, and the loop before the look: whoever gives up then either
        # finds the loop, or is seen here.
        self._end = asyncio.Event()
        self.loop = IOLoop.current()
        self._begun.set()
        if not self._given_up.is_set():
            await self._end.wait()


def _new_loop() -> asyncio.AbstractEventLoop:
    return asyncio.SelectorEventLoop()
