"""Tuning: which numbers of the programs to turn how far, what that costs, and taking a setting."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from loftwright.units import said_in
from loftwright.web.bench import Bench, bench_of
from loftwright.web.jobs import State
from loftwright.web.pages.work import job_of
from loftwright.web.posting import Form, posted
from loftwright.web.rehearse.rehearsals import adopt_command, is_written, kept_tunings, start_kept
from loftwright.web.rendering import render
from loftwright.web.said import units_of

__all__ = ["ROUTES"]

LIMITS = {"flights": (2, 100_000), "points": (2, 1000), "seed": (0, 2**31 - 1)}
GIVEN = {
    "flights": "400",
    "points": "",
    "seed": "1",
    "aim": "released_well",
    "against": "release_height",
    "limits": "",
}
SHOWN = 20


def _form_page(request: Request) -> Response:
    return _form(request, dict(GIVEN), {}, {})


def _form(
    request: Request,
    given: dict[str, str],
    ranges: dict[str, tuple[str, str]],
    wrong: dict[str, str],
    status: int = 200,
) -> Response:
    from loftwright.rehearsal.aims import FIGURES
    from loftwright.rehearsal.knobs import knobs_of
    from loftwright.rehearsal.plan import see_that_it_rehearses

    bench = bench_of(request)
    campaign = bench.read_campaign()
    see_that_it_rehearses(campaign)
    jobs = kept_tunings(bench)
    return render(
        request,
        "tune.html.j2",
        status=status,
        given=given,
        wrong=wrong,
        knobs=[
            (knob.path, _now(knob, campaign.head.units), *ranges.get(knob.path, ("", "")))
            for knob in knobs_of(campaign.programs)
        ],
        figures=[(each.name, each.words) for each in FIGURES.values()],
        running=[job for job in jobs if job.state is State.RUNNING],
        jobs=[job for job in jobs if job.state is not State.RUNNING][:SHOWN],
        command=["loftwright", "tune", str(bench.home)],
    )


def _now(knob: Any, system: str) -> str:
    return said_in(system, knob.shown(knob.now), knob.dimension)


def _start(request: Request, form: Form) -> Response:
    from loftwright.errors import ProblemError
    from loftwright.rehearsal.aims import read_limit
    from loftwright.rehearsal.knobs import knobs_of, read_knobs

    bench = bench_of(request)
    programs = bench.read_campaign().programs
    given = {name: form.get(name, missing) for name, missing in GIVEN.items()}
    low, high = form.below("from "), form.below("to ")
    names = [knob.path for knob in knobs_of(programs)]
    ranges = {
        path: (low.get(path, ""), high.get(path, ""))
        for path in names
        if low.get(path) or high.get(path)
    }
    wrong = dict(_wrong(given, ranges))
    texts = [f"{path}={first}..{last}" for path, (first, last) in ranges.items()]
    limits = [line.strip() for line in given["limits"].splitlines() if line.strip()]
    for name, read in (
        ("ranges", lambda: read_knobs(programs, texts)),
        ("limits", lambda: [read_limit(each) for each in limits]),
    ):
        try:
            read()
        except ProblemError as error:
            said = error.problems[0]
            wrong.setdefault(name, f"{said.where.field or name}: {said.message}; {said.mend}")
    if wrong:
        return _form(request, given, ranges, wrong, 422)
    words = ["tune", *(word for text in texts for word in ("--vary", text))]
    words += ["--aim", given["aim"], "--against", given["against"]]
    words += [word for limit in limits for word in ("--limit", limit)]
    words += ["--flights", given["flights"], "--seed", given["seed"]]
    words += ["--points", given["points"]] if given["points"] else []
    title = f"Tuning {', '.join(ranges)}"
    job = bench.once.do(
        form.get("once"), lambda: start_kept(bench, words, page="rehearse", title=title)
    )
    return RedirectResponse(f"/rehearse/tune/{job.id}", 303)


def _wrong(given: dict[str, str], ranges: dict[str, tuple[str, str]]) -> Iterator[tuple[str, str]]:
    from loftwright.rehearsal.aims import FIGURES

    for name, (least, most) in LIMITS.items():
        text = given[name]
        if name == "points" and not text:
            continue
        if not (text.isascii() and text.isdecimal() and least <= int(text[:10]) <= most):
            yield name, f"write a whole number from {least} to {most}"
    if not ranges:
        yield "ranges", "say of one number at least from where to where it may be turned"
    for name in ("aim", "against"):
        if given[name] not in FIGURES:
            yield name, "choose one of the list"


# ---------------------------------------------------------------- one of them


def _one(request: Request) -> Response:
    job = job_of(request)
    if job.state is not State.DONE:
        return render(request, "rehearsal_runs.html.j2", job=job, command=job.command)
    answer = job.answer() or {}
    return render(
        request,
        "tuned.html.j2",
        job=job,
        body=job.report_main(),
        adopt=adopt_command(bench_of(request), job),
        settings=_settings(answer, units_of(bench_of(request))),
        written=_is_written(bench_of(request), answer),
        command=job.command,
    )


def _is_written(bench: Bench, answer: dict[str, Any]) -> bool:
    from loftwright.cli.adopt import adoptable

    found, based_on = adoptable(answer)
    return is_written(bench, {what for what, _ in found}, based_on)


def _settings(answer: dict[str, Any], system: str) -> list[dict[str, Any]]:
    """Return the settings that may be taken: those that nothing beats and no limit forbids."""
    from loftwright.rehearsal.aims import FIGURES
    from loftwright.report.quantities import amount
    from loftwright.report.reading import hundredths

    found = []
    for number, each in enumerate(answer.get("settings", ()), 1):
        if each["as_written"] or each["breaks"] or not (each["on_front"] or each["chosen"]):
            continue
        figures = []
        for name in (answer["aim"], answer["against"]):
            kind, value = FIGURES[name].kind, each["figures"][name]["value"]
            said = (
                f"{hundredths(value)} in 100" if kind == "chance" else amount(value, kind, system)
            )
            figures.append(f"{FIGURES[name].words}: {said}")
        says = ", ".join(f"{path} = {said}" for path, said in each["says"].items())
        found.append({"number": number, "says": says, "figures": figures, "chosen": each["chosen"]})
    return sorted(found, key=lambda each: not each["chosen"])


def _take(request: Request, _: Form) -> Response:
    """Write a setting into the programs, as they were when it was tried."""
    from loftwright.cli.adopt import adoptable, writings_in
    from loftwright.rehearsal.adopting import adopt

    job, number = job_of(request), request.path_params["number"]
    if job.state is not State.DONE:
        raise HTTPException(404)
    found, based_on = adoptable(job.answer() or {})
    if not 1 <= number <= len(found):
        raise HTTPException(404)
    what, writes = found[number - 1]
    adopt(bench_of(request).home, writings_in(writes), what, based_on)
    return RedirectResponse(f"/rehearse/tune/{job.id}#written", 303)


ROUTES = [
    Route("/rehearse/tune", _form_page),
    Route("/rehearse/tune", posted(_start), methods=["POST"]),
    Route("/rehearse/tune/{job}", _one),
    Route("/rehearse/tune/{job}/settings/{number:int}", posted(_take), methods=["POST"]),
]
