"""Long work: what runs, how far it is, what came of it."""

from __future__ import annotations

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from loftwright.documents.files import read_regular
from loftwright.errors import Problem, ProblemError, Where
from loftwright.report.shell import typed
from loftwright.web.bench import bench_of
from loftwright.web.jobs import Job, State
from loftwright.web.jobs.job import LARGEST
from loftwright.web.jobs.seals import key_is_kept, key_path
from loftwright.web.posting import Form, posted
from loftwright.web.rendering import render

__all__ = ["ROUTES", "job_of"]

STATES = tuple(each.value for each in State)
ANSWER = "answer.json"
# Reports carry their style sheet in themselves, and nothing else that they would load.
SHUT_OFF = (
    "sandbox; default-src 'none'; style-src 'unsafe-inline'; img-src data:; form-action 'none'; "
    "base-uri 'none'; frame-ancestors 'none'"
)


def job_of(request: Request) -> Job:
    """Return the job that the path names; raises 404 where there is none."""
    job = bench_of(request).jobs.find(request.path_params["job"])
    if job is None:
        raise HTTPException(404)
    return job


def _all(request: Request) -> Response:
    wanted = request.query_params.get("state", "")
    jobs = [(job, job.state.value) for job in bench_of(request).jobs.all()]
    shown = [(job, state) for job, state in jobs if wanted in ("", state)]
    return render(
        request,
        "work.html.j2",
        jobs=shown,
        size=sum(job.size() for job, _ in jobs),
        count=len(jobs),
        states=[each for each in STATES if any(state == each for _, state in jobs)],
        wanted=wanted if wanted in STATES else "",
        no_key="" if key_is_kept() else key_path(),
    )


def _one(request: Request) -> Response:
    job = job_of(request)
    answer = job.answer() or {}
    may_begin = _may_begin(job)
    return render(
        request,
        "job.html.j2",
        job=job,
        may_begin=may_begin,
        has_answer_file=(job.folder / ANSWER).is_file(),
        report=job.report_main(),
        answer=answer if not job.problems() else {},
        said=job.said(),
        command=_command(request, job) if may_begin else None,
    )


def _may_begin(job: Job) -> bool:
    """Tell whether a job may be begun from its page.

    What others asked for may be only where it is listed: it could write to any file, or reach
    another machine.
    """
    from loftwright.web.api.verbs import is_listed

    return bool(job.begun_with) and (job.is_ours or is_listed(job.begun_with))


def _command(request: Request, job: Job) -> str:
    """Return the command of a job; of one that is not ours, that which would be run here."""
    if job.is_ours:
        return job.command
    verb, *rest = job.begun_with
    return typed(["loftwright", *verb.split(), str(bench_of(request).home), *rest])


def _card(request: Request) -> Response:
    """Return how it stands with a job now; once it has ended, the page is asked to load anew."""
    job = job_of(request)
    answer = render(request, "card.html.j2", job=job)
    if job.state.name != "RUNNING":
        answer.headers["hx-refresh"] = "true"
    return answer


def _answer(request: Request) -> Response:
    """Return the answer of a job as the command gave it."""
    try:
        answer = read_regular(job_of(request).folder / ANSWER, LARGEST, name=ANSWER)
    except ProblemError as error:
        raise HTTPException(404) from error
    return Response(answer, media_type="application/json")


def _report(request: Request) -> Response:
    """Return a job's report as a page by itself that may do nothing, whoever wrote it.

    ``sandbox`` sets it apart from the workbench, as a page of nowhere: it runs no script, sends no
    form, and what its links ask of the workbench is refused as a foreign page's.
    """
    try:
        page = job_of(request).report_page()
    except ProblemError as error:
        raise HTTPException(404) from error
    return Response(page, media_type="text/html", headers={"Content-Security-Policy": SHUT_OFF})


def _cancel(request: Request) -> Response:
    job = job_of(request)
    job.cancel()
    return RedirectResponse(f"/work/{job.id}", 303)


def _again(request: Request, form: Form) -> Response:
    bench, job = bench_of(request), job_of(request)
    if not _may_begin(job):
        message = "what this work was asked for is nothing that is begun for others"
        mend = "begin it on the page of its own step"
        raise ProblemError([Problem("work-not-ours", message, Where(value=job.id), mend)])
    begun = bench.once.do(
        form.word("once") or "",
        lambda: bench.jobs.again(job, go_on=form.word("how") == "go on").id,
    )
    return RedirectResponse(f"/work/{begun}", 303)


def _remove(request: Request) -> Response:
    bench, job = bench_of(request), job_of(request)
    bench.jobs.remove(job)
    return RedirectResponse("/work", 303)


def _pin(request: Request, form: Form) -> Response:
    job = job_of(request)
    job.pin(form.word("wanted") == "yes")
    return RedirectResponse(f"/work/{job.id}", 303)


ROUTES = [
    Route("/work", _all),
    Route("/work/{job}", _one),
    Route("/work/{job}/card", _card),
    Route("/work/{job}/answer.json", _answer),
    Route("/work/{job}/report.html", _report),
    Route("/work/{job}/cancel", _cancel, methods=["POST"]),
    Route("/work/{job}/again", posted(_again), methods=["POST"]),
    Route("/work/{job}/remove", _remove, methods=["POST"]),
    Route("/work/{job}/pin", posted(_pin), methods=["POST"]),
]
