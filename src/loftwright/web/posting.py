"""Forms that pages send, read before the work that they ask for is done in a thread."""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Collection, Mapping

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response

from loftwright.errors import Problem, ProblemError, Where

__all__ = ["Form", "posted"]

MOST_FIELDS = 20_000  # several logs of two hundred columns each have as many


class Form:
    """What a form said: texts by name; the last of several counts.

    Line ends are those of Unix, and blanks around a text are gone, save in fields that a route
    wants verbatim.
    """

    def __init__(self, pairs: list[tuple[str, str]]) -> None:
        self.pairs = pairs
        self._last = dict(pairs)

    def get(self, name: str, missing: str = "") -> str:
        """Return the text of a field; ``missing`` where it was not sent."""
        return self._last.get(name, missing)

    def word(self, name: str) -> str | None:
        """Return the text of a field; None where there is none."""
        return self.get(name) or None

    def all(self, name: str) -> list[str]:
        """Return the texts of all fields of this name."""
        return [text for each, text in self.pairs if each == name]

    def below(self, start: str) -> Mapping[str, str]:
        """Return the fields whose names begin with ``start``, without it."""
        return {
            name.removeprefix(start): text for name, text in self.pairs if name.startswith(start)
        }


def posted(
    handler: Callable[[Request, Form], Response], *, verbatim: Collection[str] = ()
) -> Callable[[Request], Awaitable[Response]]:
    """Return a route that reads the form of a request and has ``handler`` answer in a thread.

    ``verbatim`` are fields whose blanks count, like the text of a document.
    """

    async def route(request: Request) -> Response:
        async with request.form(max_files=1, max_fields=MOST_FIELDS) as sent:
            pairs = [
                (name, _text(name, text, name in verbatim)) for name, text in sent.multi_items()
            ]
        return await run_in_threadpool(handler, request, Form(pairs))

    return route


def _text(name: str, sent: object, verbatim: bool) -> str:
    """Return what stands in a field. Raises ``ProblemError`` for what is no text."""
    text = str(sent) if isinstance(sent, str) else "\0"
    if "\0" in text:
        message, mend = "a field of the form has signs in it that are no text", "type it again"
        raise ProblemError([Problem("upload-form", message, Where(field=name[:80]), mend)])
    text = text.replace("\r\n", "\n")
    return text if verbatim else text.strip()
