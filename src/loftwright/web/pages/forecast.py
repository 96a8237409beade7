"""The forecast: the campaign as it stands, what would be if, and the forecasts that were flown."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from concurrent.futures import Future
from typing import TYPE_CHECKING, Any, TypeVar

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response, StreamingResponse
from starlette.routing import Route

from loftwright.errors import Problem, ProblemError, Where, as_dict
from loftwright.web.bench import Bench, bench_of
from loftwright.web.deeds import Deed
from loftwright.web.encoded import PlainJSON
from loftwright.web.pages.forecast_work import PAGE, form_values, taken
from loftwright.web.posting import Form, posted
from loftwright.web.problems import problem_page
from loftwright.web.rendering import render
from loftwright.web.whatif.asking import read_question
from loftwright.web.whatif.engine import PATIENCE, Asked
from loftwright.web.whatif.shown import (
    PROGRAM,
    Shown,
    all_sliders,
    number_of,
    shown_of,
    slider_view,
    views,
    words_of,
)
from loftwright.web.whatif.writing import take_back, write_values

if TYPE_CHECKING:
    from loftwright.documents.journal import Made

__all__ = ["ROUTES"]

T = TypeVar("T")

KEPT = 6  # forecasts and other work that are listed


def _page(request: Request) -> Response:
    from loftwright.documents.worked import flying
    from loftwright.report.shell import is_windows
    from loftwright.study.sliders import default_paths

    bench = bench_of(request)
    if not bench.begun:
        return RedirectResponse("/", 303)
    campaign = bench.read_campaign()
    bench.engine.warm()
    known, shown = all_sliders(bench), shown_of(request.query_params)
    first = [*default_paths(campaign), *_thresholds(known)]
    return render(
        request,
        "forecast.html.j2",
        command=_command(bench, shown),
        campaign=campaign,
        shown=shown,
        views=views(bench, shown, first),
        more=_more(known),
        works=_works(campaign),
        hashes=dict(campaign.hashes),
        of=flying(campaign),
        is_windows=is_windows(),
        jobs=[job for job in bench.jobs.all() if job.page == PAGE][:KEPT],
        home=str(bench.home),
        undo=_last_change(bench),
        wrote=_said(request, "wrote"),
        back=_said(request, "back"),
        taken=taken,
    )


def _said(request: Request, kind: str) -> str:
    """Return what was written or taken back just now, "" where that does not stand."""
    deed = bench_of(request).deeds.standing(request.query_params.get(kind, ""), kind)
    return "" if deed is None else ", ".join(deed.fields)


def _command(bench: Bench, shown: Shown) -> list[str]:
    """Return what flies what the page shows, in a terminal."""
    words = ["loftwright", "whatif", str(bench.home)]
    words += ["--programs"] if shown.programs else []
    for option, values in (("--set", shown.values), ("--against", shown.pinned)):
        words += [word for path, text in values.items() for word in (option, f"{path}={text}")]
    return words


def _works(campaign: Any) -> bool:
    """Tell whether the campaign's programs work something, without what a rehearsal needs."""
    return bool(
        campaign.programs
        and campaign.avionics is not None
        and any(each.works for each in campaign.avionics.actuator)
    )


def _thresholds(known: dict[str, Any]) -> list[str]:
    """Return the climb at which a program lets go, if there is one: the first that it compares."""
    return [path for path in known if path.startswith(PROGRAM) and path.endswith(".climb")][:1]


def _more(known: dict[str, Any]) -> list[tuple[str, list[tuple[str, str]]]]:
    """Return every number by its document, for the choice of another slider."""
    found: dict[str, list[tuple[str, str]]] = {}
    for path in known:
        found.setdefault(path.partition(".")[0], []).append((path, words_of(path)))
    return list(found.items())


def _last_change(bench: Bench) -> Made | None:
    """Return what taking back would take back, None where there is nothing."""
    from loftwright.documents.history import steps

    try:
        found = steps(bench.home)
    except ProblemError:
        return None
    return None if found.blocked else found.undo


# ---------------------------------------------------------------- the live answer


async def _ask(request: Request) -> Response:
    try:
        question = read_question(await request.body())
    except ProblemError as error:
        return _told(error, 400)
    asked, numbers = await run_in_threadpool(_begun, request, question)
    if await _heard(asked, asked.flown) is True:
        # The head of the answer is out while it is drawn: it tells the page that it may ask anew.
        return StreamingResponse(_later(asked, numbers), media_type="application/json")
    answer = _shown(await _heard(asked, asked.answer), numbers)
    return PlainJSON(answer, 422 if "problems" in answer else 200)


