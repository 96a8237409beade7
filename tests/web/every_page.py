"""Every page of the workbench, at an address of its own, on a campaign in which all have something.

The routes that show no page are named with what they answer instead: `test_every_page` holds
pages and these to be all that there is. `docs/screens.py` takes its pictures of the same list.
"""

from __future__ import annotations

import os
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from starlette.routing import Route

from loftwright.web.app import page_routes
from loftwright.web.jobs import Job, Jobs, State

__all__ = ["FLIGHT", "NO_PAGES", "Kept", "address", "page_paths", "with_everything"]

FLIGHT = "2026-05-16-a"
# What is answered there is no page of its own: a part of one, a file, or what needs a form first.
NO_PAGES = {
    "/work/{job}/card": "a part of pages, asked for while work runs",
    "/work/{job}/answer.json": "a file",
    "/ledger/export.zip": "a file",
    "/strips/{key}/{number}.csv": "a file",
    "/strips/{key}/{number}.svg": "a file",
    "/strips/{key}/{number}/window": "a part of a strip",
    "/forecast/slider": "a part of the forecast's page",
    "/forecast/take/{job}": "leads to another page",
    "/debrief/{flight}/evidence/{number:int}": "a file, as it was recorded",
    "/program/{name:path}/c.zip": "a file",
    "/rehearse/{job}/{case}/flight": "leads to another page",
}
# What stands for each parameter of a route; jobs are those of `Kept`.
WORDS = {
    "document": "vehicle",
    "flight": FLIGHT,
    "item": "A1",
    "kind": "finding",
    "name": "program-board.toml",
}


@dataclass(frozen=True)
class Kept:
    """What was worked out in a campaign: its jobs by verb."""

    home: Path
    jobs: dict[str, Job]


def page_paths() -> list[str]:
    """Return the paths of all routes that show a page, as the routes write them."""
    found = [
        route.path
        for route in page_routes()
        if isinstance(route, Route) and "GET" in (route.methods or ()) and not _is_api(route.path)
    ]
    return [path for path in dict.fromkeys(found) if path not in NO_PAGES]


def _is_api(path: str) -> bool:
    return path.startswith("/api")


def address(path: str, kept: Kept) -> str:
    """Return the address of a page on that campaign.

    Raises ``KeyError`` for a parameter that `WORDS` does not know yet.
    """
    made = path
    while "{" in made:
        before, _, rest = made.partition("{")
        name, _, after = rest.partition("}")
        made = before + _word(name.partition(":")[0], path, kept) + after
    return made


def _word(name: str, path: str, kept: Kept) -> str:
    if name == "job":
        first = path.strip("/").split("/")
        verb = "tune" if "tune" in first else first[0] if first[0] in kept.jobs else "firing"
        return kept.jobs[verb].id
    return WORDS[name]


def with_everything(home: Path, *, flights: int = 20) -> Kept:
    """Fill a copy of the flown demo: entries in its ledger, work of every kind that is shown."""
    from loftwright.ledger.ledger import open_ledger
    from loftwright.ledger.taking_in import take_in

    with open_ledger(home) as ledger:
        take_in(ledger)
        ledger.add_finding(
            "The battery lost contact as the water ran out",
            flight="2026-05-09-b",
            explains="release",
            evidence=["board.csv"],
            unsettled=True,
            who="Runa",
        )
        ledger.add_action("Hold the battery with a strap", who="Pell", due="2026-06-01", finding=1)
        ledger.add_decision("Fly with two cells", why="one plug let the board go dark", who="Ivo")
    jobs = Jobs(home)
    some = ["--flights", str(flights)]
    # One after the other: the pictures are the same however many cores there are.
    asked: dict[str, tuple[Sequence[str], str]] = {
        "firing": (["firing"], "Fire it on the stand"),
        "forecast": (["forecast", *some], f"Forecast of {flights} flights"),
        "rehearse": (["rehearse", *some, "--no-mends"], f"Rehearsal, {flights} flights each"),
        "debrief": (["debrief", FLIGHT, "--keep"], "Debrief of Third lift"),
    }
    made = {
        verb: _ended(jobs.start(words, page=verb, title=title))
        for verb, (words, title) in asked.items()
    }
    return Kept(home, made)


def _ended(job: Job, patience: float = 300.0) -> Job:
    until = time.monotonic() + patience
    while job.state is State.RUNNING:
        assert time.monotonic() < until, job.said()
        os.sched_yield()
    assert job.state is State.DONE, (job.command, job.said(), job.problems())
    return job
