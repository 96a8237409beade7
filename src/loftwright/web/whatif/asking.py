"""A question of the page, from its JSON: bounded, and of the kinds that the engine takes."""

from __future__ import annotations

import json
from typing import Any

from loftwright.errors import Problem, ProblemError, Where

__all__ = ["LARGEST", "read_question"]

LARGEST = 64_000  # bytes
MOST = 40  # values
LONGEST = 120  # characters of a path or a value
WIDTHS = ("wide", "medium", "narrow")


def read_question(body: bytes) -> dict[str, Any]:
    """Return the question as `child` takes it.

    Raises ``ProblemError`` for what is no question at all; wrong values are told by who flies them.
    """
    if len(body) > LARGEST:
        raise _refused("this question is too long")
    try:
        asked = json.loads(body)
    except (ValueError, RecursionError):
        raise _refused("this is not a question") from None
    if not isinstance(asked, dict):
        raise _refused("this is not a question")
    pinned = asked.get("pinned")
    return {
        "who": _text(asked.get("who", "page")),
        "values": _values(asked.get("values", {})),
        "pinned": None if pinned is None else _values(pinned),
        "against": _text(asked.get("against", "baseline")) or "baseline",
        "width": asked["width"] if asked.get("width") in WIDTHS else "wide",
        "fine": asked.get("fine") is True,
        "programs": asked.get("programs") is True,
    }


def _values(given: Any) -> dict[str, str]:
    if not isinstance(given, dict) or len(given) > MOST:
        raise _refused(f"at most {MOST} values can be asked about")
    return {_text(path): _text(value) for path, value in given.items()}


def _text(given: Any) -> str:
    if not isinstance(given, str) or len(given) > LONGEST:
        raise _refused(f"a value is a text of at most {LONGEST} characters")
    try:
        given.encode("utf-8")
    except UnicodeEncodeError:  # half of a sign
        raise _refused("a value has signs in it that are no text") from None
    return given


def _refused(message: str) -> ProblemError:
    mend = "load the page anew"
    return ProblemError([Problem("whatif-question", message, Where(field="question"), mend)])
