"""The list to go over on the pad, to be read on a phone or printed."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from loftwright.web.bench import bench_of
from loftwright.web.rendering import render

__all__ = ["ROUTES"]


def _pad(request: Request) -> Response:
    from loftwright.flight.check import check
    from loftwright.ledger.standing import standing
    from loftwright.report.cautions import DEFERENCE
    from loftwright.report.pad_list import pad_list

    bench = bench_of(request)
    campaign = bench.read_campaign()
    checked = bench.memory.recall("check", lambda: check(campaign))
    found = bench.memory.recall("standing", lambda: standing(bench.home))
    return render(
        request,
        "pad.html.j2",
        parts=pad_list(campaign, checked),
        doubts=checked.warnings,
        examples=found.examples,
        begun=found.begun,
        actions=found.actions,
        vehicle=campaign.vehicle.name,
        deference=DEFERENCE,
    )


ROUTES = [Route("/pad", _pad)]
