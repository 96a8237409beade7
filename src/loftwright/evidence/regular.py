"""The bytes of a record: from regular files alone, and never more than a record can hold."""

from __future__ import annotations

from pathlib import Path

from loftwright.documents.files import read_regular
from loftwright.errors import ProblemError
from loftwright.evidence.problems import problem
from loftwright.evidence.text import LONGEST_RECORD

__all__ = ["read_record_bytes"]


def read_record_bytes(path: Path, limit: int = LONGEST_RECORD) -> bytes:
    """Return the bytes of a regular file of at most ``limit`` bytes; links are followed.

    Raises
    ------
    ProblemError
        The file cannot be opened, is not a regular one, or holds more than ``limit`` bytes; in the
        words of records, which tell what to do about a record.
    """
    try:
        return read_regular(path, limit, name=path.name)
    except ProblemError as error:
        found = error.problems[0]
        if found.code == "file-too-large":
            value = f"more than {limit} bytes"
            raise problem("evidence-too-long", file=path.name, value=value) from error
        facts = {"why": found.message}
        raise problem("evidence-unreadable", file=path.name, facts=facts) from error
