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
from dataclasses import dataclass
from pathlib import Path
from threading import Lock, Thread
from typing import IO, Any

__all__ = ["Engine"]

IDLE = 900.0  # s after which the process is ended; the next question starts it again
PATIENCE = 300.0  # s for an answer; a machine that compiles the engine first takes half a minute
# Its matrices are small: helpers of a linear-algebra library would only spin beside the flights.
ALONE = {"OPENBLAS_NUM_THREADS": "1"}
LAST_WORDS = 600  # characters of what a process said before it died


@dataclass(frozen=True, slots=True)
class _Open:
    """A question under way: the process that it was asked of, and where its answer goes."""

    process: subprocess.Popen[str]
    answer: Future[dict[str, Any]]


class Engine:
    """The process that answers about the campaign at ``home``; used by many threads."""

    def __init__(self, home: Path, idle: float = IDLE, *, beside: bool = False) -> None:
        self.home, self.idle = home, idle
        self.beside = beside  # others come first
        self._lock = Lock()
        self._numbers = itertools.count(1)
        self._process: subprocess.Popen[str] | None = None
        self._hearing: Thread | None = None
        self._open: dict[int, _Open] = {}
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
        answer: Future[dict[str, Any]] = Future()
        with self._lock:
            process = self._running()
            number = next(self._numbers)
            self._open[number] = _Open(process, answer)
            with suppress(OSError):  # its end is told by who reads from it
                assert process.stdin is not None
                process.stdin.write(json.dumps(question | {"id": number}) + "\n")
                process.stdin.flush()
        try:
            return answer.result(PATIENCE)
        except LateError:
            self.end()
            return {"died": f"it gave no answer within {PATIENCE:.0f} s"}

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
            waiting = self._open.pop(answer.get("id", 0), None)
            if waiting is not None:
                waiting.answer.set_result(answer)
        code = process.wait()
        with said, self._lock:
            if self._process is process:
                self._process = None
            # Others may have been asked of a process that was started since.
            mine = [number for number, each in [*self._open.items()] if each.process is process]
            left = [self._open.pop(number) for number in mine]
            words = _last_words(said, code)
        for waiting in left:
            waiting.answer.set_result({"died": words})
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
