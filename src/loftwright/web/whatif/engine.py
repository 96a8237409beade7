"""Asking the process of the what-if: started when it is needed, told of when it dies."""

from __future__ import annotations

import itertools
import json
import os
import subprocess
import sys
import tempfile
import time
from concurrent.futures import Future
from concurrent.futures import TimeoutError as LateError
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from threading import Lock, Thread
from typing import IO, Any

__all__ = ["PATIENCE", "Asked", "Engine"]

IDLE = 900.0  # s after which the process is ended; the next question starts it again
PATIENCE = 300.0  # s for an answer; a machine that compiles the engine first takes half a minute
# Its matrices are small: helpers of a linear-algebra library would only spin beside the flights.
ALONE = {"OPENBLAS_NUM_THREADS": "1"}
LAST_WORDS = 600  # characters of what a process said before it died


@dataclass(frozen=True, slots=True)
class Asked:
    """A question under way, the engine and the process that it was asked of.

    ``flown`` comes before ``answer``: True as soon as the flights are flown, while they are still
    drawn, so that the next question may follow; False where nothing is drawn.
    """

    of: Engine
    process: subprocess.Popen[str]
    flown: Future[bool] = field(default_factory=Future)
    answer: Future[dict[str, Any]] = field(default_factory=Future)

    def settle(self, answer: dict[str, Any]) -> None:
        """Hand its answer to whoever waits."""
        if not self.flown.done():
            self.flown.set_result(False)
        self.answer.set_result(answer)

    def give_up(self) -> dict[str, Any]:
        """End a process that has not answered for too long; return what is then the answer."""
        self.of.end()
        return {"died": f"it gave no answer within {PATIENCE:.0f} s"}


class Engine:
    """The process that answers about the campaign at ``home``; used by many threads."""

    def __init__(self, home: Path, idle: float = IDLE, *, beside: bool = False) -> None:
        self.home, self.idle = home, idle
        self.beside = beside  # others come first
        self._lock = Lock()
        self._numbers = itertools.count(1)
        self._process: subprocess.Popen[str] | None = None
        self._hearing: Thread | None = None
        self._open: dict[int, Asked] = {}
        self._asked = time.monotonic()

    @property
    def pid(self) -> int | None:
        """The process that answers now, None where there is none."""
        process = self._process
        return process.pid if process is not None and process.poll() is None else None

    @property
    def waits(self) -> bool:
        """Whether a question is under way."""
        return bool(self._open)

    def warm(self) -> None:
        """Have the process started, so that it is ready when somebody asks."""
        with self._lock:
            self._running()

    def ask(self, question: dict[str, Any]) -> dict[str, Any]:
        """Ask, and wait for the answer; see `child` for both.

        Where the process dies meanwhile the answer is ``{"died": words}``; the next question starts
        another.
        """
        asked = self.begin(question)
        try:
            return asked.answer.result(PATIENCE)
        except LateError:
            return asked.give_up()

    def begin(self, question: dict[str, Any]) -> Asked:
        """Ask, without waiting; whoever waits does so for `PATIENCE` at most, and then gives up."""
        with self._lock:
            process = self._running()
            number = next(self._numbers)
            asked = self._open[number] = Asked(self, process)
            with suppress(OSError):  # its end is told by who reads from it
                assert process.stdin is not None
                process.stdin.write(json.dumps(question | {"id": number}) + "\n")
                process.stdin.flush()
        return asked

    def hush(self, who: str) -> None:
        """Let what a page has asked be: it is answered as ``stale``, as soon as may be."""
        with self._lock:
            process = self._process
            if process is None or process.poll() is not None or not self._open:
                return
            with suppress(OSError):  # its end is told by who reads from it
                assert process.stdin is not None
                process.stdin.write(json.dumps({"who": who, "hush": True}) + "\n")
                process.stdin.flush()

    def end(self) -> None:
        """End the process; what it was asked is answered as ``died``."""
        with self._lock:
            process, hearing = self._process, self._hearing
            self._process = None
        if process is not None:
            process.kill()
        if hearing is not None:
            hearing.join()

    def _running(self) -> subprocess.Popen[str]:
        self._asked = time.monotonic()
        if self._process is not None and self._process.poll() is None:
            return self._process
        # Closed by who hears the process out.
        said = tempfile.TemporaryFile("w+", encoding="utf-8", errors="replace")  # noqa: SIM115
        command = [sys.executable, "-m", "loftwright.web.whatif.child", str(self.home)]
        process = subprocess.Popen(
            [*command, "beside"] if self.beside else command,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=said,
            text=True,
            encoding="utf-8",
            env={**os.environ, **ALONE},
        )
        self._process = process
        self._hearing = Thread(target=self._hear, args=(process, said), daemon=True)
        self._hearing.start()
        Thread(target=self._watch, args=(process,), daemon=True).start()
        return process

    def _hear(self, process: subprocess.Popen[str], said: IO[str]) -> None:
        """Hand answers on until the process ends; then say so to whoever still waits."""
        assert process.stdout is not None
        for line in process.stdout:
            if not line.endswith("\n"):  # it was ended while it wrote
                break
            answer = json.loads(line)
            number = answer.get("id", 0)
            if answer.get("flown"):
                if number in self._open:
                    self._open[number].flown.set_result(True)
            elif (waiting := self._open.pop(number, None)) is not None:
                waiting.settle(answer)
        code = process.wait()
        with said, self._lock:
            if self._process is process:
                self._process = None
            # Others may have been asked of a process that was started since.
            mine = [number for number, each in [*self._open.items()] if each.process is process]
            left = [self._open.pop(number) for number in mine]
            words = _last_words(said, code)
        for waiting in left:
            waiting.settle({"died": words})
        process.stdout.close()
        with suppress(OSError):  # what was written last may never have been read
            assert process.stdin is not None
            process.stdin.close()

    def _watch(self, process: subprocess.Popen[str]) -> None:
        """End the process when nobody has asked for long."""
        while process.poll() is None:
            left = self._asked + self.idle - time.monotonic()
            if left > 0.0:
                with suppress(subprocess.TimeoutExpired):
                    process.wait(min(left, 60.0))
                continue
            with self._lock:  # nobody asks between the look and the end
                if self._open:
                    self._asked = time.monotonic()
                else:
                    process.kill()
                    if self._process is process:
                        self._process = None


def _last_words(said: IO[str], code: int) -> str:
    """Return what a process said before its end, shortened."""
    said.seek(0)
    text = said.read().strip()
    last = text.splitlines()[-1][-LAST_WORDS:] if text else ""
    return last or f"it ended with code {code}"
