"""Long work: what runs, how far it is, what came of it."""

from __future__ import annotations

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from loftwright.web.bench import bench_of
from loftwright.web.jobs import Job, State
from loftwright.web.posting import Form, posted
from loftwright.web.rendering import render

__all__ = ["ROUTES", "job_of"]

STATES = tuple(each.value for each in State)


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
    )


def _one(request: Request) -> Response:
    job = job_of(request)
    answer = job.answer() or {}
    return render(
        request,
        "job.html.j2",
        job=job,
        report=job.report_main(),
        answer=answer if not job.problems() else {},
        said=job.said(),
        command=job.command if job.words else None,
    )


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
        answer = (job_of(request).folder / "answer.json").read_bytes()
    except FileNotFoundError as error:
        raise HTTPException(404) from error
    return Response(answer, media_type="application/json")


def _cancel(request: Request) -> Response:
    job = job_of(request)
    job.cancel()
    return RedirectResponse(f"/work/{job.id}", 303)


def _again(request: Request, form: Form) -> Response:
    bench, job = bench_of(request), job_of(request)
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
    Route("/work/{job}/cancel", _cancel, methods=["POST"]),
    Route("/work/{job}/again", posted(_again), methods=["POST"]),
    Route("/work/{job}/remove", _remove, methods=["POST"]),
    Route("/work/{job}/pin", posted(_pin), methods=["POST"]),
]
