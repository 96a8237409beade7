"""A document as text, with what is found beside its lines; saved against what was read."""

from __future__ import annotations

import re
from collections.abc import Sequence
from urllib.parse import quote

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from loftwright.documents.change import Changed, change_text, merged_lines, problems_of
from loftwright.documents.journal import kept_text
from loftwright.documents.merging import hunks
from loftwright.errors import Problem, ProblemError
from loftwright.report.cautions import SHORT
from loftwright.web.deeds import Deed
from loftwright.web.describe.asked import Asked, asked_of
from loftwright.web.describe.trial import Trial, trial_of
from loftwright.web.encoded import PlainJSON
from loftwright.web.posting import Form, posted
from loftwright.web.rendering import environment, render

__all__ = ["ROUTES"]

TEXT = "text"  # the field in which the document's own text stands
_NUMBER = re.compile(r"[0-9]{1,9}")


def _text(request: Request) -> Response:
    asked = asked_of(request)
    return _page(request, asked, _decoded(asked, asked.now), asked.read())


def _page(
    request: Request,
    asked: Asked,
    text: str,
    based_on: str,
    refused: Sequence[Problem] = (),
    status: int = 200,
) -> Response:
    trial = _tried(asked, text)
    return render(
        request,
        "describe_text.html.j2",
        status=status,
        asked=asked,
        program=_program_path(asked),
        text=text,
        was=_decoded(asked, asked.based_on(based_on)),
        based_on=based_on,
        trial=trial,
        caution=SHORT,
        found=trial.of(asked.named.file),
        elsewhere=[each for each in trial.problems if each.where.file != asked.named.file],
        refused=refused,
        saved=_just_saved(request, asked) if status == 200 else None,
        draft_key=f"text {asked.bench.home} {asked.named.root}",
        command=None,
    )


def _program_path(asked: Asked) -> str:
    """Return the page that says what a program does; empty for other documents."""
    if not asked.named.root.startswith("program."):
        return ""
    return f"/program/{quote(asked.named.file.removesuffix('.toml'))}"


def _decoded(asked: Asked, content: bytes) -> str:
    """Return the text of a document; raises ``ProblemError`` where it is not UTF-8."""
    try:
        return content.decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError as error:
        raise ProblemError(problems_of(content, asked.named.file, asked.named.model)) from error


def _tried(asked: Asked, text: str) -> Trial:
    content = text.encode("utf-8", "replace")
    return trial_of(asked.bench, {asked.named.file: content})


def _checked(request: Request, form: Form) -> Response:
    """Say what is found in a text that is not saved."""
    asked = asked_of(request)
    trial = _tried(asked, form.get(TEXT))
    pad = environment().get_template("describe_pad.html.j2")
    listed = environment().get_template("describe_lines.html.j2")
    found = trial.of(asked.named.file)
    return PlainJSON(
        {
            "lines": {str(each.where.line): each.severity for each in found if each.where.line},
            "found": listed.render(found=found),
            "pad": pad.render(trial=trial) if trial.sound else None,
        }
    )


def _saved(request: Request, form: Form) -> Response:
    asked = asked_of(request)
    text, based_on = form.get(TEXT), form.get("based_on")
    if form.get("merged") == "yes":
        text, based_on = _merged(asked, form, text, based_on), form.get("now")
    with_errors = form.get("with_errors") == "yes"
    if not with_errors and (wrong := _wrong_with_program(asked, text)):
        return _page(request, asked, text, based_on, wrong, 422)
    try:
        done = change_text(
            asked.bench.home,
            asked.named.file,
            text,
            asked.named.model,
            based_on=based_on,
            with_errors=with_errors,
        )
    except ProblemError as error:
        return _page(request, asked, text, based_on, error.problems, 422)
    if done.lines:
        return _clash(request, asked, text, based_on, done)
    key = asked.bench.deeds.note(Deed(_kind(asked), done.hashes))
    return RedirectResponse(f"{asked.path}/text?saved={key}", 303)


def _just_saved(request: Request, asked: Asked) -> Deed | None:
    return asked.bench.deeds.standing(request.query_params.get("saved", ""), _kind(asked))


def _kind(asked: Asked) -> str:
    return f"text of {asked.slug}"


def _wrong_with_program(asked: Asked, text: str) -> list[Problem]:
    """Return the errors in a program's text: reading a document does not read its conditions."""
    if not asked.named.root.startswith("program."):
        return []
    found = _tried(asked, text).of(asked.named.file)
    return [each for each in found if each.severity == "error"]


def _clash(request: Request, asked: Asked, text: str, based_on: str, done: Changed) -> Response:
    return render(
        request,
        "describe_merge.html.j2",
        status=409,
        asked=asked,
        text=text,
        based_on=based_on,
        now=asked.read(),
        hunks=done.lines,
        command=None,
    )


def _merged(asked: Asked, form: Form, text: str, based_on: str) -> str:
    """Return the text out of two, as a person chose between them."""
    base = kept_text(asked.bench.home, based_on)
    theirs = asked.based_on(form.get("now"))
    sides = [_decoded(asked, each).split("\n") for each in (base or b"", theirs)]
    found = hunks(None if base is None else sides[0], sides[1], text.split("\n"))
    picks = {
        int(number): side
        for number, side in form.below("pick:").items()
        if _NUMBER.fullmatch(number)
    }
    return merged_lines(found, picks)


ROUTES = [
    Route("/describe/{document}/text", _text),
    Route("/describe/{document}/text", posted(_saved, verbatim={TEXT}), methods=["POST"]),
    Route("/describe/{document}/text/check", posted(_checked, verbatim={TEXT}), methods=["POST"]),
]
