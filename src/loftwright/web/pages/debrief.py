"""The flights that the campaign keeps, and taking in what another left behind."""

from __future__ import annotations

from datetime import date
from typing import Any

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from loftwright.errors import Problem, ProblemError, Where
from loftwright.web.bench import Bench, bench_of
from loftwright.web.debrief.takes import Take, Takes
from loftwright.web.incoming.inbox import Inbox, Received
from loftwright.web.incoming.uploads import RECORDS, receive
from loftwright.web.jobs import Job, State
from loftwright.web.pages import debrief_incoming
from loftwright.web.posting import Form, posted
from loftwright.web.problems import problem_page
from loftwright.web.rendering import render

__all__ = ["ROUTES"]

BEGIN = "begin"  # the page that jobs of flights to come are noted under


def _flights(request: Request) -> Response:
    from loftwright.documents.flights import free_name
    from loftwright.report.flight_list import flight_lines
    from loftwright.web.said import height_words, units_of

    bench = bench_of(request)
    takes = Takes(bench.home)
    takes.sweep(lambda take: _is_taken(bench, take))
    waiting = [each for each in takes.all() if _waits(bench, each)]
    lines = flight_lines(bench.home) if bench.begun else []
    units = units_of(bench)
    heights = {
        each.name: height_words(_height(bench, each.name, each.height_m), units) for each in lines
    }
    context: dict[str, Any] = {
        "begun": bench.begun,
        "flown": [each for each in lines if not each.on_stand],
        "fired": [each for each in lines if each.on_stand],
        "heights": heights,
        "waiting": waiting,
        "strays": takes.strays(waiting),
        "free_name": free_name(bench.home, date.today().isoformat()),
        "beginning": [each for each in bench.jobs.running() if each.page == BEGIN]
        + _failed(bench, {each.name for each in lines}),
        "command": ["loftwright", "ledger", "list", str(bench.home)],
    }
    return render(request, "debrief.html.j2", **context)


def _failed(bench: Bench, there: set[str]) -> list[Job]:
    """Return the latest flight that was to be begun, where that failed."""
    job = bench.jobs.latest(BEGIN)
    if job is None or job.state is not State.FAILED or there & set(job.words):
        return []
    return [job]


def _begin(request: Request, form: Form) -> Response:
    """Begin a flight before it is flown, by the command: documents and a forecast are kept."""
    from loftwright.documents.flights import flight_folder

    bench, flight = bench_of(request), form.get("flight")
    flight_folder(bench.home, flight)  # says why it cannot be called so
    words = ["record", flight]
    for option in ("flights", "seed"):
        if form.get(option).isdecimal():
            words += [f"--{option}", form.get(option)]
    bench.jobs.start(words, page=BEGIN, title=f"Begin the flight {flight}")
    return RedirectResponse("/debrief", 303)


def _height(bench: Bench, flight: str, kept: float | None) -> float | None:
    """Return the height reached: as the ledger keeps it, else as it was last worked out [m]."""
    if kept is not None:
        return kept
    from loftwright.web.debrief.debriefs import Debriefs

    job = Debriefs(bench, flight).job(["debrief", flight])
    answer: dict[str, Any] = {} if job is None else job.answer() or {}
    found = answer.get("apogee_m")
    return found if isinstance(found, float) else None


def _waits(bench: Bench, take: Take) -> bool:
    return not take.for_replay and not _is_taken(bench, take)


def _is_taken(bench: Bench, take: Take) -> bool:
    job = None if take.job is None else bench.jobs.find(take.job)
    return job is not None and job.state is State.DONE


def _look_at(request: Request, form: Form) -> Response:
    """Have a file looked at that came in for something else, to keep it or throw it away."""
    bench = bench_of(request)
    return debrief_incoming.begin(bench, [Inbox(bench.home).find(form.get("file"))], None)


async def _take_in(request: Request) -> Response:
    """Take in files that a page sends; what is no record is refused unless it is asked for."""
    bench = bench_of(request)
    try:
        inbox = Inbox(bench.home)
        upload = await receive(request, inbox, kinds={*RECORDS, "other"})
        _refuse(inbox, upload.files, unread=bool(upload.fields.get("unread")))
        flight = _flight(bench, upload.fields.get("flight", ""))
    except ProblemError as error:
        return problem_page(request, list(error.problems))
    return debrief_incoming.begin(bench, upload.files, flight)


def _refuse(inbox: Inbox, files: tuple[Received, ...], *, unread: bool) -> None:
    """Refuse no file at all, and files that are no record; nothing of the request is kept then."""
    problems = []
    if not files:
        message = "no file was chosen"
        problems.append(Problem("upload-form", message, mend="choose one or several, and send"))
    for each in files:
        if each.kind == "other" and each.sure and not unread:
            message = f"this is no record that can be read: {each.why}"
            mend = "choose what the recorder, camera or phone wrote; or have it kept unread"
            problems.append(Problem("upload-kind", message, Where(file=each.name), mend))
    if problems:
        for each in files:
            inbox.discard(each.id)
        raise ProblemError(problems)


def _flight(bench: Bench, said: str) -> str | None:
    """Return the flight that files are for; None for one that is not there."""
    from loftwright.documents.flights import flights_of

    return said if said in flights_of(bench.home) else None


ROUTES = [
    Route("/debrief", _flights),
    Route("/debrief/begin", posted(_begin), methods=["POST"]),
    Route("/debrief/files", _take_in, methods=["POST"]),
    Route("/debrief/look", posted(_look_at), methods=["POST"]),
]
