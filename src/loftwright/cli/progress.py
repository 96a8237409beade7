"""Progress of long work, on one line of standard error, and in a file where one is asked for."""

from __future__ import annotations

import os
import sys
from collections import deque
from time import monotonic

import click

__all__ = ["Progress", "done_so_far", "duration", "tell_compiling", "tell_compiling_rehearsal"]

_EVERY = 0.2  # s between two redraws
_LOOKS_BACK = 100  # redraws that the rate is taken over, so that it is that of now
_BAR = 24  # signs

_latest: Progress | None = None


class Progress:
    """Tells how far a run of ``what`` has come; to be called with what is done and the total.

    Draws on terminals only: a log gets no progress. The file that ``LOFTWRIGHT_PROGRESS`` names
    is written over with one JSON object, for whoever watches from outside.
    """

    def __init__(self, what: str) -> None:
        global _latest  # noqa: PLW0603 - an interrupt must be able to say what was done
        _latest = self
        self.what = what
        self.done = 0
        self.total = 0
        self._marks = deque([(monotonic(), 0)], maxlen=_LOOKS_BACK)
        self._drawn = 0.0
        self._shows = sys.stderr.isatty()
        self._file = os.environ.get("LOFTWRIGHT_PROGRESS")

    def __call__(self, done: int, total: int) -> None:
        """Note that ``done`` of ``total`` are done."""
        self.done, self.total = done, total
        now = monotonic()
        if (self._shows or self._file) and (done >= total or now - self._drawn > _EVERY):
            self._drawn = now
            rate = self._rate(now)
            if self._shows:
                click.echo(f"\r\033[K{self._line(rate)}", nl=False, err=True)
            if self._file:
                self._note(self._file, rate)

    def _rate(self, now: float) -> float:
        """Return how many are done in a second, now rather than on the whole."""
        then, before = self._marks[0]
        self._marks.append((now, self.done))
        return (self.done - before) / max(now - then, 1e-9)

    def _note(self, file: str, rate: float) -> None:
        import json
        from contextlib import suppress
        from pathlib import Path

        from loftwright.documents.files import write_atomically
        from loftwright.errors import ProblemError

        left = (self.total - self.done) / rate if rate > 0 else None
        told = {"done": self.done, "total": self.total, "what": self.what}
        # Who watches may have taken the folder away; the work itself is not hurt by that.
        with suppress(ProblemError):
            write_atomically(Path(file), json.dumps(told | {"rate": rate, "left_s": left}))

    def _line(self, rate: float) -> str:
        filled = int(_BAR * self.done / max(self.total, 1))
        bar = "#" * filled + "." * (_BAR - filled)
        left = duration((self.total - self.done) / rate) if rate > 0 else "?"
        done = f"{self.done:,} of {self.total:,} {self.what}"
        return f"[{bar}] {done}, {rate:,.0f} a second, {left} left"

    def finish(self) -> None:
        """Take the line away."""
        if self._shows and self._drawn:
            click.echo("\r\033[K", nl=False, err=True)


def duration(seconds: float) -> str:
    """Return a time to wait as a person says it."""
    minutes, rest = divmod(round(seconds), 60)
    if minutes == 0:
        return f"{rest} s"
    hours, minutes = divmod(minutes, 60)
    return f"{hours} h {minutes} min" if hours else f"{minutes} min {rest} s"


def done_so_far() -> str:
    """Return what the latest run had done, as the end of a sentence; empty if there was none."""
    if _latest is None or not _latest.total:
        return ""
    return f" after {_latest.done} of {_latest.total} {_latest.what}"


def tell_compiling() -> None:
    """Say so when the flight is about to be compiled, which takes a while and happens once."""
    from loftwright.flight.engine import is_ready

    if not is_ready():
        message = "Compiling the flight for this machine (once, about fifteen seconds) ..."
        click.echo(message, err=True)


def tell_compiling_rehearsal() -> None:
    """Say so when the flight, or what listens to it, is about to be compiled."""
    from loftwright.rehearsal.listening import is_ready

    tell_compiling()
    if not is_ready():
        message = "Compiling instruments and programs for this machine (once, some seconds) ..."
        click.echo(message, err=True)
