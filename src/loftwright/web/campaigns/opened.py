"""The workbenches of single campaigns, each a process with an address and a token of its own.

So two campaigns can be open side by side, and no page can mistake one for the other.
"""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path
from threading import Lock

from loftwright.errors import Problem, ProblemError

__all__ = ["Opened"]


class Opened:
    """Those that have been opened; each ends when this process does."""

    def __init__(self, passed_on: Sequence[str] = ()) -> None:
        self._passed_on = passed_on
        self._lock = Lock()
        self._processes: dict[Path, tuple[subprocess.Popen[str], str]] = {}

    def address(self, home: Path) -> str:
        """Return where the workbench of the campaign at ``home`` is, started if it does not run.

        Raises ``ProblemError`` where it does not start.
        """
        with self._lock:
            known = self._processes.get(home)
            if known is None or known[0].poll() is not None:
                known = self._processes[home] = _started(home, self._passed_on)
            return known[1]

    def close(self) -> None:
        """End all of them; one that is being started is waited for first."""
        with self._lock:
            processes = [process for process, _ in self._processes.values()]
            self._processes.clear()
        for process in processes:
            process.terminate()
        for process in processes:
            _ended(process)


def _started(home: Path, passed_on: Sequence[str]) -> tuple[subprocess.Popen[str], str]:
    words = ["serve", str(home), "--port", "0", "--no-open", "--json", "--until-input-ends"]
    words += passed_on
    process = subprocess.Popen(
        [sys.executable, "-m", "loftwright", *words],
        stdin=subprocess.PIPE,  # never written to: it ends when this process does
        stdout=subprocess.PIPE,
        text=True,
        encoding="utf-8",
    )
    assert process.stdout is not None
    lines: list[str] = []
    for line in process.stdout:
        lines.append(line)
        if line.rstrip() == "}":
            break
    try:
        said = json.loads("".join(lines))
        return process, str(said["address"])
    except (ValueError, KeyError) as error:  # it ended, with a reason or without
        process.terminate()
        _ended(process)
        raise _not_started(home, "".join(lines)) from error


def _not_started(home: Path, said: str) -> ProblemError:
    message = f"The workbench of {home.name} did not start"
    mend = "see what stands in the terminal where this one was started"
    with suppress(ValueError, KeyError, IndexError, TypeError):
        why = json.loads(said)["problems"][0]
        message, mend = f"{message}: {why['message']}", str(why["mend"])
    return ProblemError([Problem("serve-refused", message, mend=mend)])


def _ended(process: subprocess.Popen[str]) -> None:
    """Wait for the end of a process, and let go of what it was heard by."""
    process.wait()
    for stream in (process.stdin, process.stdout):
        if stream is not None:
            stream.close()
