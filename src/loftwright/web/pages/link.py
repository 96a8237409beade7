"""Whether the workbench answers, for pages that stay open while the network goes and comes."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from loftwright.web.bench import bench_of
from loftwright.web.encoded import PlainJSON

__all__ = ["ROUTES"]


async def _link(request: Request) -> Response:
    """Return the token that counts now: a page from before a new start goes on with it.

    The guard has let in who asks, and pages elsewhere cannot read the answer, no more than a page
    with the token in it.
    """
    return PlainJSON({"token": bench_of(request).config.token})


ROUTES = [Route("/link", _link)]
