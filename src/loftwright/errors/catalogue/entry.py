"""One page of the catalogue."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["Entry"]


@dataclass(frozen=True, slots=True)
class Entry:
    """What a code stands for, in whole sentences.

    ``example`` shows a wrong form and a right one as a person would meet them, as text.
    """

    code: str
    title: str
    meaning: str
    why: str
    mend: str
    example: str