def _begun(request: Request, question: dict[str, Any]) -> tuple[Asked, dict[str, float]]:
    asked = bench_of(request).engine.begin(question)
    return asked, _numbers(request, question["values"])


async def _later(asked: Asked, numbers: dict[str, float]) -> AsyncIterator[bytes]:
    yield bytes(PlainJSON(_shown(await _heard(asked, asked.answer), numbers)).body)


async def _heard(asked: Asked, of: Future[T]) -> T | dict[str, Any]:
    """Wait for part of an answer; a process that says nothing is ended, and that is the answer."""
    try:
        # Shielded: the engine hands an answer on even where its page has gone.
        return await asyncio.wait_for(asyncio.shield(asyncio.wrap_future(of)), PATIENCE)
    except TimeoutError:
        return await run_in_threadpool(asked.give_up)


def _shown(answer: dict[str, Any], numbers: dict[str, float]) -> dict[str, Any]:
    """Return an answer as the page takes it."""
    answer.pop("id", None)
    if "problems" in answer:
        return answer
    if "died" in answer or "fault" in answer:
        said = answer.get("died") or answer.get("fault")
        message = f"the engine of the what-if ended unexpectedly: {said}"
        mend = "move a slider again: it is started anew"
        found = Problem("whatif-engine-ended", message, Where(field="engine"), mend)
        return {"problems": [as_dict(found)], "engine": "ended"}
    return answer | {"numbers": numbers}


def _numbers(request: Request, values: dict[str, str]) -> dict[str, float]:
    """Return where the thumbs of sliders belong."""
    try:
        known = all_sliders(bench_of(request))
    except ProblemError:  # the engine reads the same documents, and its answer says what is wrong
        return {}
    return {path: number_of(known[path], text) for path, text in values.items() if path in known}


def _told(error: ProblemError, status: int = 422) -> Response:
    return PlainJSON({"problems": [as_dict(each) for each in error.problems]}, status)


def _slider(request: Request) -> Response:
    known = all_sliders(bench_of(request))
    path = request.query_params.get("path", "")
    if path not in known:
        message = f"the campaign has no number {path[:60]!r}"
        mend = "choose one of the list"
        raise ProblemError([Problem("study-unknown-path", message, Where(field="path"), mend)])
    view = slider_view(bench_of(request), known[path], shown_of(request.query_params))
    return render(request, "whatif_slider.html.j2", view=view)


# ---------------------------------------------------------------- writing


@posted
def _write(request: Request, form: Form) -> Response:
    bench = bench_of(request)
    values = form_values(form)
    based_on = {
        file: digest
        for file, _, digest in (str(each).partition("=") for each in form.all("based_on"))
    }
    try:
        found = write_values(bench, values, based_on)
    except ProblemError as error:
        return problem_page(request, list(error.problems))
    if found.conflicts:
        return problem_page(request, [_conflict(each) for each in found.conflicts], 409)
    key = bench.deeds.note(Deed("wrote", found.hashes, tuple(values)))
    return RedirectResponse(f"/forecast?wrote={key}", 303)


def _conflict(conflict: Any) -> Problem:
    message = (
        "this field was changed since the page was opened, and nothing was written: it says "
        f"{conflict.theirs or 'nothing'} now, {conflict.yours} was to be written"
    )
    mend = "load the forecast page anew, and decide which it is to be"
    where = Where(file=conflict.file, field=conflict.path, value=conflict.yours)
    return Problem("whatif-conflict", message, where, mend)


@posted
def _take_back(request: Request, form: Form) -> Response:
    bench = bench_of(request)
    made = take_back(bench, form.word("change"))
    left = {file: before for file, (before, _) in made.files.items()}
    key = bench.deeds.note(Deed("back", left, (made.what,)))
    return RedirectResponse(f"/forecast?back={key}", 303)


ROUTES = [
    Route("/forecast", _page),
    Route("/forecast/slider", _slider),
    Route("/forecast/whatif", _ask, methods=["POST"]),
    Route("/forecast/write", _write, methods=["POST"]),
    Route("/forecast/undo", _take_back, methods=["POST"]),
]
