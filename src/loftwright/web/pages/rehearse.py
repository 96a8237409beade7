"""Rehearsing: start one, see what is kept, read what it found."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from loftwright.web.bench import Bench, bench_of
from loftwright.web.jobs import Job, State
from loftwright.web.pages.work import job_of
from loftwright.web.posting import Form, posted
from loftwright.web.rehearse.rehearsals import (
    Kept,
    adopt_command,
    kept_rehearsals,
    rehearsal_kept,
    slug,
    start_kept,
)
from loftwright.web.rendering import render
from loftwright.web.said import units_of

if TYPE_CHECKING:
    from loftwright.report.case_lines import CaseLine

__all__ = ["ROUTES"]

LIMITS = {"flights": (2, 100_000), "seed": (0, 2**31 - 1)}
GIVEN = {"flights": "400", "seed": "1", "which": "all", "pairs": "", "tries": ""}
SHOWN = 30  # kept rehearsals in the list
MOST_TRIES = 20


def _overview(request: Request) -> Response:
    return _form(request, dict(GIVEN), [], {})


def _form(
    request: Request,
    given: dict[str, str],
    faults: list[str],
    wrong: dict[str, str],
    status: int = 200,
) -> Response:
    """Return the page with the form as it was filled in, and what is wrong with it."""
    bench = bench_of(request)
    if not bench.begun:
        bench.read_campaign()  # which says that there is none
    jobs = kept_rehearsals(bench)
    latest = next((job for job in jobs if job.state is State.DONE), None)
    problems, known, programs = _what_there_is(bench)
    return render(
        request,
        "rehearse.html.j2",
        status=status,
        given=given,
        chosen=faults,
        wrong=wrong,
        problems=problems,
        no_avionics=any(each["code"] == "avionics-none" for each in problems),
        parts=known,
        programs=programs,
        running=[job for job in jobs if job.state is State.RUNNING],
        jobs=[job for job in jobs if job.state is not State.RUNNING][:SHOWN],
        latest=latest,
        lead=None if latest is None else _lead(bench, latest),
        command=["loftwright", "rehearse", str(bench.home), "--flights", given["flights"]],
    )


def _lead(bench: Bench, job: Job) -> str | None:
    """Return the answer of a rehearsal in a sentence or two; None where it cannot be read."""
    from loftwright.errors import ProblemError
    from loftwright.report.rehearse_words import rehearse_answer

    try:
        kept = rehearsal_kept(bench, job)
    except ProblemError:  # its own page says what is wrong
        return None
    return None if kept is None else rehearse_answer(kept.rehearsal, units_of(bench)).lead


def _what_there_is(
    bench: Bench,
) -> tuple[list[dict[str, Any]], dict[str, list[str]], list[tuple[str, str]]]:
    """Return what keeps this campaign from being rehearsed, its faults by part, its programs."""
    from loftwright.errors import ProblemError, as_dict
    from loftwright.rehearsal.cases import fault_name
    from loftwright.web.rehearse.faults import known_faults

    try:
        campaign = bench.read_campaign()
        parts: dict[str, list[str]] = {}
        for each in known_faults(bench):
            parts.setdefault(each.part.name, []).append(fault_name(each))
    except ProblemError as error:
        return [as_dict(problem) for problem in error.problems], {}, []
    assert campaign.avionics is not None
    programs = [(each.name, each.program) for each in campaign.avionics.controller]
    return [], parts, programs


def _start(request: Request, form: Form) -> Response:
    given = {name: form.get(name, missing) for name, missing in GIVEN.items()}
    given["pairs"] = form.get("pairs")  # a box that is not ticked is not sent
    faults = form.all("fault")
    wrong = dict(_wrong(given, faults))
    if wrong:
        return _form(request, given, faults, wrong, 422)
    bench = bench_of(request)
    words = ["rehearse", "--flights", given["flights"], "--seed", given["seed"]]
    if given["which"] != "all":
        words += ["--faults", ", ".join(faults) if given["which"] == "some" else "none"]
    if given["pairs"]:
        words.append("--pairs")
    for change in _changes(given["tries"]):
        words += ["--try", change]
    title = f"Rehearsal, {given['flights']} flights a case, seed {given['seed']}"
    job = bench.once.do(
        form.get("once"), lambda: start_kept(bench, words, page="rehearse", title=title)
    )
    return RedirectResponse(f"/rehearse/{job.id}", 303)


def _changes(text: str) -> list[str]:
    return [line.strip() for line in text.splitlines() if line.strip()]


def _wrong(given: dict[str, str], faults: list[str]) -> Any:
    """Yield each field that cannot be used with what is wrong with it, and how to mend it."""
    for name, (low, high) in LIMITS.items():
        text = given[name]
        if not (text.isascii() and text.isdecimal() and low <= int(text[:10]) <= high):
            yield name, f"write a whole number from {low} to {high}"
    if given["which"] == "some" and not faults:
        yield "which", "tick one fault at least, or choose all"
    if given["which"] not in ("all", "none", "some"):
        yield "which", "choose one of the three"
    changes = _changes(given["tries"])
    if any("=" not in each or each.startswith("-") for each in changes):
        yield "tries", "write each as PATH=VALUE on a line of its own"
    if len(changes) > MOST_TRIES:
        yield "tries", f"try {MOST_TRIES} at a time at most"


# ---------------------------------------------------------------- one of them


def _one(request: Request) -> Response:
    bench, job = bench_of(request), job_of(request)
    kept = rehearsal_kept(bench, job)
    if kept is None:
        return render(request, "rehearsal_runs.html.j2", job=job, command=job.command)
    beside = request.query_params.get("beside", "")
    if beside and bench.jobs.find(beside) is not None:
        return RedirectResponse(f"/rehearse/{job.id}/beside/{beside}", 303)
    return render(request, "rehearsal.html.j2", command=job.command, **_found(request, kept))


def _found(request: Request, kept: Kept) -> dict[str, Any]:
    """Return what the page says of a rehearsal that is done."""
    from loftwright.report.rehearse_words import rehearse_answer

    bench, found = bench_of(request), kept.rehearsal
    system = units_of(bench)
    return {
        "job": kept.job,
        "answer": rehearse_answer(found, system),
        **_cases(request, kept),
        **_means(bench, kept),
        "written": "written" in request.query_params and _stands_written(bench, kept),
        "is_of_now": kept.is_of_now(bench),
        "has_documents": kept.documents is not None,
        "wiring": _wiring(kept, system),
        "truth_from": found.truth_from,
        "others": [
            job
            for job in kept_rehearsals(bench)[:SHOWN]
            if job.id != kept.job.id and job.state is State.DONE
        ],
        "slug": slug,
        "cautions": _cautions(),
        "made": found.provenance,
    }


def _stands_written(bench: Bench, kept: Kept) -> bool:
    """Tell whether a mend is the last change to the documents: an address outlives what it says."""
    from loftwright.documents.history import steps
    from loftwright.errors import ProblemError

    try:
        last = steps(bench.home)
    except ProblemError:  # said where the documents are described
        return False
    mends = {mend.words for mend in kept.rehearsal.mends}
    return last.undo is not None and not last.blocked and last.undo.what in mends


def _cases(request: Request, kept: Kept) -> dict[str, Any]:
    """Return the tables of cases, as far as they are asked for; the first one is nominal."""
    from loftwright.report.case_lines import case_line
    from loftwright.report.rehearse_words import level_words, whole

    found, asked = kept.rehearsal, request.query_params
    hurts, part = asked.get("hurts", ""), asked.get("part", "")
    lines = [(word, case_line(case, found.nominal)) for word, case in kept.cases.items()]

    def shown(first: int, end: int | None = None) -> dict[str, CaseLine]:
        return {
            word: line
            for place, (word, line) in enumerate(lines[first:end], first)
            if place == 0 or ((not hurts or line.hurts) and part in ("", line.part))
        }

    singles = len(found.faults) + 1
    return {
        "alone": shown(0, singles),
        "pairs": shown(singles),
        "singles": {word: line for word, line in lines if line.warns},
        "parts": sorted({line.part for _, line in lines if line.part}),
        "several": len(lines) - 1,
        "filter": {"hurts": hurts, "part": part},
        "level": level_words(found.level),
        "each": whole(found.flights),
        "columns": [name for name in ("payload", "field") if getattr(found.nominal, name)],
    }


def _means(bench: Bench, kept: Kept) -> dict[str, Any]:
    """Return what hangs together, and what would mend it."""
    from loftwright.report.rehearse_rows import cut_rows, mend_rows
    from loftwright.report.rehearse_words import cause_words

    found = kept.rehearsal
    return {
        "cuts": cut_rows(found),
        "causes": [(cause_words(each), each.leaves_no_way_down) for each in found.common_causes],
        "mends": [
            (words, how, rows, bool(mend.writings))
            for (words, how, rows), mend in zip(mend_rows(found), found.mends, strict=True)
        ],
        "adopt": adopt_command(bench, kept.job),
    }


def _cautions() -> tuple[str, ...]:
    from loftwright.report.cautions import CAUTIONS

    return tuple(CAUTIONS)


def _wiring(kept: Kept, system: str) -> Any:
    """Return the wiring that was flown, drawn; nothing where its documents are not kept."""
    from loftwright.report import wiring
    from loftwright.report.page import all_widths
    from loftwright.report.wiring_picture import picture_of

    if kept.documents is None:
        return None
    avionics = kept.campaign().avionics
    picture = None if avionics is None else picture_of(avionics, system)
    if picture is None or not picture.nodes:
        return None
    drawn = all_widths(wiring.WIDTHS, lambda frame, kind: wiring.draw_wiring(picture, frame, kind))
    return {"svg": drawn, "key": wiring.KEY}


def _report(request: Request) -> Response:
    """Return the whole report as it was written, in the shell."""
    job = job_of(request)
    if not job.has_report():
        return RedirectResponse(f"/rehearse/{job.id}", 303)
    return render(
        request,
        "report_in_shell.html.j2",
        title=job.title,
        body=job.report_main(),
        back=f"/rehearse/{job.id}",
        command=f"{job.command} --report report.html",
    )


ROUTES = [
    Route("/rehearse", _overview),
    Route("/rehearse", posted(_start), methods=["POST"]),
    Route("/rehearse/{job}", _one),
    Route("/rehearse/{job}/report", _report),
]
