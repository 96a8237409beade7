"""What the ledger shows: reliability, what speaks against a costlier vehicle, two builds."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any
from urllib.parse import quote

from starlette.datastructures import QueryParams
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from loftwright.web.bench import bench_of
from loftwright.web.pages.ledger import opened, told
from loftwright.web.rendering import render
from loftwright.web.said import units_of

if TYPE_CHECKING:
    from loftwright.errors import Problem
    from loftwright.ledger.ledger import Ledger
    from loftwright.ledger.readiness import Readiness
    from loftwright.ledger.reasons import Reason
    from loftwright.ledger.reliability import Asked, FunctionReliability, Reliability

__all__ = ["ROUTES"]


def asked_of(said: QueryParams) -> Asked:
    """Return what the fields of the form ask for; empty ones are as `Asked` has them.

    Raises ``ProblemError``, ``ledger-asked``, for what is no number.
    """
    from loftwright.ledger.reliability import Asked

    plain = Asked()
    return Asked(
        wanted=_share(said, "wanted", plain.wanted),
        confidence=_share(said, "confidence", plain.confidence),
        count=said.get("count") or plain.count,
        weight=_share(said, "weight", plain.weight),
        may_fail=_whole(said, "may_fail"),
    )


def _whole(said: QueryParams, name: str) -> int:
    """Return how many flights; none where nothing is said."""
    from loftwright.ledger.problems import refused

    text = (said.get(name) or "0").strip()
    if not text.isascii() or not text.isdecimal() or len(text) > 3:
        mend = "write a whole number, from 0 to 999"
        raise refused("ledger-asked", f"{text[:40]!r} is no number of flights", mend)
    return int(text)


def _share(said: QueryParams, name: str, plain: float) -> float:
    """Return a share that is written as a percentage."""
    from loftwright.ledger.problems import refused

    text = (said.get(name) or "").strip().removesuffix("%").replace(",", ".").strip()
    if not text:
        return plain
    try:
        return float(text) / 100.0
    except ValueError:
        mend = "write a percentage, e.g. 90"
        raise refused("ledger-asked", f"{text[:40]!r} is no number", mend) from None


def _fields(asked: Asked) -> dict[str, Any]:
    return {
        "wanted": f"{100 * asked.wanted:g}",
        "confidence": f"{100 * asked.confidence:g}",
        "weight": f"{100 * asked.weight:g}",
        "count": asked.count,
        "may_fail": asked.may_fail,
    }


def _words_of(asked: Asked) -> list[str]:
    wanted, confidence = (f"{100 * each:.12g}%" for each in (asked.wanted, asked.confidence))
    words = ["--wanted", wanted, "--confidence", confidence, "--count", asked.count]
    return [*words, "--weight", f"{asked.weight:.12g}", "--may-fail", str(asked.may_fail)]


def _reliability(request: Request) -> Response:
    from loftwright.ledger.reliability import reliability
    from loftwright.report import ledger_words as words

    bench, asked = bench_of(request), asked_of(request.query_params)

    def work_out() -> tuple[Reliability, list[Problem]]:
        with opened(bench) as (ledger, problems):
            return reliability(ledger, asked), problems

    found, problems = bench.memory.recall(("reliability", repr(asked)), work_out)
    return render(
        request,
        "ledger_reliability.html.j2",
        asked=_fields(asked),
        counting=words.counting_sentence(asked).replace(" (--count all)", "")
        .replace(" (--count same)", "").replace(" (--weight)", ""),
        functions=[_function(each, asked) for each in found.functions],
        heads=("flight", *(each.function for each in found.functions)),
        rows=words.counted_rows(found.functions),
        problems=told(problems),
        command=["loftwright", "ledger", "reliability", str(bench.home), *_words_of(asked)],
    )  # fmt: skip


def _function(each: FunctionReliability, asked: Asked) -> dict[str, Any]:
    """Return what is drawn and said of one function."""
    from loftwright.report.ledger_words import reliability_rows, reliability_sentences

    (row,) = reliability_rows([each])
    return {
        "name": each.function,
        "is_shown": each.is_shown,
        "left": 100.0 * each.exact[0],
        "wide": 100.0 * (each.exact[1] - each.exact[0]),
        "wanted": 100.0 * asked.wanted,
        "row": row,
        "sentences": reliability_sentences(each, asked),
    }


def _ready(request: Request) -> Response:
    from loftwright.ledger.readiness import readiness
    from loftwright.report.ledger_words import change_rows

    bench, asked = bench_of(request), asked_of(request.query_params)

    def work_out() -> tuple[Readiness, list[Problem]]:
        with opened(bench) as (ledger, problems):
            return readiness(ledger, asked), problems

    found, problems = bench.memory.recall(("readiness", repr(asked)), work_out)
    return render(
        request,
        "ledger_ready.html.j2",
        asked=_fields(asked),
        found=found,
        changes=[change_rows(each.changes) for each in found.reasons],
        acts=[_act(each) for each in found.reasons],
        problems=told(problems),
        command=["loftwright", "ledger", "ready", str(bench.home), *_words_of(asked)],
    )


def _act(reason: Reason) -> tuple[str, str, str]:
    """Return what to do about a reason, and where on these pages: its words and its path."""
    do = re.split(r"[,;] then: ", reason.do)[0]
    flight = quote(reason.flight or "")
    places = {
        "failure": (
            "Write down the cause",
            f"/ledger/add/finding?flight={flight}&explains={reason.function}",
        ),
        "record": ("Say how it went", f"/ledger/flights/{flight}#judge"),
        "finding": ("See findings", "/ledger?what=findings"),
        "action": ("See actions", "/ledger?what=actions"),
        "flights": ("Take in a flight", "/debrief"),
        "evidence": ("Keep and check", "/ledger/keep"),
    }
    return (do, *places.get(reason.kind, ("", "")))


def _compare(request: Request) -> Response:
    bench, said = bench_of(request), request.query_params
    one, other = said.get("one"), said.get("other")
    with opened(bench) as (ledger, problems):
        names = [each.name for each in ledger.flights()]
        found = _side_by_side(ledger, one, other, units_of(bench)) if one and other else {}
    command = ["loftwright", "ledger", "compare", str(bench.home), one or "", other or ""]
    return render(
        request,
        "ledger_compare.html.j2",
        flights=names,
        one=one or (names[-2] if len(names) > 1 else ""),
        other=other or (names[-1] if names else ""),
        found=found,
        problems=told(problems),
        command=command if found else None,
    )


def _side_by_side(ledger: Ledger, one: str, other: str, units: str) -> dict[str, Any]:
    """Return two flights side by side. Raises ``ProblemError`` for one that is not there."""
    from loftwright.ledger.changes import build_changes
    from loftwright.ledger.functions import FUNCTIONS
    from loftwright.ledger.history import flown
    from loftwright.report import ledger_words as words

    pair = flown(ledger, one), flown(ledger, other)
    known = all(each.documents for each in pair)
    changes = build_changes(*(each.documents for each in pair)) if known else ()
    figures = [(each.record, ledger.figures(each.entry.name)) for each in pair]
    went = [(name, *(each.outcomes[name].outcome for each in pair)) for name in FUNCTIONS]
    return {
        "names": [each.entry.name for each in pair],
        "known": known,
        "changes": words.change_rows(changes),
        "functions": [*went, ("as a whole", *(each.entry.outcome for each in pair))],
        "figures": words.figure_rows(figures, units),
    }


ROUTES = [
    Route("/ledger/reliability", _reliability),
    Route("/ledger/ready", _ready),
    Route("/ledger/compare", _compare),
]
