"""One flight: what must have happened, why, and what of it goes into the ledger."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import quote

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import FileResponse, RedirectResponse, Response
from starlette.routing import Route

from loftwright.errors import ProblemError
from loftwright.web.bench import Bench, bench_of
from loftwright.web.debrief.arrivals import arriving
from loftwright.web.debrief.debriefs import STARTING, Debriefs
from loftwright.web.jobs import Job, State
from loftwright.web.posting import Form, posted
from loftwright.web.rendering import render

if TYPE_CHECKING:
    from loftwright.documents.flight_record import FlightEvidence, FlightRecord

__all__ = ["ROUTES", "evidence_path", "flight_of", "place_of", "record_of"]

CAUSES = ("causes",)
MOST_ARGUED = 12  # causes that can be chosen by a click


def flight_of(request: Request) -> str:
    """Return the flight that the path names; raises 404 where the campaign keeps none."""
    from loftwright.documents.flights import flights_of

    name: str = request.path_params["flight"]
    if name not in flights_of(bench_of(request).home):
        raise HTTPException(404)
    return name


def place_of(flight: str, root: str = "debrief") -> str:
    """Return the path of a flight's page; its name may have signs that mean something there."""
    return f"/{root}/{quote(flight)}"


def record_of(bench: Bench, flight: str) -> FlightRecord:
    """Return the record of a flight. Raises ``ProblemError`` where it is wrong."""
    from loftwright.documents.flight_record import FlightRecord
    from loftwright.documents.flights import FLIGHT_FILE, FLIGHTS
    from loftwright.documents.reading import read_document

    return read_document(bench.home / FLIGHTS / flight / FLIGHT_FILE, FlightRecord)


def evidence_path(bench: Bench, flight: str, entry: FlightEvidence) -> Path:
    """Return where a kept file lies; raises 404 where that leads out of the flight's evidence."""
    from loftwright.documents.flights import EVIDENCE, FLIGHTS, name_fault

    folder = bench.home / FLIGHTS / flight / EVIDENCE
    path = folder / entry.file
    inside = name_fault(entry.file) is None and path.resolve().parent == folder.resolve()
    if not inside or not folder.resolve().is_relative_to(bench.home) or not path.is_file():
        raise HTTPException(404)
    return path


# ---------------------------------------------------------------- the page


@dataclass(frozen=True, slots=True)
class Offered:
    """A cause that may be kept as a finding: the words, how sure, and its share in words."""

    says: str
    words: str
    sure: str
    share: str


def _flight(request: Request) -> Response:
    bench, flight = bench_of(request), flight_of(request)
    record = record_of(bench, flight)
    if not any(each.kind == "log" for each in record.evidence):
        if any(each.kind == "firing" for each in record.evidence):
            return RedirectResponse(place_of(flight, "stand"), 303)
        return _page(request, flight, record, None)
    work = Debriefs(bench, flight)
    asked = request.query_params.get("shown")
    shown = None if asked is None else _own(bench, asked, flight)
    if shown is None:
        _take_over(work, request.query_params.get("kept"))
        shown = _debriefed(work, record, may_start=request.state.may_change)
    return _page(request, flight, record, shown)


def _debriefed(work: Debriefs, record: FlightRecord, *, may_start: bool) -> Job | None:
    """Return the debrief, begun where there is none; None while files are still taken in.

    The record is whole only when that has ended: a forecast is the last that is kept of it.
    """
    words = ["debrief", work.flight]
    if work.job(words) is None and arriving(work.bench, work.flight, record).jobs:
        return None
    return work.found_or_started(words, f"Debrief {work.flight}", may_start=may_start)


def _own(bench: Bench, number: str, flight: str) -> Job | None:
    """Return work on this flight by its id."""
    job = bench.jobs.find(number)
    return job if job is not None and flight in job.words else None


def _is_of_earlier(work: Debriefs, shown: Job) -> bool:
    """Tell whether record, evidence or ledger of the flight are others than when this was done.

    What keeps something in the ledger changes that by itself.
    """
    words = shown.begun_with
    if shown.state is not State.DONE or words[:1] != ["debrief"] or "--keep" in words:
        return False
    now = work.job(words)
    return now is None or now.id != shown.id


