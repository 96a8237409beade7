"""The documents of the campaign: what is found in them, what stands on the pad, what changed."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any
from urllib.parse import quote

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from loftwright.documents.history import content_of
from loftwright.documents.named import Named, documents_named
from loftwright.documents.template import is_mostly_example
from loftwright.errors import Problem, ProblemError
from loftwright.report.cautions import SHORT
from loftwright.web.bench import Bench, bench_of
from loftwright.web.describe.asked import slugs, title_of
from loftwright.web.posting import Form, posted
from loftwright.web.rendering import render

__all__ = ["ROUTES"]


@dataclass(frozen=True, slots=True)
class Listed:
    """A document as the list shows it."""

    root: str
    title: str
    file: str
    path: str
    errors: int
    warnings: int
    optional: bool
    example: bool


def _overview(request: Request) -> Response:
    bench = bench_of(request)
    if not bench.begun:
        return _asking(request, bench)
    return _shown(request, bench)


def _shown(request: Request, bench: Bench, problems: Any = (), status: int = 200) -> Response:
    from loftwright.documents.adding import addable_documents
    from loftwright.documents.history import steps
    from loftwright.web.describe.trial import trial_of

    trial = trial_of(bench, {})
    try:
        history, lost = steps(bench.home), None
    except ProblemError as error:
        history, lost = None, error.problems[0]
    return render(
        request,
        "describe.html.j2",
        status=status,
        trial=trial,
        caution=SHORT,
        documents=_listed(bench, trial.problems),
        addable=[(root, title_of(root)) for root in addable_documents(bench.home)],
        history=history,
        lost=lost,
        since=bench.memory.recall("since", lambda: _since(bench)),
        problems=problems,
        command=["loftwright", "check", str(bench.home)],
    )


def _listed(bench: Bench, problems: Any) -> list[Listed]:
    from loftwright.documents.adding import optional_roots

    found = []
    for slug, named in slugs(documents_named(bench.home)).items():
        own = [each for each in problems if each.where.file == named.file]
        errors = sum(each.severity == "error" for each in own)
        found.append(
            Listed(
                named.root,
                title_of(named.root),
                named.file,
                f"/describe/{quote(slug)}",
                errors,
                len(own) - errors,
                named.root in optional_roots(),
                _is_example(bench, named),
            )
        )
    return found


def _is_example(bench: Bench, named: Named) -> bool:
    """Tell whether a document still says mostly what a new campaign begins with."""
    if named.root == "campaign" or named.root.startswith("program."):
        return False
    try:
        content = content_of(bench.home / named.file) or b""
    except ProblemError:  # what keeps it from being read is told anyway
        return False
    return is_mostly_example(content, named.model)


def _since(bench: Bench) -> Any:
    """Return what changed since the last flight, or the words why that cannot be said."""
    from loftwright.ledger.since import changes_since, last_flight

    name = last_flight(bench.home)
    try:
        return None if name is None else changes_since(bench.home, name)
    except ProblemError as error:
        return error.problems[0].message


def _asking(
    request: Request, bench: Bench, form: Form | None = None, problems: Sequence[Problem] = ()
) -> Response:
    """Return the page that begins a campaign, with what was typed on it."""
    return render(
        request,
        "describe_begin.html.j2",
        status=422 if problems else 200,
        typed={} if form is None else dict(form.pairs),
        problems=problems,
        command=["loftwright", "new", str(bench.home), "--no-payload"],
    )


def _begin(request: Request, form: Form) -> Response:
    """Write the documents of a new campaign, as ``loftwright new`` does."""
    from loftwright.cli.new import copy_demo
    from loftwright.documents.template import new_campaign

    bench_of(request).look_for_folder()
    home = bench_of(request).home
    try:
        if form.get("from") == "demo":
            copy_demo(home)
            return RedirectResponse("/describe", 303)
        units = form.get("units")
        electronics = form.get("electronics") == "yes"
        payload = electronics or form.get("payload") == "yes"  # which the electronics let go
        new_campaign(
            home,
            form.get("name") or home.name,
            electronics=electronics,
            payload=payload,
            question=form.word("question"),
            units=units if units in ("metric", "us") else None,
        )
    except ProblemError as error:
        return _asking(request, bench_of(request), form, error.problems)
    return RedirectResponse("/describe/vehicle", 303)


def _doing(do: Callable[[Bench, Form], None]) -> Callable[..., Any]:
    """Return the route of a deed: back to the documents, with what was in its way."""

    def deed(request: Request, form: Form) -> Response:
        bench = bench_of(request)
        try:
            do(bench, form)
        except ProblemError as error:
            return _shown(request, bench, error.problems, 409)
        return RedirectResponse("/describe", 303)

    return posted(deed)


def _undo(bench: Bench, form: Form) -> None:
    from loftwright.documents.history import redo, undo

    step = redo if form.get("again") == "yes" else undo
    step(bench.home, str(form.get("change") or "") or None)


def _add(bench: Bench, form: Form) -> None:
    from loftwright.documents.adding import add_document

    add_document(bench.home, form.get("document"))


def _leave_out(bench: Bench, form: Form) -> None:
    from loftwright.documents.adding import leave_out_document

    leave_out_document(bench.home, form.get("document"))


ROUTES = [
    Route("/describe", _overview),
    Route("/describe/begin", posted(_begin), methods=["POST"]),
    Route("/describe/undo", _doing(_undo), methods=["POST"]),
    Route("/describe/add", _doing(_add), methods=["POST"]),
    Route("/describe/leave-out", _doing(_leave_out), methods=["POST"]),
]
