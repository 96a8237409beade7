"""Every page of the workbench, at an address of its own, on a campaign in which all have something.

The routes that show no page are named with what they answer instead: `test_every_page` holds
pages and these to be all that there is. `docs/screens.py` takes its pictures of the same list.
"""

from __future__ import annotations

import os
import subprocess
import sys
import time
from dataclasses import dataclass
from pathlib import Path

import httpx
from starlette.routing import Route
from web.serving import Served

from loftwright.web.app import page_routes
from loftwright.web.bench import Bench
from loftwright.web.jobs import Job, State
from loftwright.web.rehearse.rehearsals import start_kept

__all__ = [
    "FLIGHT", "NO_PAGES", "STAND", "Filled", "Kept", "address", "page_paths", "with_everything",
]  # fmt: skip

FLIGHT, STAND = "2026-05-16-a", "2026-05-20-stand"
# What is answered there is no page of its own: a part of one, a file, or what needs a form first.
NO_PAGES = {
    "/work/{job}/card": "a part of pages, asked for while work runs",
    "/work/{job}/answer.json": "a file",
    "/work/{job}/report.html": "a report by itself, shut off from the workbench",
    "/ledger/export.zip": "a file",
    "/strips/{key}/{number}.csv": "a file",
    "/strips/{key}/{number}.svg": "a file",
    "/strips/{key}/{number}/window": "a part of a strip",
    "/enter": "leads on to the first page, save for a phone without its code",
    "/link": "what open pages ask, whether the workbench answers",
    "/forecast/slider": "a part of the forecast's page",
    "/forecast/take/{job}": "leads to another page",
    "/debrief/{flight}/arrival": "a part of a flight's page, asked for while it has no log",
    "/debrief/{flight}/evidence/{number:int}": "a file, as it was recorded",
    "/program/{name:path}/c.zip": "a file",
    "/rehearse/compare": "leads to another page",
    "/rehearse/{job}/{case}/flight": "leads to another page",
}
# What is asked of a page so that it has something to show.
ASKED = {
    "/ledger/compare": "?one=2026-05-09-a&other=2026-05-16-a",
    "/program/{name:path}/replay": f"?log={FLIGHT}/board.csv",
}
# What stands for each parameter of a route; the rest is in `Kept`.
WORDS = {
    "document": "vehicle",
    "flight": FLIGHT,
    "item": "A1",
    "kind": "finding",
    "name": "program-board",
    "number": "0",
}
OF_ROUTE = {("/stand/{flight}", "flight"): STAND}


@dataclass(frozen=True)
class Kept:
    """What was worked out in a campaign: jobs by verb, and words for parameters of routes."""

    jobs: dict[str, Job]
    words: dict[str, str]


@dataclass(frozen=True)
class Filled:
    """A served campaign in which every page has something to show."""

    served: Served
    kept: Kept


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

    Raises ``KeyError`` for a parameter that nothing stands for yet.
    """
    made = path
    while "{" in made:
        before, _, rest = made.partition("{")
        name, _, after = rest.partition("}")
        made = before + _word(name.partition(":")[0], path, kept) + after
    return made + ASKED.get(path, "")


def _word(name: str, path: str, kept: Kept) -> str:
    if name == "job":
        first = path.strip("/").split("/")
        return kept.jobs["tune" if "tune" in first else first[0]].id
    known = WORDS | kept.words
    return OF_ROUTE.get((path, name)) or known[name]


# ---------------------------------------------------------------- a campaign that has everything


def with_everything(served: Served, *, flights: int = 20) -> Kept:
    """Fill a served copy of the flown demo with entries, records and work of every kind."""
    home, bench = served.home, served.bench
    _entries(home)
    _stand_record(home)
    some = ["--flights", str(flights)]
    rehearse = ["rehearse", *some, "--no-mends"]
    vary = "board.let go.climb=20 ft/s..60 ft/s"
    tune = ["tune", "--vary", vary, "--flights", str(max(flights // 2, 4)), "--points", "5"]
    # One after the other: a busy machine changes nothing.
    asked: dict[str, tuple[list[str], str]] = {
        "work": (["firing"], "Fire it on the stand"),
        "forecast": (["forecast", *some], f"Forecast of {flights} flights"),
        "beside": ([*rehearse, "--seed", "2"], f"Rehearsal, {flights} flights a case, seed 2"),
        "rehearse": ([*rehearse, "--seed", "1"], f"Rehearsal, {flights} flights a case, seed 1"),
        "tune": (tune, "Tuning of when the board lets go"),
        "debrief": (["debrief", FLIGHT, "--keep"], "Debrief of Third lift"),
    }
    jobs = {
        name: _ended(start_kept(bench, words, page=words[0], title=title))
        for name, (words, title) in asked.items()
    }
    words = {
        "other": jobs["beside"].id,
        "take": _incoming(served),
        **_case(bench, jobs["rehearse"]),
    }
    return Kept(jobs, words)


def _entries(home: Path) -> None:
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


def _stand_record(home: Path) -> None:
    """Keep a made-up record of a firing on the stand: 320 N at first, nothing after 0.2 s."""
    lines = ["time_s,force_N"]
    for k in range(1200):
        after = (k - 500) / 1000.0
        force = 320.0 * max(1.0 - after / 0.2, 0.0) if after >= 0.0 else 0.0
        lines.append(f"{k / 1000.0:.3f},{force + 0.7 * ((k * 7919) % 13 - 6) / 6:.2f}")
    record = home.parent / "stand.csv"
    record.write_text("\n".join([*lines, ""]), encoding="utf-8")
    words = ["record", str(home), STAND, str(record), "--as", "firing", "--yes", "--no-forecast"]
    command = [sys.executable, "-m", "loftwright", *words]
    subprocess.run(command, check=True, capture_output=True)


def _incoming(served: Served) -> str:
    """Send a log as a page does; return the name of what waits to be kept."""
    log = served.home / "flights" / FLIGHT / "evidence" / "board.csv"
    said = httpx.post(
        f"{served.url}/debrief/files",
        files={"token": (None, served.token), "files": ("board-4.csv", log.read_bytes())},
    )
    assert said.status_code == 303, said.text
    return said.headers["location"].rpartition("/")[2]


def _case(bench: Bench, job: Job) -> dict[str, str]:
    """Return a case of a rehearsal and an outcome in it that some flights have."""
    from loftwright.web.rehearse.rehearsals import COLUMNS, rehearsal_kept, slug

    kept = rehearsal_kept(bench, job)
    assert kept is not None
    for name, case in kept.cases.items():
        for column in COLUMNS:
            for word in case.noted.get(column, {}):
                return {"case": name, "outcome": f"{column}-{slug(word)}"}
    raise AssertionError("no case of the rehearsal has noted any flight")


def _ended(job: Job, patience: float = 300.0) -> Job:
    until = time.monotonic() + patience
    while job.state is State.RUNNING:
        assert time.monotonic() < until, job.said()
        os.sched_yield()
    assert job.state is State.DONE, (job.command, job.said(), job.problems())
    return job
