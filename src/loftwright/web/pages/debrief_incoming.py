"""Files that came in: what they are, how their columns are read, and into which flight they go."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path
from threading import Lock
from typing import Any

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from loftwright.errors import Problem, ProblemError, Where
from loftwright.web.bench import Bench, bench_of
from loftwright.web.debrief.corrected import for_files, with_form
from loftwright.web.debrief.proposals import shown_files
from loftwright.web.debrief.takes import Take, Takes
from loftwright.web.jobs import State
from loftwright.web.pages.debrief_flight import place_of
from loftwright.web.posting import Form, posted
from loftwright.web.rendering import render
from loftwright.web.said import units_of

__all__ = ["ROUTES", "begin"]

_KEEPING = Lock()


def begin(bench: Bench, files: Sequence[Any], flight: str | None) -> Response:
    """Have files of the inbox looked at."""
    take = Takes(bench.home).begin(files, flight)
    return RedirectResponse(f"/incoming/{take.id}", 303)


# ---------------------------------------------------------------- the page


def _page(
    request: Request,
    take: Take,
    *,
    form: Form | None = None,
    problems: Sequence[Problem] = (),
    status: int = 200,
) -> Response:
    from loftwright.documents.flights import flights_of
    from loftwright.web.debrief.record_form import groups_of

    bench = bench_of(request)
    flight = _flight(bench, take, form)
    typed = {} if form is None else form.below("record:")
    data = {"flown": date.today().isoformat()} if form is None else {}
    job = None if take.job is None else bench.jobs.find(take.job)
    if job is not None and job.state is State.FAILED:
        problems = [*problems, *_told_by(job.problems())]
    shown = shown_files(bench, take, flight)
    context: dict[str, Any] = {
        "take": take,
        "files": shown,
        "all_ready": bool(shown) and all(each.ready for each in shown),
        "flight": flight,
        "flights": flights_of(bench.home),
        "groups": groups_of(data, typed, problems, units_of(bench)),
        "controllers": _controllers(bench),
        "problems": [each for each in problems if each.where.field not in _paths(typed)],
        "job": job,
        "forecast": form is None or bool(form.get("forecast")),
        **for_files(bench),
    }
    return render(request, "debrief_incoming.html.j2", status=status, **context)


def _paths(typed: Mapping[str, str]) -> set[str]:
    return set(typed)


def _told_by(problems: Sequence[Mapping[str, Any]]) -> list[Problem]:
    """Return the problems that a command told as JSON."""
    return [
        Problem(each["code"], each["message"], Where(**each["where"]), each.get("mend") or "")
        for each in problems
    ]


def _flight(bench: Bench, take: Take, form: Form | None) -> str:
    from loftwright.documents.flights import free_name

    typed = "" if form is None else form.get("flight")
    return take.flight or typed or free_name(bench.home, date.today().isoformat())


def _controllers(bench: Bench) -> list[str]:
    try:
        avionics = bench.read_campaign().avionics
    except ProblemError:  # said where the documents are described
        return []
    return [] if avionics is None else [each.name for each in avionics.controller]


def _look_at(request: Request) -> Response:
    bench = bench_of(request)
    takes = Takes(bench.home)
    take = takes.find(request.path_params["take"])
    job = None if take.job is None else bench.jobs.find(take.job)
    if job is not None and job.state is State.DONE:
        return _done(request, take, job)
    return _page(request, take)


def _done(request: Request, take: Take, job: Any) -> Response:
    """Say what was kept; the files themselves wait here no longer."""
    answer = job.answer() or {}
    Takes(bench_of(request).home).settle(take)
    names = [Path(each["file"]).name for each in answer.get("files", ())]
    context = {"answer": answer, "names": names, "command": job.command}
    return render(request, "debrief_taken.html.j2", **context)


# ---------------------------------------------------------------- corrections


def _look(request: Request, form: Form) -> Response:
    """Read the files as the form says, and show what that makes of them; keep nothing."""
    bench = bench_of(request)
    take = Takes(bench.home).find(request.path_params["take"])
    problems: Sequence[Problem] = ()
    try:
        take = with_form(bench, take, form)
    except ProblemError as error:
        problems = error.problems
    if request.headers.get("hx-request") != "true":
        return _page(request, take, form=form, problems=problems)
    flight = _flight(bench, take, form)
    shown = shown_files(bench, take, flight)
    context: dict[str, Any] = {
        "take": take,
        "files": shown,
        "problems": problems,
        "controllers": _controllers(bench),
        "all_ready": bool(shown) and all(each.ready for each in shown),
        **for_files(bench),
    }
    return render(request, "debrief_files.html.j2", **context)


def _leave_out(request: Request, form: Form) -> Response:
    bench = bench_of(request)
    takes = Takes(bench.home)
    take = takes.find(request.path_params["take"])
    place = form.get("place")
    if place.isdecimal() and len(place) < 9 and int(place) < len(take.items):
        take = takes.leave_out(take, int(place))
    if take.items:
        return RedirectResponse(f"/incoming/{take.id}", 303)
    return _dropped(request)


def _drop(request: Request, _: Form) -> Response:
    return _dropped(request)


def _dropped(request: Request) -> Response:
    takes = Takes(bench_of(request).home)
    take = takes.find(request.path_params["take"])
    takes.end(take)
    return RedirectResponse(place_of(take.flight) if take.flight else "/debrief", 303)


# ---------------------------------------------------------------- taking in


def _keep(request: Request, form: Form) -> Response:
    """Take the files in, all or none, by the command; it says itself what is wrong."""
    with _KEEPING:  # asked for twice, it is done once
        return _kept(request, form)


def _kept(request: Request, form: Form) -> Response:
    bench = bench_of(request)
    takes = Takes(bench.home)
    take = takes.find(request.path_params["take"])
    job = None if take.job is None else bench.jobs.find(take.job)
    if job is not None and job.state in (State.RUNNING, State.DONE):
        return RedirectResponse(f"/incoming/{take.id}", 303)
    try:
        take = with_form(bench, take, form)
        words = _words(bench, take, form)
    except ProblemError as error:
        return _page(request, take, form=form, problems=error.problems, status=422)
    if not all(each.ready for each in shown_files(bench, take, "")):
        return _page(request, take, form=form, status=422)
    many = len(take.items)
    title = f"Take in {many} file{'' if many == 1 else 's'} of {words[1]}"
    started = bench.jobs.start(words, page="debrief", title=title)
    takes.save(replace(take, job=started.id))
    return RedirectResponse(f"/incoming/{take.id}", 303)


def _words(bench: Bench, take: Take, form: Form) -> list[str]:
    """Return the words of the command. Raises ``ProblemError`` where a field cannot be so."""
    from loftwright.documents.flights import FLIGHT_FILE, flight_folder
    from loftwright.evidence.keeping import Change, refuse_change
    from loftwright.web.debrief.record_form import told_in

    flight = _flight(bench, take, form)
    folder = flight_folder(bench.home, flight)
    values, _ = told_in({}, form.below("record:"))
    if (folder / FLIGHT_FILE).is_file():
        _refuse_said(values)
        values = {}
    refuse_change(folder, Change(values))
    words = ["record", flight, "--proposal", str(Takes(bench.home).path(take)), "--yes"]
    for path, text in values.items():
        words += ["--set", f"{path}={text}"]
    return words if form.get("forecast") else [*words, "--no-forecast"]


def _refuse_said(values: Mapping[str, str]) -> None:
    """Refuse what is said of a flight that is begun: its own page has what stands there already."""
    if said := sorted(set(values) - {"flown"}):
        where = Where(field=said[0], value=values[said[0]])
        message = "this flight is begun already, and its record is changed on its own page"
        mend = "take the files in without this, and put it in there; or begin another flight"
        raise ProblemError([Problem("record-meanwhile", message, where, mend)])


ROUTES = [
    Route("/incoming/{take}", _look_at),
    Route("/incoming/{take}/look", posted(_look), methods=["POST"]),
    Route("/incoming/{take}/leave-out", posted(_leave_out), methods=["POST"]),
    Route("/incoming/{take}/drop", posted(_drop), methods=["POST"]),
    Route("/incoming/{take}/keep", posted(_keep), methods=["POST"]),
]
