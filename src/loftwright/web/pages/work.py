"""Long work: what runs, how far it is, what came of it."""

from __future__ import annotations

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from loftwright.web.bench import bench_of
from loftwright.web.jobs import Job
from loftwright.web.rendering import render

__all__ = ["ROUTES", "job_of"]


def job_of(request: Request) -> Job:
    """Return the job that the path names; raises 404 where there is none."""
    job = bench_of(request).jobs.find(request.path_params["job"])
    if job is None:
        raise HTTPException(404)
    return job


def _all(request: Request) -> Response:
    return render(request, "work.html.j2", jobs=bench_of(request).jobs.all())


def _one(request: Request) -> Response:
    job = job_of(request)
    return render(request, "job.html.j2", job=job, command=job.command)


def _card(request: Request) -> Response:
    """Return how it stands with a job now; once it has ended, the page is asked to load anew."""
    job = job_of(request)
    answer = render(request, "card.html.j2", job=job)
    if job.state.name != "RUNNING":
        answer.headers["hx-refresh"] = "true"
    return answer


def _cancel(request: Request) -> Response:
    job_of(request).cancel()
    return RedirectResponse(f"/work/{job_of(request).id}", 303)


ROUTES = [
    Route("/work", _all),
    Route("/work/{job}", _one),
    Route("/work/{job}/card", _card),
    Route("/work/{job}/cancel", _cancel, methods=["POST"]),
]
