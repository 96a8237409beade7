"""A refusal: a page in words for people, a fragment for a part of a page, JSON for programs."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from html import escape
from typing import Any

from loftwright.errors import Problem, Where, as_dict

__all__ = ["RefusedError", "answer"]


class RefusedError(Exception):
    """Raised to refuse a request: the status, what is wrong and how to mend it.

    ``headers`` are sent with it. ``place`` is a path that a person's browser is sent to instead.
    """

    def __init__(
        self,
        status: int,
        code: str,
        message: str,
        mend: str,
        *,
        field: str | None = None,
        value: str | None = None,
        headers: Iterable[tuple[str, str]] = (),
        place: str = "",
    ) -> None:
        self.status, self.headers, self.place = status, tuple(headers), place
        self.problem = Problem(code, message, Where(field=field, value=value), mend)
        super().__init__(message)


def answer(
    refusal: RefusedError, scope: Mapping[str, Any]
) -> tuple[int, list[tuple[str, str]], bytes]:
    """Return status, headers and body of a refusal, in the form that was asked for.

    Programs (paths below ``/api/``, or no ``text/html`` among what is accepted) get the object
    that a command with ``--json`` gives for problems.
    """
    headers = dict(scope.get("headers", ()))
    wants_page = b"text/html" in headers.get(b"accept", b"")
    is_part = headers.get(b"hx-request") == b"true"
    if scope.get("path", "").startswith("/api/") or not (wants_page or is_part):
        kind, body = "application/json", _as_json(refusal.problem)
    else:
        kind = "text/html; charset=utf-8"
        body = _part(refusal) if is_part else _page(refusal)
    status, more = refusal.status, list(refusal.headers)
    if refusal.place and wants_page and not is_part:
        status, more = 303, [*more, ("location", refusal.place)]
    content = body.encode("utf-8", "backslashreplace")
    return status, [*more, ("content-type", kind), ("content-length", str(len(content)))], content


def _as_json(problem: Problem) -> str:
    from loftwright.cli.answers import schema

    return json.dumps({"schema": schema("problems"), "problems": [as_dict(problem)]}, indent=2)


def _part(refusal: RefusedError) -> str:
    problem = refusal.problem
    return (
        f'<div class="problem" role="alert"><p><strong>{escape(_sentence(problem.message))}'
        f"</strong></p><p>{escape(_sentence(problem.mend))}</p></div>"
    )


def _page(refusal: RefusedError) -> str:
    from loftwright.web.statics import static_url

    problem = refusal.problem
    value = problem.where.value
    given = f"<p>It was: <code>{escape(value)}</code></p>\n" if value else ""
    return (
        '<!doctype html>\n<html lang="en">\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        "<title>Refused - Loftwright</title>\n"
        f'<link rel="stylesheet" href="{static_url("report.css")}">\n'
        f"<main>\n<h1>This was refused</h1>\n<p>{escape(_sentence(problem.message))}</p>\n{given}"
        f"<p><strong>How to mend it.</strong> {escape(_sentence(problem.mend))}</p>\n"
        f"<p>More about it: <code>loftwright explain {escape(problem.code)}</code></p>\n"
        '<p><a href="/">To the workbench</a></p>\n</main>\n</html>\n'
    )


def _sentence(text: str) -> str:
    capital = text[:1].upper() + text[1:]
    return capital if capital.endswith((".", "?", "!")) else capital + "."