def _take_over(work: Debriefs, number: str | None) -> None:
    """Take the report of what was kept for the flight's own: it has the new findings in it."""
    if number is None:
        return
    words = ["debrief", work.flight]
    job = _own(work.bench, number, work.flight)
    if job is None or job.state is not State.DONE or work.job(words) is not None:
        return
    if job.asked.get("title", "").endswith(_mark(work.stand())):
        work.take_for(words, job)


def _mark(stand: str) -> str:
    return f" ({stand[:8]})"


def _page(
    request: Request,
    flight: str,
    record: FlightRecord,
    shown: Job | None,
    *,
    problems: Sequence[Any] = (),
    status: int = 200,
) -> Response:
    bench = bench_of(request)
    work = Debriefs(bench, flight)
    causes = work.job([*CAUSES, flight], ledger=False)
    kept = _own(bench, request.query_params.get("kept", ""), flight)
    kept = kept if kept is not None and "--keep" in kept.words else None
    logs = [each for each in record.evidence if each.kind == "log"]
    context: dict[str, Any] = {
        "flight": flight,
        "record": record,
        "shown": shown,
        "is_of_earlier": shown is not None and _is_of_earlier(work, shown),
        "arrival": arriving(bench, flight, record),
        "causes": causes,
        "offered": _offered(causes),
        "kept": kept,
        "kept_says": [] if kept is None else (kept.answer() or {}).get("kept", []),
        "known": _known(bench, flight),
        "files": list(enumerate(record.evidence)),
        "logs": logs,
        "replays": _replays(bench, flight, logs),
        "why_command": _shell(bench, "causes", flight) if causes is None else causes.command,
        "keep_command": _shell(bench, "debrief", flight, "--keep", "--finding", "WORDS")
        if kept is None
        else kept.command,
        "problems": problems,
        "command": None if shown is None else shown.command,
    }
    return render(request, "debrief_flight.html.j2", status=status, **context)


def _shell(bench: Bench, verb: str, *words: str) -> str:
    """Return a command as a person types it."""
    from loftwright.report.shell import typed

    return typed(["loftwright", verb, str(bench.home), *words])


def _offered(causes: Job | None) -> list[Offered]:
    """Return the causes that were found, as findings to choose from."""
    from loftwright.report.cause_words import chance_of

    answer = None if causes is None or causes.state is State.FAILED else causes.answer()
    found = []
    for each in (answer or {}).get("causes", [])[:MOST_ARGUED]:
        if not each["faults"] or each["probability"] < 0.005:
            continue
        says, share = each["says"].rstrip("."), chance_of(each["probability"])
        sure = "likely" if each["probability"] >= 0.9 else "possible"
        found.append(Offered(says, f"{says}: {share} by what the flight left behind", sure, share))
    return found


def _known(bench: Bench, flight: str) -> list[Any]:
    """Return the findings that the ledger has of the flight already."""
    from loftwright.ledger.ledger import open_ledger
    from loftwright.ledger.opening import FILE

    if not (bench.home / FILE).is_file():
        return []
    with open_ledger(bench.home) as ledger:
        return list(ledger.findings(flight))


def _replays(bench: Bench, flight: str, logs: Sequence[FlightEvidence]) -> list[tuple[str, str]]:
    """Return words and address of each program's replay over each log."""
    try:
        avionics = bench.read_campaign().avionics
    except ProblemError:  # said where the documents are described
        return []
    names = [] if avionics is None else [each.program for each in avionics.controller]
    programs = dict.fromkeys(name.removesuffix(".toml") for name in names)
    return [
        (
            f"Replay {program.removeprefix('program-')} over {log.file}",
            f"/program/{quote(program)}/replay?log={quote(f'{flight}/{log.file}', safe='')}",
        )
        for log in logs
        for program in programs
        if (bench.home / f"{program}.toml").is_file()
    ]


# ---------------------------------------------------------------- what is asked for


