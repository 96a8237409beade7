"""What a rule across fields yields, and what rules share."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from typing import Any, TypeVar

from loftwright.documents.build import UnreadError
from loftwright.documents.examples import quantity_in
from loftwright.documents.source import Source
from loftwright.documents.spans import Path
from loftwright.errors.problem import Severity
from loftwright.units import Quantity, format_quantity

__all__ = [
    "Finding",
    "apply",
    "beyond",
    "listed",
    "such_as",
    "telling_in",
    "told",
    "trigger",
]

Element = TypeVar("Element")
# The units that rules speak in while they run: what they look at is SI, and knows of none.
_SYSTEM: ContextVar[str] = ContextVar("system", default="metric")


@dataclass(frozen=True, slots=True)
class Finding:
    """A problem between fields, at the value (or the ``key``) of ``path``."""

    code: str
    path: Path
    message: str
    mend: str
    severity: Severity = "error"
    key: bool = False


def apply(
    rules: Iterable[Callable[..., Iterator[Finding]]], source: Source, *documents: Any
) -> None:
    """Note in ``source`` what the rules find; a rule ends where it touches a hole."""
    with telling_in(source.system):
        for rule in rules:
            try:
                for found in rule(*documents):
                    source.report(
                        found.code,
                        found.path,
                        found.message,
                        found.mend,
                        key=found.key,
                        severity=found.severity,
                    )
            except UnreadError:
                continue


@contextmanager
def telling_in(system: str) -> Iterator[None]:
    """Have the rules that run within say quantities in the units of ``system``."""
    token = _SYSTEM.set(system)
    try:
        yield
    finally:
        _SYSTEM.reset(token)


def told(value: float, dimension: str, digits: int = 3) -> str:
    """Return an SI value as a rule says it, in the units of who reads it."""
    return str(format_quantity(value, dimension, _SYSTEM.get(), digits=digits))


def such_as(written: str, dimension: str) -> str:
    """Return a value that a rule suggests, as somebody would write it who reads it."""
    return quantity_in(written, dimension, _SYSTEM.get())


def beyond(value: float, limit: float, slack: float = 1.0) -> bool:
    """Tell whether ``value`` exceeds ``limit`` by more than ``slack`` and rounding allow."""
    return value > limit * slack + 1e-9 * abs(limit)


def listed(word: str, elements: Iterable[Element]) -> Iterator[tuple[tuple[str, int], Element]]:
    """Yield the path of every element of a list of tables, and the element."""
    for index, element in enumerate(elements):
        yield (word, index), element


def trigger(
    table: str,
    word: str,
    chosen: str,
    climb: Quantity | None,
    time: Quantity | None,
    prefix: str = "",
) -> Iterator[Finding]:
    """Yield what is wrong with an event that is set by a climb speed, a time or neither.

    ``prefix`` stands before the two words in the names of their fields.
    """
    for cause, given, example in (("climb", climb, "50 ft/s"), ("time", time, "2.8 s")):
        field = prefix + cause
        if chosen == cause and given is None:
            message = f'{word} = "{cause}" needs the field {field}'
            mend = f'add {field} = "{example}" to [{table}]'
            yield Finding("doc-no-trigger", (table, word), message, mend)
        elif chosen != cause and given is not None:
            message = f'{field} is not used with {word} = "{chosen}"'
            mend = f'write {word} = "{cause}", or take {field} out'
            yield Finding("doc-not-used", (table, field), message, mend, "warning")
