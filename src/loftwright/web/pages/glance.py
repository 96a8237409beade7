"""The campaign at a glance."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from loftwright.web.bench import bench_of
from loftwright.web.rendering import render

__all__ = ["ROUTES"]


def _glance(request: Request) -> Response:
    bench = bench_of(request)
    campaign = bench.read_campaign() if bench.begun else None
    return render(request, "glance.html.j2", campaign=campaign, jobs=bench.jobs.all()[:5])


ROUTES = [Route("/", _glance)]
