"""Words of a program as C may hold them: identifiers, comments, and constants."""

from __future__ import annotations

import math
import re
import textwrap
import unicodedata
from collections.abc import Iterable, Sequence
from decimal import Decimal

from loftwright.program.single import single

__all__ = ["comment", "constant", "identifier", "identifiers", "plain"]

WIDTH = 96
_KEYWORDS = (
    "auto break case char const continue default do double else enum extern float for goto if "
    "inline int long register restrict return short signed sizeof static struct switch typedef "
    "union unsigned void volatile while bool true false main class new delete this begin next"
)
# Headers that are included, and the harness: a file of that name would take their place.
_FILES = "assert float stdbool stddef stdint stdio stdlib string inttypes harness"
_RESERVED = frozenset(f"{_KEYWORDS} {_FILES}".split())


def plain(text: str) -> str:
    """Return text in one line of printable ASCII, with nothing that C reads inside a comment."""
    ascii_text = unicodedata.normalize("NFKD", text).encode("ascii", "replace").decode("ascii")
    printable = re.sub(r"[^ -~]+", " ", ascii_text)
    safe = printable.replace("\\", "/").replace("*/", "* /").replace("/*", "/ *")
    while "??" in safe:  # trigraphs
        safe = safe.replace("??", "? ?")
    return " ".join(safe.split())


def comment(text: str, indent: str = "") -> list[str]:
    """Return text as a C comment of as many lines as it takes."""
    lines = textwrap.wrap(plain(text), WIDTH - len(indent) - 6) or [""]
    lines[0] = f"{indent}/* {lines[0]}"
    lines[1:] = [f"{indent} * {line}" for line in lines[1:]]
    lines[-1] += " */"
    return lines


def identifier(text: str, fallback: str) -> str:
    """Return text as the lower-case middle of a C identifier; ``fallback`` if nothing is left."""
    folded = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode("ascii")
    word = re.sub(r"[^a-z0-9]+", "_", folded.lower()).strip("_")[:31].strip("_")
    if not word or word[0].isdigit() or word in _RESERVED:
        word = f"{fallback}_{word}".strip("_")
    return word


def identifiers(texts: Iterable[str], fallback: str) -> Sequence[str]:
    """Return an identifier for each text, all different."""
    taken: set[str] = set()
    words = []
    for number, text in enumerate(texts, start=1):
        word = identifier(text, f"{fallback}_{number}")
        if word in taken:
            word = f"{word}_{fallback}_{number}"
        while word in taken:
            word += "_"
        taken.add(word)
        words.append(word)
    return words


def _single(number: float) -> float:
    """Return a number in single precision, infinite where it is too large for that."""
    try:
        return single(number)
    except OverflowError:
        return math.copysign(math.inf, number)


def constant(value: float) -> str:
    """Return the shortest C constant of type float that is read back as exactly this number.

    Raises ``ValueError`` for what is too large, infinite or not a number: no program holds such.
    """
    wanted = _single(value)
    if not math.isfinite(wanted):
        raise ValueError(f"{value} is no constant of a program")
    shorter = (f"{wanted:.{digits}g}" for digits in range(1, 10))
    text = next(text for text in shorter if _single(float(text)) == wanted)
    if 1e-5 <= abs(wanted) < 1e8:
        text = format(Decimal(text), "f")
    if "." not in text and "e" not in text:
        text += ".0"
    return f"({text}F)" if text.startswith("-") else f"{text}F"
