"""Single precision without NumPy: what a controller holds of a number."""

from __future__ import annotations

import struct

__all__ = ["single", "spacing"]


def single(number: float) -> float:
    """Return the number of single precision that is nearest to ``number``.

    Raises ``OverflowError`` beyond 3.4e38.
    """
    value: float = struct.unpack("<f", struct.pack("<f", number))[0]
    return value


def spacing(number: float) -> float:
    """Return how far the next larger number of single precision lies from that of ``number``."""
    (bits,) = struct.unpack("<I", struct.pack("<f", abs(number)))
    above: float = struct.unpack("<f", struct.pack("<I", bits + 1))[0]
    return above - single(abs(number))
