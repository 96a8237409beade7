"""``DIR/.loftwright/server.json``: where the workbench listens and its token, for scripts.

Readable to its owner only; there while the workbench runs.
"""

from __future__ import annotations

import json
import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from loftwright.errors import Problem, ProblemError, Where

__all__ = ["announced"]


@contextmanager
def announced(home: Path, address: str, token: str) -> Iterator[Path]:
    """Keep the file there while the body runs; of several workbenches the latest has it.

    Raises ``ProblemError`` where it cannot be written.
    """
    path = home / ".loftwright" / "server.json"
    said = json.dumps({"address": address, "token": token, "pid": os.getpid()}, indent=2) + "\n"
    draft = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        path.parent.mkdir(exist_ok=True)
        draft.unlink(missing_ok=True)
        # Nobody else may read it at any moment, and whoever looks finds all of it.
        with open(os.open(draft, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600), "w") as file:
            file.write(said)
        os.replace(draft, path)
    except OSError as error:
        mend = "see whether the folder may be written to and has room"
        message = f"the file cannot be written: {error.strerror or error}"
        where = Where(file=str(path))
        raise ProblemError([Problem("file-not-written", message, where, mend)]) from error
    try:
        yield path
    finally:
        if path.is_file() and path.read_text(encoding="utf-8") == said:
            path.unlink()
