"""What recorded flights teach about uncertain fields: fitted first, written after a look."""

from __future__ import annotations

import hashlib
import json
from typing import Any

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from loftwright.documents.files import read_regular
from loftwright.errors import Problem, ProblemError
from loftwright.web.bench import Bench, bench_of
from loftwright.web.debrief.debriefs import STARTING, flights_stand
from loftwright.web.jobs import Job, State
from loftwright.web.posting import Form, posted
from loftwright.web.rendering import render

__all__ = ["ROUTES", "documents_stand", "note_stand", "noted_stand"]

PAGE = "learn"
STAND = "stand.json"  # in a job's folder: the documents that it was made of


def documents_stand(bench: Bench) -> str:
    """Return a digest of the campaign's documents as they are now."""
    hashes = bench.read_campaign().hashes
    return hashlib.sha256(json.dumps(hashes, sort_keys=True).encode()).hexdigest()


def _stand(bench: Bench) -> str:
    """Return a digest of all that is learnt from: documents and flights."""
    return f"{documents_stand(bench)} {flights_stand(bench)}"


def note_stand(job: Job, stand: str) -> None:
    """Note with a job what it was made of, as that stood when it was started."""
    from loftwright.documents.files import write_atomically

    write_atomically(job.folder / STAND, json.dumps(stand))


def noted_stand(job: Job) -> str | None:
    """Return the digest of what a job was made of; None where it is not noted."""
    try:
        return str(json.loads(read_regular(job.folder / STAND, 4096)))
    except (ProblemError, ValueError, RecursionError):
        return None


def _latest(bench: Bench, *, writes: bool) -> Job | None:
    own = (job for job in bench.jobs.all() if job.page == PAGE)
    return next((job for job in own if ("--write" in job.words) == writes), None)


def _learn(request: Request) -> Response:
    return _page(request)


def _page(request: Request, problems: list[Problem] | None = None, status: int = 200) -> Response:
    from loftwright.report.flight_list import flight_lines

    bench = bench_of(request)
    fit, wrote = _latest(bench, writes=False), _latest(bench, writes=True)
    answer: dict[str, Any] = {} if fit is None else fit.answer() or {}
    newer = wrote is not None and fit is not None and wrote.id > fit.id
    flights = [each for each in flight_lines(bench.home) if each.logs and not each.wrong]
    context: dict[str, Any] = {
        "flights": flights,
        "fit": fit,
        "fields": [each["path"] for each in answer.get("fields", ()) if not each["flight"]],
        "informed": any(
            each["informed"] and not each["flight"] for each in answer.get("fields", ())
        ),
        "chosen": [] if fit is None else fit.words,
        "wrote": wrote if newer else None,
        "written": (wrote.answer() or {}).get("written", []) if newer and wrote else [],
        "stale": fit is not None and noted_stand(fit) not in (None, _stand(bench)),
        "used": [each for each in answer.get("warnings", ()) if "learnt" in each],
        "problems": problems or [],
        "command": ["loftwright", "fit", str(bench.home)] if fit is None else fit.command,
    }
    return render(request, "debrief_learn.html.j2", status=status, **context)


def _fit(request: Request, form: Form) -> Response:
    from loftwright.documents.flights import flights_of

    bench = bench_of(request)
    words = ["fit", *(each for each in flights_of(bench.home) if each in form.all("flight"))]
    for field in form.all("field"):
        words += ["--field", field]
    if form.get("seed").isdecimal() and form.get("seed") != "1":
        words += ["--seed", form.get("seed")]
    with STARTING:  # sent twice, it is started once
        if not any(each.page == PAGE for each in bench.jobs.running()):
            stand = _stand(bench)
            note_stand(bench.jobs.start(words, page=PAGE, title="Learn from flights"), stand)
    return RedirectResponse("/learn", 303)


def _write(request: Request, form: Form) -> Response:
    """Write what was looked at, if the documents are still what it was learnt for."""
    bench = bench_of(request)
    fit = bench.jobs.find(form.get("fit"))
    if fit is None or fit.page != PAGE or fit.state is not State.DONE:
        raise HTTPException(404)
    if noted_stand(fit) != _stand(bench):
        message = (
            "the documents, or what is kept of flights, have been changed since this was learnt; "
            "nothing was written"
        )
        mend = "learn again, look, and write then"
        return _page(request, [Problem("fit-meanwhile", message, mend=mend)], 409)
    words = ["fit", *fit.words[2:], "--write"]
    if form.get("again"):
        words += ["--again"]
    with STARTING:
        if not any(each.page == PAGE for each in bench.jobs.running()):
            bench.jobs.start(words, page=PAGE, title="Write what flights taught")
    return RedirectResponse("/learn", 303)


ROUTES = [
    Route("/learn", _learn),
    Route("/learn", posted(_fit), methods=["POST"]),
    Route("/learn/write", posted(_write), methods=["POST"]),
]
