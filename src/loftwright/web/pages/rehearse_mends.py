"""Mends of a rehearsal: written into the documents, taken back, rehearsed again, compared."""

from __future__ import annotations

from typing import Any

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from loftwright.report.shell import quoted
from loftwright.web.bench import bench_of
from loftwright.web.pages.rehearse_flights import kept_of
from loftwright.web.posting import Form, posted
from loftwright.web.rehearse.rehearsals import Kept, rehearsal_kept, start_kept
from loftwright.web.rendering import render

__all__ = ["ROUTES"]

AGAIN = ", again"


def _write(request: Request, _: Form) -> Response:
    """Write a mend into the documents, as they were when it was tried."""
    from loftwright.rehearsal.adopting import adopt

    kept, number = kept_of(request), request.path_params["number"]
    mends = kept.rehearsal.mends
    if not 1 <= number <= len(mends):
        raise HTTPException(404)
    mend = mends[number - 1]
    based_on = kept.rehearsal.provenance.documents
    adopt(bench_of(request).home, mend.writings, mend.words, based_on)
    return RedirectResponse(f"/rehearse/{kept.job.id}#written", 303)


def _take_back(request: Request, _: Form) -> Response:
    """Take back a mend, if it is the last change that was made."""
    from loftwright.documents.history import steps, undo
    from loftwright.errors import Problem, ProblemError

    kept, home = kept_of(request), bench_of(request).home
    last = steps(home).undo
    if last is None or last.what not in {mend.words for mend in kept.rehearsal.mends}:
        message = "the last change to the documents is another one"
        mend = "take changes back one by one where they were made, the last one first"
        raise ProblemError([Problem("undo-nothing", message, mend=mend)])
    undo(home, last.key)
    return RedirectResponse(f"/rehearse/{kept.job.id}", 303)


def _again(request: Request, form: Form) -> Response:
    """Rehearse the documents as they are now in the same way, to be compared."""
    kept, bench = kept_of(request), bench_of(request)
    verb, _folder, *words = kept.job.words
    title = f"{kept.job.title.removesuffix(AGAIN)}{AGAIN}"
    job = bench.once.do(
        form.get("once"),
        lambda: start_kept(bench, [verb, *words], page="rehearse", title=title),
    )
    return RedirectResponse(f"/rehearse/{job.id}?beside={kept.job.id}", 303)


# ---------------------------------------------------------------- side by side


def _beside(request: Request) -> Response:
    from loftwright.rehearsal.beside import beside
    from loftwright.report.beside_words import beside_lead, beside_rows, how_compared

    after, bench = kept_of(request), bench_of(request)
    job = bench.jobs.find(request.path_params["other"])
    before = None if job is None else rehearsal_kept(bench, job)
    if before is None:
        raise HTTPException(404)
    found = beside(before.rehearsal, after.rehearsal)
    all_rows = list(beside_rows(found))
    answer = str(before.job.folder / "answer.json")
    return render(
        request,
        "rehearsals_beside.html.j2",
        before=before,
        after=after,
        lead=beside_lead(found),
        rows=[row for row in all_rows if row.told != "the same"],
        same=sum(row.told == "the same" for row in all_rows),
        how=how_compared(found),
        differs=_differences(before, after),
        command=f"{after.job.command} --beside {quoted(answer)}",
    )


def _differences(before: Kept, after: Kept) -> list[Any] | None:
    """Return what differs between the documents of both; None where they are not kept."""
    from loftwright.documents.differences import (
        differences,
        program_differences,
        program_texts,
        texts,
    )

    if before.documents is None or after.documents is None:
        return None
    one, other = before.campaign(), after.campaign()
    fields = differences(one, other, texts(one), texts(other))
    programs = program_differences(one, other, program_texts(one), program_texts(other))
    return [*fields, *programs]


def _choose(request: Request) -> Response:
    """Lead to two rehearsals side by side: in the order chosen, or the earlier one first."""
    asked, jobs = request.query_params, bench_of(request).jobs
    pair = [asked.get("one", ""), asked.get("other", "")]
    if "this" in asked:
        pair = sorted((asked["this"], asked.get("that", "")))
    if any(jobs.find(each) is None for each in pair):
        raise HTTPException(404)
    return RedirectResponse(f"/rehearse/{pair[1]}/beside/{pair[0]}", 303)


ROUTES = [
    Route("/rehearse/compare", _choose),
    Route("/rehearse/{job}/mends/{number:int}", posted(_write), methods=["POST"]),
    Route("/rehearse/{job}/take-back", posted(_take_back), methods=["POST"]),
    Route("/rehearse/{job}/again", posted(_again), methods=["POST"]),
    Route("/rehearse/{job}/beside/{other}", _beside),
]
