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
from pathlib import Path

from loftwright.documents.files import write_atomically

__all__ = ["main"]

NICE = 10  # pages come first


def main(folder: Path) -> int:
    """Run the command of the job in ``folder`` to its end; return its exit code."""
    if hasattr(os, "nice"):
        os.nice(NICE)
    asked = json.loads((folder / "job.json").read_text(encoding="utf-8"))
    environment = os.environ | {"LOFTWRIGHT_PROGRESS": str(folder / "progress.json")}
    command = [sys.executable, "-m", "loftwright", *asked["whole"]]
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # it is meant for the command
    with (
        open(folder / "answer.json", "wb") as answer,
        open(folder / "said.txt", "wb") as said,
        subprocess.Popen(
            command,
            stdin=subprocess.DEVNULL,
            stdout=answer,
            stderr=said,
            env=environment,
            preexec_fn=_hear_interrupts if os.name == "posix" else None,  # noqa: PLW1509
        ) as child,
    ):
        code = child.wait()
    write_atomically(folder / "end.json", json.dumps({"code": code, "ended": time.time()}))
    return code


def _hear_interrupts() -> None:
    """Undo in the command what the runner does to itself."""
    signal.signal(signal.SIGINT, signal.default_int_handler)


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1])))
