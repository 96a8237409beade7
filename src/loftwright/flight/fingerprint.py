"""What a flight is computed with: two machines that agree in it give the same numbers.

Processors may still differ: the compiler fuses a multiplication with an addition where the
processor can, which rounds once instead of twice.
"""

from __future__ import annotations

import hashlib
from functools import cache
from importlib.metadata import version
from pathlib import Path

from loftwright import __version__

__all__ = ["fingerprint"]

# Rooms whose code stands between a document and a figure.
ROOMS = ("documents", "flight", "physics", "units")


@cache
def _code_digest() -> str:
    """Hash the source of those rooms, wherever it is installed and however its lines end."""
    home = Path(__file__).resolve().parents[1]
    digest = hashlib.sha256()
    for room in ROOMS:
        for path in sorted((home / room).rglob("*.py")):
            digest.update(path.relative_to(home).as_posix().encode())
            digest.update(path.read_text(encoding="utf-8").encode())
    return digest.hexdigest()[:16]


def fingerprint() -> dict[str, str]:
    """Return the versions and the digest of the code that flights are computed with."""
    return {
        "loftwright": __version__,
        "code": _code_digest(),
        "numpy": version("numpy"),
        "numba": version("numba"),
    }
