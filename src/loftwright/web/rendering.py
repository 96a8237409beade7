"""Pages out of templates."""

from __future__ import annotations

import time
from collections.abc import Sequence
from functools import cache
from secrets import token_urlsafe
from typing import Any

import jinja2
from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import HTMLResponse

from loftwright.cli.progress import duration
from loftwright.report.estimates import day_here, day_words
from loftwright.report.shell import typed
from loftwright.report.templating import environment_of
from loftwright.web.bench import bench_of
from loftwright.web.encoded import page
from loftwright.web.statics import static_url, vendored

__all__ = ["STEPS", "environment", "render"]

# The steps of the job, in its order: word and path.
STEPS = (
    ("Glance", "/"),
    ("Describe", "/describe"),
    ("Forecast", "/forecast"),
    ("Rehearse", "/rehearse"),
    ("Debrief", "/debrief"),
    ("Ledger", "/ledger"),
)


@cache
def environment() -> jinja2.Environment:
    """Return the templates, with everything escaped that is put into them."""
    made = environment_of("loftwright.web")
    made.filters |= {"duration": duration, "moment": moment, "bytes": size_words, "day": day_words}
    made.filters["day_here"] = day_here
    made.globals["once_field"] = once_field
    made.globals |= {"static_url": static_url, "vendored": vendored, "steps": STEPS}
    return made


def render(request: Request, template: str, *, status: int = 200, **context: Any) -> HTMLResponse:
    """Return the page that ``template`` makes of ``context``.

    Every template knows ``token``, ``campaign_name``, ``here`` (the path of the step that the
    request belongs to), ``jobs_running``, ``is_here`` (whether the page is seen on
    this machine), ``is_sent`` (whether something was sent to it) and ``command``: the words or the
    text of the command that does the same as the page, None where there is none.
    """
    bench = bench_of(request)
    shared = {
        "token": bench.config.token,
        "campaign_name": _campaign_name(request),
        "here": _step(request.url.path),
        "jobs_running": len(bench.jobs.running()),
        "token_field": lambda: Markup('<input type="hidden" name="token" value="{}">').format(
            bench.config.token
        ),
    }
    shared["is_here"] = getattr(request.state, "from_loopback", True)
    shared["is_sent"] = request.method == "POST"
    shared |= {**context, "command": _command(context.get("command"))}
    return page(environment().get_template(template).render(shared), status)


def once_field() -> Markup:
    """Return a field with a key that no other form has: what it sends is done once."""
    return Markup('<input type="hidden" name="once" value="{}">').format(token_urlsafe(12))


def moment(seconds: float) -> str:
    """Return a moment, s since 1970, by the clock of this machine."""
    return time.strftime("%Y-%m-%d, %H:%M", time.localtime(seconds))


def size_words(count: int) -> str:
    """Return so many bytes as a person says it."""
    for unit, size in (("GB", 1e9), ("MB", 1e6), ("kB", 1e3)):
        if count >= size:
            return f"{count / size:.3g} {unit}"
    return f"{count} bytes"


def _command(words: str | Sequence[str] | None) -> str | None:
    if words is None or isinstance(words, str):
        return words
    return typed(words)


def _step(path: str) -> str:
    """Return the path of the step whose page ``path`` is."""
    own = [step for _, step in STEPS if step != "/" and f"{path}/".startswith(f"{step}/")]
    if path.startswith(("/incoming", "/learn", "/stand")):
        return "/debrief"
    if path.startswith("/program"):
        return "/rehearse"
    return own[0] if own else "/" if path == "/" else ""


def _campaign_name(request: Request) -> str:
    """Return the campaign's name, or its folder's where the documents cannot be read."""
    from loftwright.errors import ProblemError

    bench = bench_of(request)
    try:
        if bench.begun:
            return bench.read_campaign().head.name
    except ProblemError:
        pass  # the pages of the documents say what is wrong
    return bench.home.name
