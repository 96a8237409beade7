"""A flight without a log yet: its page says what is under way, and loads anew when it has one."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from loftwright.web.bench import bench_of
from loftwright.web.debrief.arrivals import arriving
from loftwright.web.pages.debrief_flight import flight_of, record_of
from loftwright.web.rendering import render

__all__ = ["ROUTES"]

UNCHANGED = 204


def _arrival(request: Request) -> Response:
    """Return what a page without a log is to show now; nothing where it shows that already.

    The page is asked to load anew where there is more to it than words: a log, or work to watch.
    """
    bench, flight = bench_of(request), flight_of(request)
    record = record_of(bench, flight)
    arrival, kept = arriving(bench, flight, record), len(record.evidence)
    seen = request.query_params
    if (arrival.mark, str(kept)) == (seen.get("mark"), seen.get("kept")):
        return Response(status_code=UNCHANGED)
    answer = render(
        request, "debrief_arrival.html.j2", flight=flight, record=record, arrival=arrival
    )
    logged = any(each.kind in ("log", "firing") for each in record.evidence)
    if logged or arrival.jobs or str(kept) != seen.get("kept"):
        answer.headers["hx-refresh"] = "true"
    return answer


ROUTES = [Route("/debrief/{flight}/arrival", _arrival)]
