"""The list to go over on the pad, to be read on a phone or printed."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from loftwright.errors import ProblemError
from loftwright.web.bench import bench_of
from loftwright.web.rendering import render

__all__ = ["ROUTES"]


def _pad(request: Request) -> Response:
    from loftwright.ledger.next_step import beside_the_check
    from loftwright.ledger.standing import standing
    from loftwright.report.cautions import DEFERENCE
    from loftwright.report.pad_list import pad_list

    bench = bench_of(request)
    found = bench.memory.recall("standing", lambda: standing(bench.home))
    if found.campaign is None or found.checked is None:
        raise ProblemError(found.broken)
    return render(
        request,
        "pad.html.j2",
        parts=pad_list(found.campaign, found.checked),
        doubts=(*found.broken, *found.doubts),
        examples=found.examples,
        begun=found.begun,
        actions=found.actions,
        against=beside_the_check(found),
        vehicle=found.campaign.vehicle.name,
        deference=DEFERENCE,
        command=["loftwright", "glance", str(bench.home), "--pad"],
    )


ROUTES = [Route("/pad", _pad)]
