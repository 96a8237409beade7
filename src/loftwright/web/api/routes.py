"""The endpoints: each a few lines, the answers those of commands."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import BaseRoute, Route

from loftwright.documents.files import read_regular
from loftwright.documents.flights import FORECAST_FILE, flight_folder, flights_of
from loftwright.errors import Problem, ProblemError, Where
from loftwright.web.api.asked import LOOKS, Look
from loftwright.web.api.checking import read_object
from loftwright.web.bench import Bench, bench_of
from loftwright.web.incoming.inbox import Inbox, Received
from loftwright.web.jobs import Job, State
from loftwright.web.problems import problem_page

__all__ = ["ROUTES"]

MOST_JOBS = 4  # at once, of those that programs start
_LARGEST = 256 * 1024 * 1024  # bytes of an answer or a kept forecast
_JSON = "application/json"


class _IndentedJSON(JSONResponse):
    """JSON written as commands write it."""

    def render(self, content: Any) -> bytes:
        return (json.dumps(content, indent=2, allow_nan=False) + "\n").encode("utf-8")


def _description(_: Request) -> Response:
    from loftwright.web.api.description import description

    return _IndentedJSON(description())


def _looking(look: Look) -> Callable[[Request], Response]:
    """Return the endpoint that answers as the command does."""

    def endpoint(request: Request) -> Response:
        from loftwright.cli.main import BAD_INPUT, ask

        flags = [f"--{flag}" for flag in look.flags if _is_on(request, flag)]
        words = [*look.words, "--json", *flags]
        words += [str(bench_of(request).home)] if look.of_campaign else []
        if look.item:
            words += ["--", request.path_params[look.item]]  # a dash at its front is no option
        memory = bench_of(request).memory
        code, answer = memory.recall(tuple(words), lambda: ask(words))
        return Response(answer, 422 if code == BAD_INPUT else 200, media_type=_JSON)

    return endpoint


def _is_on(request: Request, flag: str) -> bool:
    said = request.query_params.get(flag, "false")
    if said not in {"true", "false"}:
        where = Where(field=flag, value=said[:80])
        raise ProblemError([Problem("api-body", "this is true or false", where, "say true")])
    return said == "true"


def _flights(request: Request) -> Response:
    home = bench_of(request).home
    flights = [
        {"name": name, "has_forecast": (flight_folder(home, name) / FORECAST_FILE).is_file()}
        for name in flights_of(home)
    ]
    return _IndentedJSON({"schema": "loftwright/flights/1", "flights": flights})


def _kept_forecast(request: Request) -> Response:
    home, name = bench_of(request).home, request.path_params["flight"]
    if name not in flights_of(home):
        return _none_such(request, "flight", name, "/api/flights")
    path = flight_folder(home, name) / FORECAST_FILE
    if not path.is_file() or not path.resolve().is_relative_to(home.resolve()):
        return _none_such(request, "forecast of flight", name, "/api/flights")
    return Response(read_regular(path, _LARGEST, name=path.name), media_type=_JSON)


async def _start(request: Request) -> Response:
    content = await request.body()
    kind = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    if content and kind != _JSON:
        problem = Problem("api-body", "this endpoint takes JSON", mend="send application/json")
        return problem_page(request, [problem], 415)
    return await run_in_threadpool(_started, request, content)


def _started(request: Request, content: bytes) -> Response:
    from loftwright.web.api.verbs import VERBS, schema_of, words_of

    bench, key = bench_of(request), request.path_params["verb"]
    verb = VERBS.get(key)
    if verb is None:
        return _none_such(request, "command", key, "/api/openapi.json")
    given = read_object(content, schema_of(verb))
    words = words_of(verb, given, Inbox(bench.home))
    if len([job for job in bench.jobs.running() if job.page == "api"]) >= MOST_JOBS:
        message = f"{MOST_JOBS} jobs run already that programs have started"
        problem = Problem("api-busy", message, mend="wait for one to end, or cancel one")
        answer = problem_page(request, [problem], 429)
        answer.headers["retry-after"] = "5"
        return answer
    job = bench.jobs.start(words, page="api", title=" ".join(words)[:120])
    answer = _IndentedJSON(_job_told(job), 202)
    answer.headers["location"] = f"/api/jobs/{job.id}"
    return answer


def _jobs(request: Request) -> Response:
    told = [_job_told(job) for job in bench_of(request).jobs.all()]
    return _IndentedJSON({"schema": "loftwright/jobs/1", "jobs": told})


def _with_job(endpoint: Callable[[Request, Job], Response]) -> Callable[[Request], Response]:
    def found(request: Request) -> Response:
        name = request.path_params["job"]
        job = bench_of(request).jobs.find(name)
        return (
            _none_such(request, "job", name, "/api/jobs") if job is None else endpoint(request, job)
        )

    return found


def _job(_: Request, job: Job) -> Response:
    return _IndentedJSON(_job_told(job))


def _answer(request: Request, job: Job) -> Response:
    if job.state is State.NOT_VOUCHED:
        message = "nobody on this machine saw this answer being worked out"
        where = Where(field="job", value=job.id)
        problem = Problem("api-no-answer", message, where, "start the command again")
        return problem_page(request, [problem], 409)
    if not _has_answer(job):
        message = "the job has no answer" + (" yet" if job.state is State.RUNNING else "")
        where = Where(field="job", value=job.id)
        problem = Problem("api-no-answer", message, where, f"see /api/jobs/{job.id} for its state")
        return problem_page(request, [problem], 409)
    path: Path = job.folder / "answer.json"
    return Response(read_regular(path, _LARGEST, name=path.name), media_type=_JSON)


def _cancel(_: Request, job: Job) -> Response:
    job.cancel()
    return _IndentedJSON(_job_told(job))


def _has_answer(job: Job) -> bool:
    return job.state is not State.RUNNING and job.answer() is not None


def _job_told(job: Job) -> dict[str, Any]:
    progress = job.progress
    told = None
    if progress is not None:
        told = {"done": progress.done, "total": progress.total, "what": progress.what}
        told |= {"rate_per_s": progress.rate, "left_s": progress.left_s}
    return {
        "schema": "loftwright/job/1",
        "id": job.id,
        "title": job.title,
        "command": job.command,
        "state": job.state.value,
        "started_unix_s": job.started,
        "progress": told,
        "has_answer": _has_answer(job),
    }


def _inbox(request: Request) -> Response:
    return _files_told(Inbox(bench_of(request).home).all())


async def _take_in(request: Request) -> Response:
    from loftwright.web.incoming.uploads import RECORDS, receive

    bench: Bench = bench_of(request)
    upload = await receive(request, Inbox(bench.home), kinds=RECORDS | {"other"})
    return _files_told(upload.files, 201)


def _discard(request: Request) -> Response:
    inbox, number = Inbox(bench_of(request).home), request.path_params["file"]
    found = inbox.find(number)
    inbox.discard(number)
    return _files_told((found,))


def _files_told(files: tuple[Received, ...], status: int = 200) -> Response:
    told = [
        {
            "id": each.id,
            "name": each.name,
            "size_bytes": each.size,
            "sha256": each.sha256,
            "kind": each.kind,
            "why": each.why,
            "is_sure": each.sure,
        }
        for each in files
    ]
    return _IndentedJSON({"schema": "loftwright/files/1", "files": told}, status)


def _none_such(request: Request, what: str, name: str, place: str) -> Response:
    where = Where(field=what, value=name[:80])
    problem = Problem("api-none-such", f"there is no such {what}", where, f"see {place}")
    return problem_page(request, [problem], 404)


ROUTES: list[BaseRoute] = [
    Route("/api/openapi.json", _description),
    *(Route(path, _looking(look)) for path, look in LOOKS.items()),
    Route("/api/flights", _flights),
    Route("/api/flights/{flight}/forecast", _kept_forecast),
    Route("/api/commands/{verb}", _start, methods=["POST"]),
    Route("/api/jobs", _jobs),
    Route("/api/jobs/{job}", _with_job(_job)),
    Route("/api/jobs/{job}/answer", _with_job(_answer)),
    Route("/api/jobs/{job}/cancel", _with_job(_cancel), methods=["POST"]),
    Route("/api/inbox", _inbox),
    Route("/api/inbox/files", _take_in, methods=["POST"]),
    Route("/api/inbox/{file}/discard", _discard, methods=["POST"]),
]
