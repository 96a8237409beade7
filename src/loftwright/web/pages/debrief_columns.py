"""How the columns of a kept file are read, to be looked at and corrected."""

from __future__ import annotations

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from loftwright.web.bench import bench_of
from loftwright.web.debrief.takes import Takes
from loftwright.web.pages.debrief_flight import evidence_path, flight_of, record_of
from loftwright.web.posting import Form, posted

__all__ = ["ROUTES"]


def _again(request: Request, _: Form) -> Response:
    """Have a kept file looked at once more, as one that came in."""
    bench, flight = bench_of(request), flight_of(request)
    evidence = record_of(bench, flight).evidence
    number = request.path_params["number"]
    if number >= len(evidence):
        raise HTTPException(404)
    path = evidence_path(bench, flight, evidence[number])
    takes = Takes(bench.home)
    waiting = (
        each
        for each in takes.all()
        if each.flight == flight and each.job is None and [one.path for one in each.items] == [path]
    )
    take = next(waiting, None) or takes.again(path, flight)
    return RedirectResponse(f"/incoming/{take.id}", 303)


ROUTES = [
    Route("/debrief/{flight}/columns/{number:int}", posted(_again), methods=["POST"]),
]