def _otherwise(request: Request, form: Form) -> Response:
    """Debrief again, with another log, another liftoff, or all flights of the campaign."""
    bench, flight = bench_of(request), flight_of(request)
    words = ["debrief", flight]
    logs = [each.file for each in record_of(bench, flight).evidence if each.kind == "log"]
    if form.get("log") in logs and len(logs) > 1:
        words += ["--log", form.get("log")]
    if form.get("liftoff"):
        words += ["--liftoff", form.get("liftoff")]
    if form.get("campaign"):
        words += ["--campaign"]
    work = Debriefs(bench, flight)
    with STARTING:  # sent twice, it is started once
        job = work.job(words)
        again = form.get("again") and job is not None and job.state is not State.RUNNING
        if job is None or job.state not in (State.DONE, State.RUNNING) or again:
            job = work.start(words, f"Debrief {flight}")
    return RedirectResponse(f"{place_of(flight)}?shown={job.id}", 303)


def _why(request: Request, form: Form) -> Response:
    """Look for the cause; what runs or has been found already is not done twice."""
    bench, flight = bench_of(request), flight_of(request)
    work, words = Debriefs(bench, flight), [*CAUSES, flight]
    with STARTING:
        job = work.job(words, ledger=False)
        failed = job is not None and job.state in (State.FAILED, State.BROKEN_OFF)
        again = failed or (form.get("again") and job is not None)
        if job is None or (again and job.state is not State.RUNNING):
            _started(work, words, _more(form))
    return RedirectResponse(f"{place_of(flight)}#why", 303)


def _more(form: Form) -> list[str]:
    """Return the options of the search that are others than usual."""
    more = ["--pairs"] if form.get("pairs") else []
    for option, usual in (("flights", "300"), ("seed", "1")):
        said = form.get(option, usual)
        more += [f"--{option}", said] if said.isdecimal() and said != usual else []
    return more


def _started(work: Debriefs, words: list[str], more: list[str]) -> Job:
    """Start the search with more options, and have it found as the one of the flight."""
    job = work.bench.jobs.start(
        [*words, *more], page="debrief", title=f"Look for the cause of {work.flight}"
    )
    work.take_for(words, job, ledger=False)
    return job


def _keep(request: Request, form: Form) -> Response:
    """Put figures and what was found into the ledger, by the command."""
    bench, flight = bench_of(request), flight_of(request)
    words = ["debrief", flight, "--keep", *_finding(form)]
    title = f"Keep {flight} in the ledger{_mark(Debriefs(bench, flight).stand())}"
    with STARTING:
        running = [each for each in bench.jobs.running() if each.words[3:] == words[2:]]
        same = next((each for each in running if flight in each.words), None)
        job = same or bench.jobs.start(words, page="debrief", title=title)
    return RedirectResponse(f"{place_of(flight)}?kept={job.id}#kept", 303)


def _finding(form: Form) -> list[str]:
    """Return the options that say what was found; none where nothing is to be said."""
    what = form.get("finding")
    if not what:
        return []
    words = ["--finding", what]
    if form.get("sure"):
        words += ["--sure", form.get("sure")]
    if form.get("explains"):
        words += ["--explains", form.get("explains")]
    if form.get("unsettled"):
        words += ["--unsettled"]
    return [*words, "--by", form.get("by")] if form.get("by") else words


def _original(request: Request) -> Response:
    """Hand a kept file out, byte for byte, to be saved and never shown."""
    bench, flight = bench_of(request), flight_of(request)
    number = request.path_params["number"]
    evidence = record_of(bench, flight).evidence
    if number >= len(evidence):
        raise HTTPException(404)
    entry = evidence[number]
    return FileResponse(
        evidence_path(bench, flight, entry),
        media_type="application/octet-stream",
        filename=entry.file,
        content_disposition_type="attachment",
        headers={"x-content-type-options": "nosniff"},
    )


ROUTES = [
    Route("/debrief/{flight}", _flight),
    Route("/debrief/{flight}/otherwise", posted(_otherwise), methods=["POST"]),
    Route("/debrief/{flight}/causes", posted(_why), methods=["POST"]),
    Route("/debrief/{flight}/keep", posted(_keep), methods=["POST"]),
    Route("/debrief/{flight}/evidence/{number:int}", _original),
]
