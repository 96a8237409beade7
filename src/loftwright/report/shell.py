"""Commands as a person types them, for the shells of this system.

POSIX shells take the quotes of `shlex`. The two shells of Windows have double quotes alone in
common: cmd.exe takes a single quote for a letter of the name.
"""

from __future__ import annotations

import re
import shlex
import sys
from collections.abc import Iterable

__all__ = ["is_windows", "quoted", "typed"]

# As `web/static/whatif.js` has it.
_PLAIN = re.compile(r"[A-Za-z0-9_.:/\\=+-]+")


def is_windows() -> bool:
    """Tell whether commands are typed into a shell of Windows."""
    return sys.platform == "win32"


def typed(words: Iterable[str]) -> str:
    """Return words as one line of a shell."""
    return " ".join(quoted(each) for each in words)


def quoted(word: str) -> str:
    """Return one word as a shell takes it back.

    On Windows a quote within a word, and backslashes before one, are escaped as programs there
    read them (Microsoft, *Parsing C command-line arguments*, from memory). A percent sign between
    two others and a dollar are read by cmd.exe and PowerShell even so; no such name is offered.
    """
    if not is_windows():
        return shlex.quote(word)
    if _PLAIN.fullmatch(word):
        return word
    inner = re.sub(r'(\\*)"', r'\1\1\\"', word)
    whole = re.sub(r"(\\+)$", r"\1\1", inner)
    return f'"{whole}"'
