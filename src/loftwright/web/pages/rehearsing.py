"""All addresses of rehearsing, in the order in which they are tried."""

from __future__ import annotations

from starlette.routing import BaseRoute

from loftwright.web.pages import rehearse, rehearse_flights, rehearse_mends, tune

__all__ = ["ROUTES"]

# A job's name, and a case's, may be any word: what is fixed comes first.
ROUTES: list[BaseRoute] = [
    *rehearse.ROUTES,
    *tune.ROUTES,
    *rehearse_mends.ROUTES,
    *rehearse_flights.ROUTES,
    *rehearse.LAST,
    *rehearse_flights.LAST,
]
