"""What can be wrong about a fit to flights, as a user meets it."""

from __future__ import annotations

from collections.abc import Collection
from difflib import get_close_matches

from loftwright.errors import Problem, Where

__all__ = ["fit_problem"]

_MESSAGES = {
    "fit-no-match": (
        "the model does not follow these records, so nothing was written: what was learnt would "
        "only hide what went wrong",
        "find out what happened first (loftwright debrief says what could have), and say it in "
        "the flight's record or leave the flight out",
    ),
    "fit-no-flight": (
        "there is no flight to learn from",
        "name a flight of the campaign, or a log with --log FILE",
    ),
    "fit-not-flown": (
        "the documents as they stand do not fly so far that the record can be compared",
        "see that `loftwright forecast` flies: the vehicle has to leave the pad and come down",
    ),
}


def fit_problem(code: str, value: str = "", known: Collection[str] = ()) -> Problem:
    """Return the problem called ``code``; ``value`` is the field in question."""
    if code == "fit-field":
        near = get_close_matches(value, sorted(known), n=1)
        hint = f"did you mean {near[0]}? " if near else ""
        return Problem(
            code,
            "there is no uncertain field of this name in the documents",
            Where(field="--field", value=value),
            f"{hint}a field that carries ± can be learnt; give it one in its document, or with "
            f"--set {value}='... ± ...'",
        )
    message, mend = _MESSAGES[code]
    return Problem(code, message, Where(value=value or None), mend)
