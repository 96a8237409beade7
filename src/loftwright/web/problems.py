"""What is wrong, as a page: never a traceback, always what to do next."""

from __future__ import annotations

import errno
from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from loftwright.errors import Problem, ProblemError, Where, as_dict
from loftwright.web.encoded import PlainJSON

if TYPE_CHECKING:
    from loftwright.web.bench import Bench

__all__ = ["HANDLERS", "problem_page"]

WORDS = {404: "there is no such page", 405: "this page does not take that"}


def problem_page(request: Request, problems: list[Problem], status: int = 422) -> Response:
    """Return a page, or JSON under ``/api``, that says what is wrong and how to mend it."""
    from loftwright.web.rendering import render

    told = [as_dict(problem) for problem in problems]
    if request.url.path.startswith("/api/"):
        return PlainJSON({"schema": "loftwright/problems/1", "problems": told}, status)
    return render(request, "problems.html.j2", status=status, problems=told)


def _for_people(request: Request, error: Exception) -> Response:
    assert isinstance(error, ProblemError)
    if _is_for_a_campaign(request):
        from loftwright.web.rendering import render

        return render(request, "begin.html.j2", status=404, jobs=())
    return problem_page(request, list(_of_the_folder(request) or error.problems))


def _of_the_folder(request: Request) -> Sequence[Problem]:
    """Return what is wrong where the whole folder was taken away: all else comes of that."""
    bench = _bench(request)
    try:
        if bench is not None:
            bench.look_for_folder()
    except ProblemError as error:
        return error.problems
    return ()


def _bench(request: Request) -> Bench | None:
    """Return what the pages of a campaign share; a list of campaigns has none."""
    return getattr(request.app.state, "bench", None)


def _is_for_a_campaign(request: Request) -> bool:
    """Tell whether a page was asked for in a folder that has no campaign yet."""
    bench = _bench(request)
    if bench is None or request.method != "GET" or request.url.path.startswith("/api/"):
        return False
    return bench.home.is_dir() and not bench.begun


def _refused(request: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)
    words = WORDS.get(error.status_code, error.detail)
    problem = Problem("page-not-found", words, mend="go to another page by the links at the top")
    return problem_page(request, [problem], error.status_code)


def _of_the_disk(request: Request, error: Exception) -> Response:
    """Say that the disk takes no writing, or lets nobody read; any other trouble is a fault."""
    assert isinstance(error, OSError)
    if error.errno not in _DISK:
        raise error
    message = f"the system refuses a file: {error.strerror}"
    where = Where(file=str(error.filename) if error.filename else None)
    mend = "see whether the folder may be read and written to and has room; what stood there stands"
    return problem_page(request, [Problem("file-not-written", message, where, mend)])


# What a system says of a disk that is full, failing, write-protected or somebody else's.
_DISK = {
    errno.ENOSPC, errno.EDQUOT, errno.EFBIG, errno.EIO, errno.EROFS, errno.EACCES, errno.EPERM,
}  # fmt: skip
HANDLERS: Mapping[Any, Callable[[Request, Exception], Response]] = {
    ProblemError: _for_people,
    HTTPException: _refused,
    OSError: _of_the_disk,
}
