"""Forms that pages post: read in the event loop, acted on in a thread."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from functools import wraps

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import Response

__all__ = ["every", "posted", "word"]

FIELDS = 200  # of one form


def posted(
    act: Callable[[Request, FormData], Response],
) -> Callable[[Request], Awaitable[Response]]:
    """Return an endpoint that reads the form and lets ``act`` answer in a thread."""

    @wraps(act)
    async def endpoint(request: Request) -> Response:
        async with request.form(max_files=0, max_fields=FIELDS) as form:
            return await run_in_threadpool(act, request, form)

    return endpoint


def word(form: FormData, name: str) -> str | None:
    """Return what stands in a field, None where nothing does."""
    value = form.get(name)
    return value.strip() or None if isinstance(value, str) else None


def every(form: FormData, name: str) -> tuple[str, ...]:
    """Return every value of a field that may be there several times."""
    return tuple(each.strip() for each in form.getlist(name) if isinstance(each, str) and each)
