"""What people write into the ledger, held to what can be kept and shown: words and days."""

from __future__ import annotations

from datetime import date

from loftwright.ledger.problems import refused

__all__ = ["LONGEST", "a_day", "one_of", "some_words", "words_or_none"]

LONGEST = 4000  # characters of one entry; longer things belong into a file of their own


def some_words(words: str, what: str) -> str:
    """Return ``words`` without blanks around them; ``what`` they are is named when refused.

    Raises ``ProblemError``, ``ledger-words``: for nothing, for too much, for what is no text.
    """
    kept = words.strip()
    if not kept:
        raise refused("ledger-words", f"{what} is empty", "say it in a few words")
    if len(kept) > LONGEST:
        message = f"{what} has {len(kept)} characters; {LONGEST} are the most"
        raise refused("ledger-words", message, "put it into a file, and name that")
    if "\0" in kept or any("\ud800" <= sign <= "\udfff" for sign in kept):
        message = f"{what} has signs in it that are no text"
        raise refused("ledger-words", message, "write it again, by hand")
    return kept


def words_or_none(words: str | None, what: str) -> str | None:
    """Return ``words`` as `some_words` does; None for none."""
    return None if words is None else some_words(words, what)


def a_day(day: str | None, what: str) -> str | None:
    """Return a day as ISO 8601 has it; None for none. Raises ``ProblemError``, ``ledger-day``."""
    if day is None:
        return None
    try:
        return date.fromisoformat(day.strip()).isoformat()
    except ValueError as error:
        message = f"{what} is no day: {day.strip()[:40]}"
        raise refused("ledger-day", message, "write year-month-day, e.g. 2026-05-17") from error


def one_of(word: str, known: tuple[str, ...], what: str) -> str:
    """Return ``word`` when it is one of those known. Raises ``ProblemError``, ``ledger-words``."""
    if word not in known:
        message = f"{what} cannot be {word!r}"
        raise refused("ledger-words", message, f"say one of: {', '.join(known)}")
    return word
