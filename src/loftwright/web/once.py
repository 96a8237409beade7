"""What a form asks for is done once, however often it is sent.

A double click, an impatient reload or a browser that sends again after a lost answer carries the
same key: whoever comes second waits for the first, and gets its answer.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable
from concurrent.futures import Future
from hashlib import sha256
from threading import Lock
from typing import Any, TypeVar

__all__ = ["Once"]

MOST = 2000  # keys that are remembered; a form is not open for longer than that

Answer = TypeVar("Answer")


class Once:
    """Keys of forms with what came of them; used by many threads."""

    def __init__(self) -> None:
        self._lock = Lock()
        self._known: OrderedDict[tuple[str, Any], Future[Any]] = OrderedDict()

    def do(self, key: str, act: Callable[[], Answer]) -> Answer:
        """Return what ``act`` returned the first time that it was asked for under ``key``.

        Without a key it is done each time. Where it raised, it may be asked for again. A key
        counts for one deed: sent with another form, by whatever mistake, it is another. What tells
        deeds apart is the function's code, so ``act`` is a function and no object made anew.
        """
        if not key:
            return act()
        # However long a key was sent, it takes no more room than any other.
        deed = (
            sha256(key.encode("utf-8", "surrogatepass")).hexdigest(),
            getattr(act, "__code__", act),
        )
        with self._lock:
            known = self._known.get(deed)
            if known is None:
                own: Future[Answer] = Future()
                self._known[deed] = own
                while len(self._known) > MOST:
                    self._known.popitem(last=False)
        if known is not None:
            answer: Answer = known.result()
            return answer
        try:
            answer = act()
        except BaseException as error:
            with self._lock:
                self._known.pop(deed, None)
            own.set_exception(error)
            raise
        own.set_result(answer)
        return answer
