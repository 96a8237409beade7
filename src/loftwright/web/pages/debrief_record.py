"""What people measured, saw and heard of a flight, as a form over its ``flight.toml``."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from loftwright.errors import Problem, ProblemError
from loftwright.web.bench import bench_of
from loftwright.web.pages.debrief_flight import flight_of, place_of
from loftwright.web.posting import Form, posted
from loftwright.web.rendering import render
from loftwright.web.said import units_of

__all__ = ["ROUTES"]


def _folder(request: Request) -> Path:
    from loftwright.documents.flights import FLIGHTS

    return bench_of(request).home / FLIGHTS / flight_of(request)


def _form(request: Request) -> Response:
    return _page(request)


def _page(
    request: Request,
    typed: Mapping[str, str] | None = None,
    problems: Sequence[Problem] = (),
    status: int = 200,
) -> Response:
    from loftwright.documents.flights import FLIGHT_FILE
    from loftwright.evidence.recorded_flight import digest_of
    from loftwright.web.debrief.record_form import groups_of, record_data, told_in

    folder = _folder(request)
    data = record_data(folder / FLIGHT_FILE)
    words = ["loftwright", "record", str(bench_of(request).home), folder.name, "--no-forecast"]
    values, removed = told_in(data, typed or {})
    for path, text in values.items() or {"conditions.wind_speed": "6 mph ± 2 mph"}.items():
        words += ["--set", f"{path}={text}"]
    for path in removed:
        words += ["--unset", path]
    fields = set(typed or {})
    context: dict[str, Any] = {
        "flight": folder.name,
        "groups": groups_of(data, typed, problems, units_of(bench_of(request))),
        "based_on": digest_of(folder / FLIGHT_FILE)[0],
        "problems": [each for each in problems if each.where.field not in fields],
        "command": words,
    }
    return render(request, "debrief_record.html.j2", status=status, **context)


def _save(request: Request, form: Form) -> Response:
    """Change the record where it is still what the form showed; say so where it is not."""
    from loftwright.documents.flights import FLIGHT_FILE
    from loftwright.evidence.keeping import Change, change_record
    from loftwright.web.debrief.record_form import record_data, told_in

    folder, typed = _folder(request), form.below("record:")
    try:
        values, removed = told_in(record_data(folder / FLIGHT_FILE), typed)
        change_record(folder, Change(values, removed, form.get("based_on") or None))
    except ProblemError as error:
        meanwhile = any(each.code == "record-meanwhile" for each in error.problems)
        return _page(request, typed, error.problems, 409 if meanwhile else 422)
    return RedirectResponse(place_of(folder.name), 303)


ROUTES = [
    Route("/debrief/{flight}/record", _form),
    Route("/debrief/{flight}/record", posted(_save), methods=["POST"]),
]
