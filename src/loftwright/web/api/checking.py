"""Holding JSON to a schema: the part of JSON Schema (2020-12) that the endpoints use.

Every slip is found at once and told in words, at its place. A test holds this to an independent
validator.
"""

from __future__ import annotations

import json
import math
import operator
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any

from loftwright.errors import Problem, ProblemError, Where

__all__ = ["Schema", "read_object", "slips"]

Schema = Mapping[str, Any]
MEND = "compare with the description at /api/openapi.json"
_KINDS: dict[str, tuple[type, ...]] = {
    "string": (str,),
    "boolean": (bool,),
    "array": (list,),
    "object": (dict,),
}
_BOUNDS: dict[str, tuple[str, Callable[[float, float], bool]]] = {
    "minimum": ("at least", operator.ge),
    "maximum": ("at most", operator.le),
    "exclusiveMinimum": ("more than", operator.gt),
    "exclusiveMaximum": ("less than", operator.lt),
}
_SHOWN = {"string": "text", "boolean": "true or false", "array": "a list", "object": "an object"}


def read_object(content: bytes, schema: Schema) -> dict[str, Any]:
    """Return the JSON object in ``content``, nothing for an empty one.

    Raises ``ProblemError`` (``api-body``) for what is no JSON, has a key twice or a number that is
    none, and with every slip against ``schema``.
    """
    try:
        found = json.loads(
            content.decode("utf-8") or "{}", object_pairs_hook=_once, parse_constant=_no_number
        )
        json.dumps(found, ensure_ascii=False).encode("utf-8")  # refuses half signs
    except ValueError as error:  # UnicodeDecodeError and JSONDecodeError are such
        raise ProblemError([Problem("api-body", f"this is no JSON: {error}", mend=MEND)]) from error
    if problems := list(slips(found, schema)):
        raise ProblemError(problems)
    assert isinstance(found, dict)
    return found


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) != len(pairs):
        raise ValueError("a key stands there twice")
    return found


def _no_number(word: str) -> None:
    raise ValueError(f"{word} is no number")


def slips(value: Any, schema: Schema, place: str = "") -> Iterator[Problem]:
    """Yield what in ``value`` is against ``schema``, each with its place."""
    kind = schema.get("type")
    if kind is not None and not _is(value, kind):
        yield _slip(f"here stands {_what(kind)}", place, value)
        return
    if "enum" in schema and value not in schema["enum"]:
        yield _slip(f"this is one of {', '.join(map(str, schema['enum']))}", place, value)
    if kind in {"integer", "number"}:
        yield from _number(value, schema, place)
    elif kind == "string":
        yield from _text(value, schema, place)
    elif kind == "array":
        yield from _list(value, schema, place)
    elif kind == "object":
        yield from _object(value, schema, place)


def _is(value: Any, kind: str) -> bool:
    if kind in _KINDS:
        return isinstance(value, _KINDS[kind])
    if isinstance(value, bool) or not isinstance(value, int | float):
        return False
    # JSON Schema: a number without a fraction is an integer, however it is written.
    return kind == "number" or isinstance(value, int) or value.is_integer()


def _what(kind: str) -> str:
    return _SHOWN.get(kind, "a whole number" if kind == "integer" else "a number")


def _number(value: Any, schema: Schema, place: str) -> Iterator[Problem]:
    for word, (said, holds) in _BOUNDS.items():
        if word in schema and not holds(value, schema[word]):
            yield _slip(f"this is {said} {schema[word]}", place, value)
    if isinstance(value, float) and not math.isfinite(value):
        yield _slip("this is larger than any number", place, value)


def _text(value: str, schema: Schema, place: str) -> Iterator[Problem]:
    if len(value) < schema.get("minLength", 0):
        yield _slip("something is to stand here", place, value)
    if len(value) > schema.get("maxLength", math.inf):
        yield _slip(f"this has at most {schema['maxLength']} signs", place, value)
    if "pattern" in schema and not _matches(schema["pattern"], value):
        said = schema.get("x-said", f"this has the form {schema['pattern']}")
        yield _slip(said, place, value)


def _matches(pattern: str, value: str) -> bool:
    """Tell whether all of a text has a form that begins with ^ and ends with $.

    To Python, though not to JSON Schema, $ stands before a last line end as well.
    """
    return re.fullmatch(pattern.removeprefix("^").removesuffix("$"), value) is not None


def _list(value: Sequence[Any], schema: Schema, place: str) -> Iterator[Problem]:
    if len(value) < schema.get("minItems", 0):
        yield _slip(f"at least {schema['minItems']} stand here", place, value)
    if len(value) > schema.get("maxItems", math.inf):
        yield _slip(f"at most {schema['maxItems']} stand here", place, value)
        return
    for i, each in enumerate(value):
        yield from slips(each, schema.get("items", {}), f"{place}[{i}]")


def _object(value: Mapping[str, Any], schema: Schema, place: str) -> Iterator[Problem]:
    known = schema.get("properties", {})
    for word in schema.get("required", ()):
        if word not in value:
            yield _slip("this is missing", f"{place}.{word}".lstrip("."), None)
    for word, each in value.items():
        where = f"{place}.{word}".lstrip(".")
        if word in known:
            yield from slips(each, known[word], where)
        elif schema.get("additionalProperties") is False:
            message = f"there is no such option; there are {', '.join(sorted(known)) or 'none'}"
            yield _slip(message, where, each)


def _slip(message: str, place: str, value: Any) -> Problem:
    shown = None if value is None else json.dumps(value)[:80]
    return Problem("api-body", message, Where(field=place[:80] or None, value=shown), MEND)
