"""Run one command for a job, and note how it ended: ``python -m loftwright.web.jobs.runner DIR``.

This process stands between server and command, so that the end is seen although the server may
have gone.
"""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from contextlib import nullcontext, suppress
from pathlib import Path
from typing import Any

from loftwright.documents.files import write_atomically
from loftwright.errors import ProblemError
from loftwright.web.jobs.process import mark_of
from loftwright.web.jobs.seals import seal
from loftwright.web.jobs.turns import StoppedError, my_turn, takes_turns

__all__ = ["main"]

NICE = 10  # pages come first
INTERRUPTED = 130
LOOK = 5.0  # s between two looks whether the job's folder is there


def main(folder: Path) -> int:
    """Run the command of the job in ``folder`` to its end; return its exit code.

    What keeps it from being run at all is said in the job's folder, as a command says it.
    """
    try:
        code = _run(folder)
    except StoppedError:
        code = INTERRUPTED
    except (OSError, ValueError, KeyError, ProblemError) as error:
        code = 1
        _say(folder, f"it could not be run: {error}")
    end = {"code": code, "ended": time.time()}
    _seal(folder, end)
    _note(folder / "end.json", end)
    return code


def _run(folder: Path) -> int:
    if hasattr(os, "nice"):
        os.nice(NICE)
    marks = {"runner": mark_of(os.getpid())}
    _note(folder / "process.json", marks)
    asked = json.loads((folder / "job.json").read_text(encoding="utf-8"))
    environment = os.environ | {"LOFTWRIGHT_PROGRESS": str(folder / "progress.json")}
    command = [sys.executable, "-m", "loftwright", *asked["whole"]]
    # It is meant for the command. Not ignored, which the command would inherit.
    signal.signal(signal.SIGINT, lambda _number, _frame: None)
    with (
        my_turn(folder, asked.get("order", 0)) if takes_turns(asked["words"][0]) else nullcontext(),
        open(folder / "answer.json", "wb") as answer,
        open(folder / "said.txt", "wb") as said,
        subprocess.Popen(
            command,
            stdin=subprocess.DEVNULL,
            stdout=answer,
            stderr=said,
            env=environment,
        ) as child,
    ):
        # Should this process be killed and the command not, the command is found by its own mark.
        _note(folder / "process.json", marks | {"command": mark_of(child.pid)})
        return _end_of(child, folder)


def _end_of(child: subprocess.Popen[bytes], folder: Path) -> int:
    """Wait for the command, and return its exit code; end it where its folder is taken away.

    Nobody could see it any more, nor stop it.
    """
    asked = False
    while True:
        try:
            return child.wait(LOOK)
        except subprocess.TimeoutExpired:
            if folder.exists():
                continue
        if asked or sys.platform == "win32":
            child.kill()
        else:
            child.send_signal(signal.SIGINT)
        asked = True


def _seal(folder: Path, end: dict[str, Any]) -> None:
    """Vouch for what the command wrote; where that cannot be, it is told and not vouched for."""
    try:
        seal(folder, json.dumps(end))
    except (OSError, ProblemError) as error:
        _say(folder, f"it could not be sealed: {error}")


def _note(path: Path, content: dict[str, Any]) -> None:
    """Write a file of the job; a disk that takes no more ends nothing, and is told."""
    try:
        write_atomically(path, json.dumps(content))
    except ProblemError as error:
        _say(path.parent, str(error))


def _say(folder: Path, words: str) -> None:
    with suppress(OSError), open(folder / "said.txt", "a", encoding="utf-8") as said:
        said.write(f"{words}\n")


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1])))
