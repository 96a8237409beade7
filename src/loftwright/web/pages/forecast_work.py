"""Long work that is begun on the forecast page: forecasts, the optimiser, studies, firings."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import Final
from urllib.parse import urlencode

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from loftwright.errors import Problem, ProblemError, Where
from loftwright.web.bench import bench_of
from loftwright.web.jobs import Job
from loftwright.web.posting import Form, posted
from loftwright.web.rendering import render
from loftwright.web.whatif.shown import PROGRAM, all_sliders, words_of

__all__ = ["PAGE", "ROUTES", "form_values", "set_options", "taken"]

PAGE = "forecast"
WHOLE = re.compile(r"[0-9]{1,9}")
LONGEST = 200  # characters of a line in a form
MOST_LINES = 20


def set_options(values: Mapping[str, str]) -> list[str]:
    """Return the options that take other values of documents for a command."""
    return _settings_of(
        {path: text for path, text in values.items() if not path.startswith(PROGRAM)}
    )


def _settings_of(values: Mapping[str, str]) -> list[str]:
    return [word for path, text in values.items() for word in ("--set", f"{path}={text}")]


def form_values(form: Form) -> dict[str, str]:
    """Return the values that a form carries, by path."""
    parts = (str(each).partition("=") for each in form.all("set"))
    return {path: value.strip() for path, sign, value in parts if sign and value.strip()}


def _begin(request: Request, form: Form, words: list[str], title: str) -> Job:
    """Start a command, once however often its form is sent."""
    bench = bench_of(request)
    return bench.once.do(
        form.word("once") or "", lambda: bench.jobs.start(words, page=PAGE, title=title)
    )


def _line(form: Form, name: str) -> str:
    return form.get(name).strip()[:LONGEST]


def _each(form: Form, name: str, option: str) -> list[str]:
    """Return an option for every line of a field."""
    lines = [line.strip()[:LONGEST] for line in form.get(name).splitlines()]
    return [word for line in lines[:MOST_LINES] if line for word in (option, line)]


@posted
def _fly(request: Request, form: Form) -> Response:
    flights, seed = (_digits(form, name) for name in ("flights", "seed"))
    values = form_values(form)
    changed = ", with other values" if values else ""
    count = ["--flights", flights, "--seed", seed]
    if form.word("programs") or any(path.startswith(PROGRAM) for path in values):
        # What a forecast knows nothing of is flown by the command that the picture is of.
        words = ["whatif", *count, "--programs", *_settings_of(values)]
        _begin(request, form, words, f"What if, {flights} flights by the release program{changed}")
    else:
        words = ["forecast", *count, *set_options(values)]
        _begin(request, form, words, f"Forecast, {flights} flights{changed}")
    there = _address(request, values, form.word("programs"))
    return RedirectResponse(f"{there}#kept", 303)


def _address(request: Request, values: Mapping[str, str], programs: str | None = None) -> str:
    """Return the page with its sliders where a person had put them, and who decides."""
    decides = [("programs", "1")] if programs else []
    if not values:
        return f"/forecast?{urlencode(decides)}" if decides else "/forecast"
    from loftwright.study.sliders import default_paths

    shown = dict.fromkeys([*default_paths(bench_of(request).read_campaign()), *values])
    pairs = [("show", path) for path in shown]
    pairs += [("set", f"{path}={text}") for path, text in values.items()]
    return f"/forecast?{urlencode([*pairs, *decides])}"


def _digits(form: Form, name: str) -> str:
    given = _line(form, name)
    if not WHOLE.fullmatch(given):
        where = Where(field=name, value=given[:40])
        mend = "write digits alone, such as 400"
        raise ProblemError([Problem("whatif-number", "a whole number is needed", where, mend)])
    return given


@posted
def _best(request: Request, form: Form) -> Response:
    """Run the optimiser over the sliders that may move."""
    way, figure, near = (_line(form, name) for name in ("way", "figure", "near"))
    aim = f"{figure} near {near}" if way == "near" else f"{way} {figure}"
    words = ["best", "--aim", aim]
    if not form.all("vary"):
        mend = "tick one number or more under what may move; another comes there with a slider"
        raise ProblemError([Problem("whatif-none-moves", "nothing may move", mend=mend)])
    for path in form.all("vary"):
        low, high = (_line(form, f"{end}.{path}") for end in ("from", "to"))
        words += ["--vary", f"{path}={low}..{high}"]
    words += _each(form, "limits", "--limit")
    if _line(form, "flights"):
        words += ["--flights", _digits(form, "flights")]
    varied = set(form.all("vary"))
    words += set_options(
        {path: text for path, text in form_values(form).items() if path not in varied}
    )
    _begin(request, form, words, f"Best within limits: {aim}")
    return RedirectResponse(f"{_address(request, form_values(form))}#kept", 303)


def taken(job: Job) -> str:
    """Return the address that puts what ``best`` found onto the sliders, "" for other work."""
    answer = job.answer() if job.words[:1] == ["best"] else None
    return f"/forecast/take/{job.id}" if answer and answer.get("values") else ""


def _take(request: Request) -> Response:
    """Put what ``best`` found onto the sliders."""
    from loftwright.study.sliders import default_paths

    bench = bench_of(request)
    job = bench.jobs.find(request.path_params["job"])
    values = (job.answer() or {}).get("values", {}) if job else {}
    known = all_sliders(bench)
    pairs = [("show", path) for path in default_paths(bench.read_campaign())]
    for path, si in values.items():
        if path in known:
            text = known[path].full(known[path].written_si(float(si)))
            pairs += [("show", path), ("set", f"{path}={text}")]
    return RedirectResponse(f"/forecast?{urlencode(pairs)}#whatif", 303)


# ---------------------------------------------------------------- studies and firings


def _more(request: Request) -> Response:
    from loftwright.study.figures import known_keys, short_name

    bench = bench_of(request)
    campaign = bench.read_campaign()
    known = all_sliders(bench)
    return render(
        request,
        "forecast_more.html.j2",
        campaign=campaign,
        sliders=[
            (each, words_of(path)) for path, each in known.items() if not path.startswith(PROGRAM)
        ],
        figures=sorted({short_name(key) for key in known_keys(campaign)}),
        values=[f"{path}={text}" for path, text in _settings(request).items()],
        jobs=[job for job in bench.jobs.all() if job.words[:1] and job.words[0] in STUDIES][:8],
    )


def _settings(request: Request) -> dict[str, str]:
    pairs = (each.partition("=") for each in request.query_params.getlist("set"))
    return {path: text[:LONGEST] for path, sign, text in pairs if sign}


def _firing(form: Form) -> tuple[list[str], str]:
    return ["firing", *_each(form, "set", "--set")], "Firing on the stand"


def _compare(form: Form) -> tuple[list[str], str]:
    words = ["compare", *_each(form, "set", "--set"), "--flights", _digits(form, "flights")]
    return words, "Two builds, flight by flight"


def _explore(form: Form) -> tuple[list[str], str]:
    ranges = [
        f"{path}={_line(form, f'from{number}')}..{_line(form, f'to{number}')}"
        for number in (1, 2)
        if (path := _line(form, f"path{number}"))
    ]
    for each in ranges:
        _refuse_option(each)
    words = [
        "explore",
        *ranges,
        *_each(form, "figures", "--show"),
        *_each(form, "limits", "--limit"),
    ]
    if _line(form, "flights"):
        words += ["--flights", _digits(form, "flights")]
    return words, "Explore " + " and ".join(words_of(each.partition("=")[0]) for each in ranges)


def _refuse_option(word: str) -> None:
    """Refuse a word of a command that it would take for one of its options."""
    if word.startswith("-"):
        where, mend = Where(field="path", value=word[:40]), "choose one of the list"
        message = "this is no number of the campaign"
        raise ProblemError([Problem("study-unknown-path", message, where, mend)])


def _sensitivity(form: Form) -> tuple[list[str], str]:
    figures = [str(each)[:LONGEST] for each in form.all("figure")]
    words = [word for figure in figures for word in ("--figure", figure)]
    return ["sensitivity", *words, "--flights", _digits(form, "flights")], "What drives the spread"


STUDIES: Final[Mapping[str, Callable[[Form], tuple[list[str], str]]]] = {
    "firing": _firing,
    "compare": _compare,
    "explore": _explore,
    "sensitivity": _sensitivity,
}


@posted
def _study(request: Request, form: Form) -> Response:
    words, title = STUDIES[request.url.path.rpartition("/")[2]](form)
    job = _begin(request, form, words, title)
    return RedirectResponse(f"/work/{job.id}", 303)


ROUTES = [
    Route("/forecast/fly", _fly, methods=["POST"]),
    Route("/forecast/best", _best, methods=["POST"]),
    Route("/forecast/take/{job}", _take),
    Route("/forecast/more", _more),
    *(Route(f"/forecast/more/{study}", _study, methods=["POST"], name=study) for study in STUDIES),
]
