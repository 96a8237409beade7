"""Two processes for the what-if: one follows the hand, one flies finer beside it.

Drawing four hundred flights takes longer than a hand waits. In a process of its own, and with less
right to the processor, it holds nobody up; when the hand moves again it is broken off.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

from loftwright.web.whatif.engine import Asked, Engine

__all__ = ["Engines"]


class Engines:
    """Those that answer about the campaign at ``home``; used by many threads."""

    def __init__(self, home: Path) -> None:
        self.quick = Engine(home)
        self.fine = Engine(home, beside=True)

    def warm(self) -> None:
        """Have the quick one started; the other is, once a hand rests."""
        self.quick.warm()

    def ask(self, question: dict[str, Any]) -> dict[str, Any]:
        """Ask the one that the question is for; see `Engine.ask`."""
        return self._one_for(question).ask(question)

    def begin(self, question: dict[str, Any]) -> Asked:
        """Ask it, without waiting; see `Engine.begin`."""
        return self._one_for(question).begin(question)

    def _one_for(self, question: dict[str, Any]) -> Engine:
        if question["fine"]:
            return self.fine
        self.fine.hush(question["who"])
        return self.quick

    def end(self) -> None:
        """End both."""
        self.quick.end()
        self.fine.end()
