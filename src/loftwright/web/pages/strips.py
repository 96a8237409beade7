"""Windows of strips for the pages that show them, as drawings and as numbers."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any, Final

from starlette.requests import Request
from starlette.responses import Response, StreamingResponse
from starlette.routing import Route

from loftwright.errors import Problem, ProblemError, Where, as_dict
from loftwright.report.shell import typed
from loftwright.web.bench import bench_of
from loftwright.web.encoded import PlainJSON
from loftwright.web.strips import strip_missing

if TYPE_CHECKING:
    from loftwright.report.strip import Layout
    from loftwright.report.window import LevelledStrip, Window

__all__ = ["ROUTES"]

WIDE: Final = "wide"  # as pages and files are drawn where nothing else is asked for
MOST_LANES: Final = 200  # names in an address
MISSING: Final = "strip-missing"
_NUMBER: Final = re.compile(r"[0-9]{1,6}")


def _window(request: Request) -> Response:
    """Return a window as JSON: drawing, samples for the cursor, and what it is a part of."""
    from loftwright.report.strip_numbers import window_readout
    from loftwright.report.window import draw_window, lane_calls, whole_of

    try:
        source, window = _asked(request)
        kind, layout = _layout(request)
        told = {
            "schema": "loftwright/strip-window/1",
            "title": source.strip.title,
            "whole": whole_of(source.strip),
            "lanes": [
                call
                for call, lane in zip(lane_calls(source.strip), source.strip.lanes, strict=True)
                if not lane.empty
            ],
            "name": _name(source),
            "command": _command(request, source, window),
            "svg": draw_window(source, window, layout, kind),
            "readout": window_readout(source, window, layout),
        }
    except ProblemError as error:
        return _problems(error)
    return Response(json.dumps(told, separators=(",", ":"), allow_nan=False), media_type=JSON)


def _svg(request: Request) -> Response:
    from loftwright.report.strip_export import strip_svg

    try:
        source, window = _asked(request)
        kind, _ = _layout(request)
    except ProblemError as error:
        return _problems(error)
    return Response(
        strip_svg(source, window, kind), media_type="image/svg+xml", headers=_named(source, "svg")
    )


def _csv(request: Request) -> Response:
    from loftwright.report.strip_export import strip_csv

    try:
        source, window = _asked(request)
    except ProblemError as error:
        return _problems(error)
    pieces: Iterator[str] = strip_csv(source, window)
    return StreamingResponse(
        pieces, media_type="text/csv; charset=utf-8", headers=_named(source, "csv")
    )


JSON: Final = "application/json"
ROUTES = [
    Route("/strips/{key}/{number}/window", _window),
    Route("/strips/{key}/{number}.svg", _svg),
    Route("/strips/{key}/{number}.csv", _csv),
]


# ---------------------------------------------------------------- what is asked for


def _asked(request: Request) -> tuple[LevelledStrip, Window]:
    from loftwright.report.window import window_of

    source = bench_of(request).strips.find(*_place(request))
    names = request.query_params.getlist("without")
    if len(names) > MOST_LANES:
        raise _impossible("without", f"{len(names)} lanes")
    start, end = _time(request, "from"), _time(request, "to")
    return source, window_of(source.strip, start, end, names)


def _place(request: Request) -> tuple[str, int]:
    key, number = request.path_params["key"], request.path_params["number"]
    if _NUMBER.fullmatch(number) is None:
        raise strip_missing(key, -1)
    return key, int(number)


def _time(request: Request, name: str) -> float | None:
    text = request.query_params.get(name)
    if text is None:
        return None
    try:
        return float(text)
    except ValueError as error:
        raise _impossible(name, text) from error


def _layout(request: Request) -> tuple[str, Layout]:
    from loftwright.report.drawn import LAYOUTS

    kind = request.query_params.get("width", WIDE)
    if kind not in LAYOUTS:
        raise _impossible("width", kind)
    return kind, LAYOUTS[kind]


def _impossible(name: str, value: str) -> ProblemError:
    where = Where(field=name, value=value[:80])
    message, mend = "this part of the address is not possible", "load the page anew"
    return ProblemError([Problem("strip-asked", message, where, mend)])


# ---------------------------------------------------------------- what is answered


def _problems(error: ProblemError) -> Response:
    told = [as_dict(problem) for problem in error.problems]
    missing = any(problem.code == MISSING for problem in error.problems)
    answer: dict[str, Any] = {"schema": "loftwright/problems/1", "problems": told}
    return PlainJSON(answer, 404 if missing else 422)


def _command(request: Request, source: LevelledStrip, window: Window) -> str | None:
    """Return the command that writes the same files, None where the strip is kept nowhere.

    Of the colours of a page only the browser knows: it puts ``--dark`` behind.
    """
    from loftwright.report.window import lane_calls

    path = bench_of(request).strips.path(*_place(request))
    if path is None:
        return None
    words = ["loftwright", "strip", str(path)]
    if request.query_params.get("from") is not None:
        words += ["--from", f"{window.start!r}s"]
    if request.query_params.get("to") is not None:
        words += ["--to", f"{window.end!r}s"]
    calls = lane_calls(source.strip)
    for number in sorted(window.without):
        words += ["--without", calls[number]]
    if (kind := _layout(request)[0]) != WIDE:
        words += ["--width", kind]
    for suffix in ("png", "svg", "csv"):
        words += [f"--{suffix}", f"{_name(source)}.{suffix}"]
    return typed(words)


def _named(source: LevelledStrip, suffix: str) -> dict[str, str]:
    return {"Content-Disposition": f'attachment; filename="{_name(source)}.{suffix}"'}


def _name(source: LevelledStrip) -> str:
    """Return what files of a strip are called, in letters that every system takes."""
    kept = (char if char.isascii() and char.isalnum() else "-" for char in source.strip.title)
    return "-".join(filter(None, "".join(kept).lower().split("-")))[:60].strip("-") or "strip"
