"""The list to go over on the pad, to be read on a phone or printed."""

from __future__ import annotations

import hashlib
import json
from typing import TYPE_CHECKING

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from loftwright.errors import ProblemError
from loftwright.web.bench import bench_of
from loftwright.web.rendering import render

if TYPE_CHECKING:
    from collections.abc import Sequence

    from loftwright.ledger.standing import Standing
    from loftwright.report.pad_list import PadPart

__all__ = ["ROUTES", "mark_of"]


def mark_of(found: Standing, parts: Sequence[PadPart]) -> str:
    """Return what tells this list from any other that is ticked.

    That is its lines, the campaign, the flight to come, those that took place, and the day: on
    another one a battery has to be measured again.
    """
    begun = None if found.begun is None else found.begun.name
    flights = [(each.name, each.has_flown) for each in found.flights]
    lines = [(part.head, part.lines) for part in parts]
    whole = json.dumps([str(found.home), found.day.isoformat(), begun, flights, lines])
    return hashlib.sha256(whole.encode()).hexdigest()


def _pad(request: Request) -> Response:
    from loftwright.ledger.next_step import beside_the_check
    from loftwright.ledger.standing import standing
    from loftwright.report.cautions import DEFERENCE
    from loftwright.report.pad_list import pad_list

    bench = bench_of(request)
    found = bench.memory.recall("standing", lambda: standing(bench.home))
    if found.campaign is None or found.checked is None:
        raise ProblemError(found.broken)
    parts = pad_list(found.campaign, found.checked)
    return render(
        request,
        "pad.html.j2",
        parts=parts,
        mark=mark_of(found, parts),
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
