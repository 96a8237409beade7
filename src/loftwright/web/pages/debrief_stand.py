"""Firings on the stand: what a record teaches of the nozzle, written after a look."""

from __future__ import annotations

from typing import Any

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from loftwright.errors import Problem
from loftwright.web.bench import Bench, bench_of
from loftwright.web.debrief.debriefs import Debriefs
from loftwright.web.jobs import Job, State
from loftwright.web.pages.debrief_flight import flight_of, place_of, record_of
from loftwright.web.pages.debrief_learn import documents_stand, note_stand, noted_stand
from loftwright.web.posting import Form, posted
from loftwright.web.rendering import render

__all__ = ["ROUTES"]


def _words(flight: str) -> list[str]:
    return ["firing", "--flight", flight]


def _fired(request: Request) -> Response:
    """Show what the records of a firing say; work is started where it has not been done."""
    bench, flight = bench_of(request), flight_of(request)
    if not any(each.kind == "firing" for each in record_of(bench, flight).evidence):
        return RedirectResponse(place_of(flight), 303)
    return _page(request, flight)


def _job(bench: Bench, flight: str, may_start: bool) -> Job:
    """Return the fit to the firing, for the documents as they are now.

    Raises ``ProblemError`` where there is none, and who looks may not start it.
    """
    title, stand = f"Fit to the firing {flight}", documents_stand(bench)

    def begin() -> Job:
        job = bench.jobs.start(_words(flight), page="stand", title=title)
        note_stand(job, stand)
        return job

    words = [*_words(flight), stand]
    return Debriefs(bench, flight).found_or_started(
        words, title, may_start=may_start, ledger=False, begin=begin
    )


def _page(
    request: Request, flight: str, problems: list[Problem] | None = None, status: int = 200
) -> Response:
    bench = bench_of(request)
    job = _job(bench, flight, request.state.may_change)
    wrote = next(
        (each for each in bench.jobs.all() if "--write" in each.words and flight in each.words),
        None,
    )
    answer: dict[str, Any] = job.answer() or {}
    context: dict[str, Any] = {
        "flight": flight,
        "record": record_of(bench, flight),
        "files": list(enumerate(record_of(bench, flight).evidence)),
        "job": job,
        "wrote": wrote,
        "fitted": answer.get("fitted") or {},
        "problems": problems or [],
        "command": job.command,
    }
    return render(request, "debrief_stand.html.j2", status=status, **context)


def _write(request: Request, form: Form) -> Response:
    """Write the coefficients that were looked at, if the documents are still the same."""
    bench, flight = bench_of(request), flight_of(request)
    job = bench.jobs.find(form.get("fit"))
    if job is None or job.page != "stand" or job.state is not State.DONE:
        raise HTTPException(404)
    if noted_stand(job) != documents_stand(bench):
        message = "the documents have been changed since this was fitted; nothing was written"
        mend = "look at the fit as it is now, and write then"
        return _page(request, flight, [Problem("fit-meanwhile", message, mend=mend)], 409)
    words = [*_words(flight), "--write"]
    if form.get("again"):
        words += ["--again"]
    title = f"Write what the firing {flight} taught"
    bench.once.do(form.get("once"), lambda: bench.jobs.start(words, page="stand", title=title))
    return RedirectResponse(place_of(flight, "stand"), 303)


ROUTES = [
    Route("/stand/{flight}", _fired),
    Route("/stand/{flight}/write", posted(_write), methods=["POST"]),
]
