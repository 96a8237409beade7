"""The bytes of a record: from regular files alone, and never more than a record can hold."""

from __future__ import annotations

import os
import stat
from pathlib import Path
from typing import BinaryIO

from loftwright.evidence.problems import problem
from loftwright.evidence.text import LONGEST_RECORD

__all__ = ["read_record_bytes"]

BLOCK = 1024 * 1024  # bytes
# Opening a pipe or a terminal must not wait for someone at its other end.
AT_ONCE = getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_NOCTTY", 0)
KINDS = {
    stat.S_IFDIR: "a folder",
    stat.S_IFIFO: "a pipe",
    stat.S_IFSOCK: "a socket",
    stat.S_IFCHR: "a device",
    stat.S_IFBLK: "a device",
}


def _open_at_once(path: str, flags: int) -> int:
    return os.open(path, flags | AT_ONCE)


def read_record_bytes(path: Path, limit: int = LONGEST_RECORD) -> bytes:
    """Return the bytes of a regular file of at most ``limit`` bytes; links are followed.

    A pipe, a device or a socket may never end, so it is refused unread. The limit holds for what is
    read, because a file may grow meanwhile and some systems give files without a size.

    Raises
    ------
    ProblemError
        The file cannot be opened, is not a regular one, or holds more than ``limit`` bytes.
    """
    try:
        with open(path, "rb", opener=_open_at_once) as stream:
            kind = stat.S_IFMT(os.fstat(stream.fileno()).st_mode)
            if kind == stat.S_IFREG:
                return _within(stream, path.name, limit)
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or str(error)
        raise problem("evidence-unreadable", file=path.name, facts={"why": why}) from error
    why = f"it is {KINDS.get(kind, 'something else')}, not a regular file"
    raise problem("evidence-unreadable", file=path.name, facts={"why": why})


def _within(stream: BinaryIO, name: str, limit: int) -> bytes:
    """Read to the end of an open file, or refuse it where it passes ``limit``."""
    raw = bytearray()
    while block := stream.read(BLOCK):
        raw += block
        if len(raw) > limit:
            raise problem("evidence-too-long", file=name, value=f"more than {limit} bytes")
    return bytes(raw)
