"""What is said of a condition phrase that cannot be read."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from loftwright.errors.render import printable
from loftwright.program.phrases import DIMENSIONS, EXAMPLES, PhraseError

if TYPE_CHECKING:
    from lark import Token

__all__ = ["refuse_character", "refuse_token"]

_SEEN = tuple(DIMENSIONS)
_WORDS = (*_SEEN, "line", "open", "closed", "and", "or", "not")
# Other words that people have for these.
_MEANT = {
    "altitude": "height", "alt": "height", "agl": "height", "h": "height",
    "speed": "climb", "velocity": "climb", "vel": "climb", "rate": "climb", "v": "climb",
    "vspeed": "climb", "fall": "drop", "descent": "drop", "fallen": "drop",
    "baro": "pressure", "p": "pressure", "press": "pressure",
    "acceleration": "push", "accel": "push", "acc": "push", "g": "push", "thrust": "push",
    "switch": "line", "wire": "line", "broken": "open", "cut": "open", "shut": "closed",
    "&": "and", "&&": "and", "|": "or", "||": "or", "!": "not",
    "≤": "<=", "≥": ">=", "=<": "<=", "=>": ">=", "under": "<", "below": "<", "over": ">",
    "above": ">", "exceeds": ">",
}  # fmt: skip
_WORD = re.compile(r"[^\W\d]\w*|&&?|\|\|?|[=<>!≤≥]+|.", re.DOTALL)
_COMPARE_WITH = "write a quantity with its unit there, e.g. climb < 50 ft/s"
_EXAMPLE = 'write it like this, e.g. "push > 3 g or height > 12 m"'


def refuse_character(text: str, at: int, expected: set[str]) -> PhraseError:
    """Return what is wrong where no word of the language begins."""
    found = _WORD.match(text, at)
    word = found.group() if found else text[at : at + 1]
    shown, width = printable(word, 30), len(word)
    if "QUANTITY" in expected:
        if word in ("=", "==", "<", ">"):
            mend = "use one of <, <=, >, >="
            return PhraseError(
                "program-phrase-sign", f'"{shown}" makes no comparison here', mend, at
            )
        message = f'"{shown}" stands where a number with its unit is needed'
        return PhraseError("program-phrase-operand", message, _number_mend(text, at), at, width)
    if "SIGN" in expected:
        message = f'"{shown}" stands where one of <, <=, >, >= is needed'
        near = _meant(word, ("<", "<=", ">", ">="))
        mend = f'did you mean "{near}"?' if near else "compare with one of <, <=, >, >="
        return PhraseError("program-phrase-sign", message, mend, at, width)
    if "OPEN" in expected and "SEEN" not in expected:
        message = f'"{shown}" is no state of a line'
        return PhraseError(
            "program-phrase-line", message, "write line open, or line closed", at, width
        )
    if "SEEN" in expected:
        return _unknown_quantity(word, at)
    return _unknown_join(word, at)


def _unknown_quantity(word: str, at: int) -> PhraseError:
    shown, width = printable(word, 30), len(word)
    near = _meant(word, (*_SEEN, "line", "not"))
    listed = f"known are {', '.join(_SEEN)}, and line"
    if not (word[0].isalpha() or word[0] == "_" or near):
        message = f'"{shown}" cannot stand here'
        return PhraseError("program-phrase", message, _EXAMPLE, at, width)
    mend = f'did you mean "{near}"?' if near else listed
    message = f'there is no quantity "{shown}"'
    return PhraseError("program-phrase-quantity", message, mend, at, width)


def _unknown_join(word: str, at: int) -> PhraseError:
    shown, width = printable(word, 30), len(word)
    if word in ("±", "+"):
        message = "a threshold has no uncertainty"
        return PhraseError("program-phrase", message, "give the number alone", at, width)
    near = _meant(word, ("and", "or"))
    mend = f'did you mean "{near}"?' if near else "join comparisons with and, or"
    return PhraseError("program-phrase", f'"{shown}" cannot stand here', mend, at, width)


def _meant(word: str, known: tuple[str, ...]) -> str | None:
    from difflib import get_close_matches  # only when something is wrong already

    meant = _MEANT.get(word.lower())
    if meant in known:
        return meant
    near = get_close_matches(word.lower()[:30], known, n=1, cutoff=0.6)
    return near[0] if near else None


def _number_mend(text: str, at: int) -> str:
    before = text[:at].split()
    subject = " ".join(before[-2:]) if len(before) > 1 else "climb <"
    number = re.match(r"\.[0-9]+", text[at:])
    if number:
        return f'write digits on both sides of the point: "0{number.group()}"'
    word = subject.split()[0].lstrip("(")
    return (
        f"write a number with its unit, e.g. {word} {subject.split()[-1]} {EXAMPLES[word]}"
        if word in EXAMPLES
        else _COMPARE_WITH
    )


def refuse_token(text: str, token: Token, expected: set[str]) -> PhraseError:
    """Return what is wrong where a word of the language cannot stand."""
    at, width = token.start_pos or 0, len(token)
    if token.type == "$END":
        return _ended(text, expected)
    joins = bool(expected & {"AND", "OR", "$END"})  # a comparison is whole before this token
    if token.type == "SIGN" and joins:
        message = "comparisons cannot be chained"
        mend = 'write two, joined by and: "climb > 2 m/s and climb < 15 m/s"'
        return PhraseError("program-phrase-chained", message, mend, at, width)
    if "QUANTITY" in expected:
        shown = printable(str(token), 30)
        message = f'"{shown}" stands where a number with its unit is needed'
        return PhraseError("program-phrase-operand", message, _number_mend(text, at), at, width)
    if token.type == "QUANTITY" and "SEEN" in expected:
        return _turned(text, str(token), at)
    if token.type == "CLOSING" and joins:
        message = "this parenthesis was never opened"
        return PhraseError("program-phrase-brackets", message, "take it out, or open it", at, width)
    if "SIGN" in expected:
        message = f'"{printable(str(token), 30)}" stands where one of <, <=, >, >= is needed'
        mend = "compare with one of <, <=, >, >="
        return PhraseError("program-phrase-sign", message, mend, at, width)
    return _misplaced(token, expected, joins)


_TURNED = re.compile(r"\s*([<>]=?)\s*(\w+)\s*([<>]=?)?\s*([^<>()]*)")
_MIRROR = {"<": ">", "<=": ">=", ">": "<", ">=": "<="}


def _turned(text: str, number: str, at: int) -> PhraseError:
    """Return what is wrong with a number that stands before what it is compared with."""
    found = _TURNED.match(text, at + len(number))
    sign, word, second, other = found.groups() if found else (">", "height", None, "")
    first = f"{word} {_MIRROR[sign]} {number}"
    if second and other:
        message = "comparisons cannot be chained"
        rest = re.split(r"\b(?:and|or)\b", other)[0].strip()
        mend = f'write two, joined by and: "{printable(f"{first} and {word} {second} {rest}", 80)}"'
        return PhraseError("program-phrase-chained", message, mend, at, len(number))
    message = "what is compared comes first, the number behind it"
    mend = f'turn it round: "{printable(first, 80)}"'
    return PhraseError("program-phrase-operand", message, mend, at, len(number))


def _misplaced(token: Token, expected: set[str], joins: bool) -> PhraseError:
    at, width = token.start_pos or 0, len(token)
    shown = printable(str(token), 30)
    if joins:
        message = f'"{shown}" follows without a joining word'
        mend = "join comparisons with and, or"
        return PhraseError("program-phrase", message, mend, at, width)
    if "OPEN" in expected and "SEEN" not in expected:
        message = f'"{shown}" is no state of a line'
        return PhraseError(
            "program-phrase-line", message, "write line open, or line closed", at, width
        )
    message = f'"{shown}" stands where a comparison is needed'
    return PhraseError("program-phrase-operand", message, _EXAMPLE, at, width)


def _ended(text: str, expected: set[str]) -> PhraseError:
    at = max(0, len(text.rstrip()) - 1)
    if "CLOSING" in expected:
        opened = _unclosed(text)
        message = "this parenthesis is never closed"
        return PhraseError("program-phrase-brackets", message, "close it", opened)
    if not text.strip():
        return PhraseError("program-phrase-operand", "there is nothing here", _EXAMPLE)
    if "QUANTITY" in expected:
        mend = _number_mend(text, len(text))
        return PhraseError(
            "program-phrase-operand", "the number to compare with is missing", mend, at
        )
    if "SIGN" in expected:
        message, mend = "this is compared with nothing", _COMPARE_WITH
        return PhraseError("program-phrase-sign", message, mend, at)
    if "OPEN" in expected and "SEEN" not in expected:
        message, mend = "the state of the line is missing", "write line open, or line closed"
        return PhraseError("program-phrase-line", message, mend, at)
    message = "a comparison is missing behind this word"
    return PhraseError("program-phrase-operand", message, _EXAMPLE, at)


def _unclosed(text: str) -> int:
    opened: list[int] = []
    for at, sign in enumerate(text):
        if sign == "(":
            opened.append(at)
        elif sign == ")" and opened:
            opened.pop()
    return opened[-1] if opened else 0
