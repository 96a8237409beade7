"""``DIR/.loftwright/server.json``: where the workbench listens and its token, for scripts.

Readable to its owner only; there while the workbench runs.
"""

from __future__ import annotations

import json
import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from loftwright.documents.files import write_atomically

__all__ = ["announced"]


@contextmanager
def announced(home: Path, address: str, token: str) -> Iterator[Path]:
    """Keep the file there while the body runs; of several workbenches the latest has it.

    Raises ``ProblemError`` where it cannot be written.
    """
    path = home / ".loftwright" / "server.json"
    path.parent.mkdir(exist_ok=True)
    said = json.dumps({"address": address, "token": token, "pid": os.getpid()}, indent=2)
    if not path.exists():
        os.close(os.open(path, os.O_CREAT | os.O_WRONLY, 0o600))
    path.chmod(0o600)
    write_atomically(path, said + "\n")  # which keeps the permissions
    try:
        yield path
    finally:
        if path.is_file() and path.read_text(encoding="utf-8") == said + "\n":
            path.unlink()
