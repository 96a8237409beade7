"""The flights behind the counts of a rehearsal: listed, opened, flown again."""

from __future__ import annotations

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from loftwright.report.shell import typed
from loftwright.web.bench import bench_of
from loftwright.web.pages.work import job_of
from loftwright.web.rehearse.rehearsals import (
    COLUMNS,
    Kept,
    parted,
    rehearsal_kept,
    report_shown,
    slug,
)
from loftwright.web.rendering import render

__all__ = ["ROUTES"]

MOST_NUMBER = 10**9


def kept_of(request: Request) -> Kept:
    """Return the rehearsal that the path names; raises 404 where it is none that is done."""
    kept = rehearsal_kept(bench_of(request), job_of(request))
    if kept is None:
        raise HTTPException(404)
    return kept


def _cell(request: Request) -> Response:
    """List the flights behind one count, each flown again for its figures."""
    from loftwright.rehearsal.one_flight import fly_again
    from loftwright.report.rehearse_words import share_words
    from loftwright.report.watched_rows import flight_table

    kept = kept_of(request)
    case = kept.cases.get(request.path_params["case"])
    found = {
        f"{column}-{slug(word)}": (column, word, noted)
        for column in COLUMNS
        for word, noted in (case.noted.get(column, {}) if case else {}).items()
    }
    if case is None or request.path_params["outcome"] not in found:
        raise HTTPException(404)
    column, word, noted = found[request.path_params["outcome"]]
    plan = kept.plan()
    numbers = [*noted.first, *([] if noted.worst in noted.first else [noted.worst])]
    flown = fly_again(plan, case.name, numbers)
    chance = getattr(case, word) if column == "counted" else getattr(case, column)[word]
    heads, rows = flight_table(flown, plan.campaign, plan.campaign.head.units)
    listed = ",".join(str(number) for number in numbers)
    return render(
        request,
        "rehearsal_flights.html.j2",
        job=kept.job,
        case=case,
        column=column,
        word=_said(column, word),
        chance=chance,
        share=" ".join(share_words(chance)),
        noted=noted,
        heads=heads,
        rows=rows,
        address=request.path_params["case"],
        is_of_now=kept.is_of_now(bench_of(request)),
        command=_command(request, kept, f"{case.name}:{listed}"),
    )


def _said(column: str, word: str) -> str:
    from loftwright.report.case_lines import COUNTED_WORDS
    from loftwright.report.rehearse_words import outcome_words

    return COUNTED_WORDS[word] if column == "counted" else outcome_words(column, word)


def _command(request: Request, kept: Kept, asked: str) -> str:
    """Return the command that flies it again: with the documents that the rehearsal flew."""
    bench = bench_of(request)
    folder = bench.home if kept.is_of_now(bench) else kept.documents
    words = ["loftwright", "rehearse", str(folder), "--seed", str(kept.rehearsal.seed)]
    return typed([*words, "--watch", asked])


def _flight(request: Request) -> Response:
    """Fly one flight of a case again and show it on the strip."""
    from loftwright.rehearsal.one_flight import watch_again
    from loftwright.rehearsal.plan import made_by
    from loftwright.report.watched_page import watched_page

    kept, number = kept_of(request), request.path_params["number"]
    case = kept.cases.get(request.path_params["case"])
    if case is None or number > MOST_NUMBER:
        raise HTTPException(404)
    plan = kept.plan()
    seen = watch_again(plan, case.name, number)
    body, foot = parted(
        report_shown(
            bench_of(request),
            f"{kept.job.id}.{list(kept.cases).index(request.path_params['case'])}.{number}",
            lambda: watched_page(plan.campaign, [seen], made_by(plan, 1)),
        )
    )
    return render(
        request,
        "rehearsal_flight.html.j2",
        job=kept.job,
        case=case,
        number=number,
        body=body,
        foot=foot,
        address=request.path_params["case"],
        last=kept.rehearsal.flights - 1,
        is_of_now=kept.is_of_now(bench_of(request)),
        command=_command(request, kept, f"{case.name}:{number}"),
    )


def _open(request: Request) -> Response:
    """Lead to the flight whose number was typed."""
    number = request.query_params.get("number", "")
    if not (number.isascii() and number.isdecimal() and len(number) < 10):
        raise HTTPException(404)
    kept, case = kept_of(request), request.path_params["case"]
    return RedirectResponse(f"/rehearse/{kept.job.id}/{slug(case)}/flight/{int(number)}", 303)


ROUTES = [
    Route("/rehearse/{job}/{case}/flight", _open),
    Route("/rehearse/{job}/{case}/flight/{number:int}", _flight),
    Route("/rehearse/{job}/{case}/{outcome}", _cell),
]
