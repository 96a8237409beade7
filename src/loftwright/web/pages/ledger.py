"""The ledger: what was flown, found, done and decided, and what may be written into it."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any
from urllib.parse import quote

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from loftwright.web.bench import Bench, bench_of
from loftwright.web.posting import Form, posted
from loftwright.web.rendering import render
from loftwright.web.said import units_of

if TYPE_CHECKING:
    from loftwright.errors import Problem
    from loftwright.ledger.ledger import Ledger

__all__ = ["ROUTES", "opened", "told"]

SHOWN = ("all", "flights", "findings", "actions", "decisions")
ADDED = ("finding", "action", "decision")


@contextmanager
def opened(bench: Bench) -> Iterator[tuple[Ledger, list[Problem]]]:
    """Open the ledger with the flights that have come since, and what is amiss with these."""
    from loftwright.cli.ledger_take_in import ledger_of
    from loftwright.ledger.taking_in import take_in

    with ledger_of(bench.home) as ledger:
        yield ledger, list(take_in(ledger).problems)


def told(problems: list[Problem]) -> list[dict[str, Any]]:
    """Return problems as templates take them."""
    from loftwright.errors import as_dict

    return [as_dict(each) for each in problems]


# ---------------------------------------------------------------- looking


def _list(request: Request) -> Response:
    from loftwright.ledger.functions import FUNCTIONS
    from loftwright.ledger.history import flown_flights
    from loftwright.report import ledger_words as words

    asked = request.query_params
    what = asked.get("what", "all") if asked.get("what") in SHOWN else "all"
    closed, query = "closed" in asked, asked.get("q", "").strip()[:200]
    with opened(bench_of(request)) as (ledger, problems):
        flights = flown_flights(ledger)
        findings = ledger.findings(open_only=not closed)
        actions = ledger.actions(open_only=not closed)
        decisions = ledger.decisions()
    titles = {each.entry.name: each.entry.title for each in flights}
    lines = {
        "findings": [(f"F{e.number}", *words.finding_row(e)) for e in findings],
        "actions": [(f"A{e.number}", *words.action_row(e)) for e in actions],
        "decisions": [(f"D{e.number}", *words.decision_row(e)) for e in decisions],
    }
    return render(
        request,
        "ledger.html.j2",
        rows=[
            row
            for row in reversed(words.flight_rows(flights))  # the last first, as in Debrief
            if _holds(query, (*row, titles[row[0]]))
        ],
        functions=FUNCTIONS,
        lines={name: [each for each in own if _holds(query, each)] for name, own in lines.items()},
        names=[each.entry.name for each in flights],
        titles=titles,
        what=what,
        closed=closed,
        query=query,
        shown=SHOWN,
        problems=told(problems),
        command=["loftwright", "ledger", "list", str(bench_of(request).home)]
        + (["--closed"] if closed else []),
    )


def _holds(query: str, cells: tuple[str, ...]) -> bool:
    return query.casefold() in " ".join(cells).casefold()


def _flight(request: Request) -> Response:
    from loftwright.documents.flights import flights_of
    from loftwright.ledger.functions import OUTCOMES
    from loftwright.ledger.history import flown
    from loftwright.report import ledger_words as words

    bench, name = bench_of(request), request.path_params["flight"]
    with opened(bench) as (ledger, problems):
        found = flown(ledger, name)
        findings, actions = ledger.findings(found.entry.name), ledger.actions()
        return render(
            request,
            "ledger_flight.html.j2",
            flight=found.entry,
            is_kept=found.entry.name in flights_of(bench.home),
            outcomes=words.outcome_rows(found),
            figures=words.figure_rows(
                [(found.record, ledger.figures(found.entry.name))], units_of(bench)
            ),
            evidence=ledger.evidence(found.entry.name),
            findings=[(f"F{each.number}", words.finding_line(each)) for each in findings],
            closed=[
                (f"A{each.number}", words.action_line(each))
                for each in actions
                if each.closed_by == found.entry.name
            ],
            judgements=ledger.judgements(found.entry.name),
            others=[each.name for each in ledger.flights() if each.name != found.entry.name],
            possible=OUTCOMES,
            has_flown=found.has_flown,
            problems=told(problems),
            command=["loftwright", "ledger", "show", str(bench.home), found.entry.name],
        )


def _entry(request: Request) -> Response:
    from loftwright.report import ledger_words as words

    item = request.path_params["item"]
    letter, number = item[0].upper(), int(item[1:])
    with opened(bench_of(request)) as (ledger, problems):
        entry: Any
        if letter == "F":
            entry, kind = ledger.finding(number), "Finding"
            line, is_open = words.finding_line(entry), entry.is_open
        elif letter == "A":
            entry, kind = ledger.action(number), "Action"
            line, is_open = words.action_line(entry), entry.is_open
        else:
            entry, kind = ledger.decision(number), "Decision"
            line, is_open = words.decision_line(entry), False
        return render(
            request,
            "ledger_entry.html.j2",
            item=f"{letter}{number}",
            kind=kind,
            entry=entry,
            line=line.partition("  ")[2],
            is_open=is_open,
            evidence=getattr(entry, "evidence", ()),
            flights=[each.name for each in ledger.flights()],
            problems=told(problems),
            command=["loftwright", "ledger", "show", str(bench_of(request).home), item],
        )


# ---------------------------------------------------------------- writing


def _add_form(request: Request) -> Response:
    """Show a form; what the address says of it stands in its fields."""
    asked = request.query_params
    values = {**asked, "evidence": tuple(asked.getlist("evidence"))}
    return _form(request, request.path_params["kind"], values, [])


def _form(
    request: Request, kind: str, values: Mapping[str, Any], problems: list[Problem]
) -> Response:
    from loftwright.ledger.entries import SURENESS
    from loftwright.ledger.functions import FUNCTIONS

    with opened(bench_of(request)) as (ledger, amiss):
        return render(
            request,
            "ledger_add.html.j2",
            status=422 if problems else 200,
            kind=kind,
            values=values,
            flights=[each.name for each in ledger.flights()],
            files=[f"{each.flight}/{each.file}" for each in ledger.evidence()],
            findings=[each for each in ledger.findings() if each.is_open],
            sureness=SURENESS,
            functions=FUNCTIONS,
            problems=told([*problems, *amiss]),
            command=_command(bench_of(request), kind, values),
        )


# The options of each kind, and the fields of its form.
_OPTIONS = {
    "finding": {"--flight": "flight", "--sure": "sure", "--explains": "explains", "--by": "who"},
    "action": {"--who": "who", "--due": "due", "--finding": "finding"},
    "decision": {"--why": "why", "--by": "who"},
}


def _command(bench: Bench, kind: str, values: Mapping[str, Any]) -> list[str]:
    """Return the command that writes the same down; WHAT and WHY stand for what is not said yet."""
    what = values.get("what") or "WHAT"
    words = ["loftwright", "ledger", kind, str(bench.home), *(["--"] if what[0] == "-" else [])]
    said = {"why": "WHY", **{name: text for name, text in values.items() if text}}
    options = [f"{option}={said[name]}" for option, name in _OPTIONS[kind].items() if name in said]
    options += [f"--evidence={each}" for each in values.get("evidence", ()) if kind != "action"]
    options += ["--unsettled"] if kind == "finding" and "unsettled" in said else []
    return [*words[:4], *options, *words[4:], what]


def _add(request: Request, form: Form) -> Response:
    """Write an entry down, once; what is wrong with it is said in its form, with what was said."""
    from loftwright.errors import ProblemError

    bench, kind = bench_of(request), request.path_params["kind"]

    def added() -> str:
        with opened(bench) as (ledger, _):
            return _ADDERS[kind](ledger, form)

    try:
        item = bench.once.do(form.word("once") or "", added)
    except ProblemError as error:
        said = dict(form.pairs)
        return _form(request, kind, {**said, "evidence": tuple(filter(None, form.all("evidence")))},
                     list(error.problems))  # fmt: skip
    return RedirectResponse(f"/ledger/{item}", 303)


def _finding(ledger: Ledger, form: Form) -> str:
    flight = form.word("flight")
    files = tuple(filter(None, form.all("evidence")))
    if flight is not None:  # then files are named by themselves
        files = tuple(each.removeprefix(f"{flight}/") for each in files)
    found = ledger.add_finding(
        form.word("what") or "",
        sure=form.word("sure") or "likely",
        flight=flight,
        evidence=files,
        explains=form.word("explains"),
        unsettled=form.word("unsettled") == "yes",
        who=form.word("who"),
    )
    return f"F{found.number}"


def _action(ledger: Ledger, form: Form) -> str:
    calls = form.word("finding")
    number = int(calls) if calls is not None and re.fullmatch(r"[0-9]{1,9}", calls) else None
    found = ledger.add_action(
        form.word("what") or "", who=form.word("who"), due=form.word("due"), finding=number
    )
    return f"A{found.number}"


def _decision(ledger: Ledger, form: Form) -> str:
    found = ledger.add_decision(
        form.word("what") or "",
        why=form.word("why") or "",
        who=form.word("who"),
        evidence=tuple(filter(None, form.all("evidence"))),
    )
    return f"D{found.number}"


_ADDERS = {"finding": _finding, "action": _action, "decision": _decision}


def _close(request: Request, form: Form) -> Response:
    bench, item = bench_of(request), request.path_params["item"]
    letter, number = item[0].upper(), int(item[1:])
    if letter == "D":
        raise HTTPException(404)

    def closed() -> str:
        how = {"flight": form.word("flight"), "why": form.word("why")}
        with opened(bench) as (ledger, _):
            if letter == "A":
                ledger.close_action(number, **how)
            else:
                ledger.close_finding(number, **how)
        return "/" if form.word("back") == "/" else f"/ledger/{letter}{number}"

    return RedirectResponse(bench.once.do(form.word("once") or "", closed), 303)


def _judge(request: Request, form: Form) -> Response:
    bench = bench_of(request)

    def judged() -> str:
        with opened(bench) as (ledger, _):
            found = ledger.judge(
                request.path_params["flight"],
                form.word("function") or "",
                form.word("outcome") or "",
                why=form.word("why"),
                who=form.word("who"),
            )
        return f"/ledger/flights/{quote(found.flight)}"

    return RedirectResponse(bench.once.do(form.word("once") or "", judged), 303)


def _known_kind(act: Any) -> Any:
    """Return an endpoint that knows these kinds of entries only."""

    def endpoint(request: Request, *form: Form) -> Response:
        if request.path_params["kind"] not in ADDED:
            raise HTTPException(404)
        answer: Response = act(request, *form)
        return answer

    return endpoint


def _known_item(act: Any) -> Any:
    """Return an endpoint that knows names of entries only: F2, A3, D1."""

    def endpoint(request: Request, *form: Form) -> Response:
        if re.fullmatch(r"[AFDafd][0-9]{1,9}", request.path_params["item"]) is None:
            raise HTTPException(404)
        answer: Response = act(request, *form)
        return answer

    return endpoint


ROUTES = [
    Route("/ledger", _list),
    Route("/ledger/add/{kind}", _known_kind(_add_form)),
    Route("/ledger/add/{kind}", posted(_known_kind(_add)), methods=["POST"]),
    Route("/ledger/close/{item}", posted(_known_item(_close)), methods=["POST"]),
    Route("/ledger/flights/{flight}", _flight),
    Route("/ledger/flights/{flight}/judge", posted(_judge), methods=["POST"]),
    Route("/ledger/{item}", _known_item(_entry)),
]
