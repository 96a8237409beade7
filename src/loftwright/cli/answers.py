"""Answers for programs and problems for everybody.

With ``--json`` a command writes exactly one JSON object to standard output: ``schema`` names it
with its version, keys carry their units, what is not known is null. Problems take the place of
the answer then; without ``--json`` they go to standard error as text.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from loftwright.errors import Problem
    from loftwright.flight.results import Provenance
    from loftwright.rehearsal.results import Writing

__all__ = [
    "emit",
    "hearing",
    "made_by",
    "plain",
    "schema",
    "tell_problems",
    "tell_warnings",
    "written_as",
]

_heard: ContextVar[list[str] | None] = ContextVar("heard", default=None)

# Raised when a key of that command's answer changes its meaning or goes; not when one is added.
VERSIONS = {
    "new": 1,
    "glance": 1,
    "glance-pad": 1,
    "check": 1,
    "set": 1,
    "undo": 1,
    "changes": 1,
    "program-check": 1,
    "program-explain": 1,
    "program-emit-c": 1,
    "record": 1,
    "record-proposal": 1,
    "firing": 1,
    "forecast": 2,
    "whatif": 1,
    "rehearse": 1,
    "rehearse-watch": 1,
    "adopt": 1,
    "causes": 1,
    "tune": 1,
    "compare": 1,
    "explore": 1,
    "best": 1,
    "sensitivity": 1,
    "debrief": 1,
    "fit": 1,
    "doctor": 1,
    "explain": 1,
    "serve": 1,
    "problems": 1,
    "program-run": 1,
    "strip": 1,
    "ledger-take-in": 1,
    "ledger-list": 1,
    "ledger-show": 1,
    "ledger-compare": 1,
    "ledger-finding": 1,
    "ledger-action": 1,
    "ledger-decision": 1,
    "ledger-close": 1,
    "ledger-judge": 1,
    "ledger-reliability": 1,
    "ledger-ready": 1,
    "ledger-verify": 1,
    "ledger-export": 1,
    "ledger-import": 1,
}


def schema(command: str) -> str:
    """Return the name and version of a command's answer, e.g. ``"loftwright/check/1"``."""
    return f"loftwright/{command}/{VERSIONS[command]}"


def emit(command: str, body: Mapping[str, Any]) -> None:
    """Write the answer of ``command`` as one JSON object."""
    import json

    answer = {"schema": schema(command), **body}
    text = json.dumps(plain(answer), indent=2, allow_nan=False)
    heard = _heard.get()
    if heard is None:
        click.echo(text)
    else:
        heard.append(text + "\n")


@contextmanager
def hearing() -> Iterator[list[str]]:
    """Collect the answers of commands that the body runs, in place of writing them out.

    Only those of this thread, so that several can be asked side by side.
    """
    heard: list[str] = []
    mark = _heard.set(heard)
    try:
        yield heard
    finally:
        _heard.reset(mark)


def plain(value: Any) -> Any:
    """Return ``value`` as JSON can hold it: arrays as lists, NaN and infinity as null."""
    if hasattr(value, "tolist"):  # NumPy's arrays and scalars, without importing NumPy
        value = value.tolist()
    if isinstance(value, Mapping):
        return {str(key): plain(each) for key, each in value.items()}
    if isinstance(value, (list, tuple)):
        return [plain(each) for each in value]
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    return str(value) if isinstance(value, Path) else value


def made_by(provenance: Provenance) -> dict[str, Any]:
    """Return what made a result, as plain data."""
    return {
        "documents_sha256": provenance.documents,
        "model": provenance.model,
        "seed": provenance.seed,
        "flights": provenance.flights,
        "relative_tolerance": provenance.relative_tolerance,
        "laws": list(provenance.laws),
    }


def written_as(writings: Iterable[Writing]) -> list[dict[str, Any]]:
    """Return what a change writes into the documents, as ``adopt`` reads it."""
    return [
        {"file": each.file, "set": each.values, "add": each.added, "new": each.is_new}
        for each in writings
    ]


def tell_problems(problems: Sequence[Problem], as_json: bool) -> None:
    """Write problems to standard output as JSON, or to standard error as text."""
    from loftwright.errors import as_dict, as_text

    if as_json:
        emit("problems", {"problems": [as_dict(problem) for problem in problems]})
        return
    for problem in problems:
        click.echo(as_text(problem) + "\n", err=True)
    codes = list(dict.fromkeys(problem.code for problem in problems))
    if not all(code.startswith("command-") for code in codes):
        click.echo(f"More about any of these: loftwright explain {codes[0]}", err=True)


def tell_warnings(warnings: Sequence[Problem]) -> None:
    """Write warnings to standard error as text."""
    from loftwright.errors import as_text

    for warning in warnings:
        click.echo(as_text(warning) + "\n", err=True)
