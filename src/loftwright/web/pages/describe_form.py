"""A document as a form: what is typed is checked beside the field, saved against what was read."""

from __future__ import annotations

import hashlib
import tomllib
from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial
from typing import Any

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from loftwright.documents.change import Changed, Edit, change, edited
from loftwright.documents.template import EXAMPLES, is_mostly_example
from loftwright.documents.written import shown
from loftwright.errors import Problem, ProblemError, Where
from loftwright.report.cautions import SHORT
from loftwright.web.deeds import Deed
from loftwright.web.describe.asked import Asked, asked_of
from loftwright.web.describe.commands import deciding_command, editing_command, example_command
from loftwright.web.describe.draft import FIELD, Draft, completed, draft_of, edit_of
from loftwright.web.describe.form import addable, sections
from loftwright.web.describe.told import told_at
from loftwright.web.describe.trial import Trial, trial_of
from loftwright.web.encoded import PlainJSON
from loftwright.web.posting import Form, posted
from loftwright.web.rendering import environment, render
from loftwright.web.said import units_of

__all__ = ["ROUTES"]


def _form(request: Request) -> Response:
    asked = asked_of(request)
    if not asked.has_form:
        return RedirectResponse(f"{asked.path}/text", 303)
    return _page(request, asked, Draft(asked.read()))


def _page(
    request: Request,
    asked: Asked,
    draft: Draft,
    refused: Sequence[Problem] = (),
    status: int = 200,
) -> Response:
    """Return the form with a draft on it; ``refused`` is why it was not saved."""
    base = asked.based_on(draft.based_on)
    draft = completed(draft, base)
    made = sections(asked.named.model, base, draft, units_of(asked.bench))
    trial, wrong = _tried(asked, draft, base)
    found = [*wrong, *(each for each in trial.problems if each not in wrong)]
    told = told_at(found, asked.named.file, made, draft)
    unread = {_key(each) for each in found}
    return render(
        request,
        "describe_form.html.j2",
        status=status,
        asked=asked,
        draft=draft,
        sections=made,
        addable=addable(asked.named.model, base, draft),
        told=told,
        example=EXAMPLES if _is_example(asked, base) else "",
        trial=trial,
        caution=SHORT,
        refused=[each for each in refused if _key(each) not in unread],
        is_refused=bool(refused),
        saved=_just_saved(request, asked) if status == 200 else None,
        draft_key=_draft_key(asked),
        command=editing_command(asked, edit_of(draft, base, asked.named.model))
        or example_command(asked, made),
    )


def _is_example(asked: Asked, base: bytes) -> bool:
    """Tell whether most of a document is as it began; a campaign's own head is no example."""
    return asked.named.root != "campaign" and is_mostly_example(base, asked.named.model)


def _draft_key(asked: Asked) -> str:
    """Return what the browser keeps unsaved edits of this document under, and of no other."""
    whole = f"{asked.bench.home}\0{asked.named.root}"
    return hashlib.sha256(whole.encode("utf-8", "replace")).hexdigest()[:16]


def _key(problem: Problem) -> tuple[str, str | None, str]:
    return problem.code, problem.where.field, problem.message


def _tried(asked: Asked, draft: Draft, base: bytes) -> tuple[Trial, list[Problem]]:
    """Return what the campaign would be with a draft, and what is wrong with the draft itself."""
    wrong = _unfilled(draft)
    content = base
    try:
        edit = replace(edit_of(draft, base, asked.named.model), based_on=None)
        content = edited(base, edit, asked.named.file)
    except ProblemError as error:
        wrong += error.problems
    return trial_of(asked.bench, {asked.named.file: content}), wrong


def _unfilled(draft: Draft) -> list[Problem]:
    """Return a problem for each table that was added and has nothing in it."""
    found = []
    for path in draft.added:
        inside = [text for each, text in draft.values.items() if each.startswith(f"{path}.")]
        if inside and not any(text.strip() for text in inside):
            message = f"{path} was added, and nothing is filled in yet"
            mend = "fill in its fields, or leave it out again"
            found.append(Problem("doc-missing-field", message, Where(field=path), mend))
    return found


# ---------------------------------------------------------------- while a person types


def _checked(request: Request, form: Form) -> Response:
    """Say what is wrong with what was typed, and what the vehicle would be; nothing is saved."""
    asked, draft = asked_of(request), draft_of(form)
    base = asked.based_on(draft.based_on)
    made = sections(asked.named.model, base, draft, units_of(asked.bench))
    trial, wrong = _tried(asked, draft, base)
    told = told_at([*wrong, *trial.problems], asked.named.file, made, draft)
    part = environment().get_template("describe_pad.html.j2")
    words = environment().get_template("describe_rest.html.j2")
    edit = edit_of(draft, base, asked.named.model)
    return PlainJSON(
        {
            "fields": {path: _said(found) for path, found in told.fields.items()},
            "rest": words.render(told=told),
            "pad": part.render(trial=trial) if trial.sound else None,
            "changed": len(edit.values) + len(edit.removed),
            "command": editing_command(asked, edit),
        }
    )


def _said(found: Sequence[Problem]) -> dict[str, str]:
    first = next((each for each in found if each.severity == "error"), found[0])
    return {"severity": first.severity, "message": first.message, "mend": first.mend}


def _reshaped(request: Request, form: Form) -> Response:
    """Return the form with a table added or left out, or with a draft of before; not saved."""
    asked, draft = asked_of(request), draft_of(form)
    verb, _, path = form.get("act").partition(":")
    if verb == "add" and path in _paths_addable(asked, draft):
        draft = draft.with_table(path)
    elif verb == "remove":
        draft = draft.without(path)
    return _page(request, asked, draft)


def _paths_addable(asked: Asked, draft: Draft) -> list[str]:
    base = asked.based_on(draft.based_on)
    return [each.path for each in addable(asked.named.model, base, draft)]


# ---------------------------------------------------------------- saving


def _saved(request: Request, form: Form) -> Response:
    asked = asked_of(request)
    draft = _decided(draft_of(form), form)
    base = asked.based_on(draft.based_on)
    if unfilled := _unfilled(draft):
        return _page(request, asked, draft, unfilled, 422)
    try:
        edit = edit_of(draft, base, asked.named.model)
        file = asked.named.file
        if not edit.values and not edit.removed:
            return _led_back(asked, Deed(_kind(asked), {file: asked.digest}))
        done = change(asked.bench.home, {file: edit}, {file: asked.named.model}, _what(asked, edit))
    except ProblemError as error:
        return _page(request, asked, draft, error.problems, 422)
    if done.conflicts:
        return _clash(request, asked, draft, edit, done)
    fields, others = (*edit.values, *edit.removed), done.meanwhile.get(file, ())[:9]
    return _led_back(asked, Deed(_kind(asked), done.hashes, fields, others))


def _led_back(asked: Asked, deed: Deed) -> Response:
    """Lead to the form, which says what was saved."""
    return RedirectResponse(f"{asked.path}?saved={asked.bench.deeds.note(deed)}", 303)


def _just_saved(request: Request, asked: Asked) -> Deed | None:
    return asked.bench.deeds.standing(request.query_params.get("saved", ""), _kind(asked))


def _kind(asked: Asked) -> str:
    return f"form of {asked.slug}"


def _what(asked: Asked, edit: Edit) -> str:
    words = [f"{asked.named.root}.{path} = {shown(value)}" for path, value in edit.values.items()]
    words += [f"{asked.named.root}.{path} taken out" for path in edit.removed]
    more = f" and {len(words) - 3} more" if len(words) > 3 else ""
    return "; ".join(word[:80].replace("\n", "; ") for word in words[:3]) + more


def _clash(request: Request, asked: Asked, draft: Draft, edit: Edit, done: Changed) -> Response:
    """Show what two want of the same fields; the other edits are carried along."""
    from loftwright.report.field_words import path_words

    clashing = {each.path for each in done.conflicts}
    carried = {path: draft.values.get(path, "") for path in (*edit.values, *edit.removed)}
    gone = [path for path in draft.gone if path in edit.removed]
    meanwhile = [each for each in done.meanwhile.get(asked.named.file, ()) if each not in clashing]
    root = asked.named.root
    return render(
        request,
        "describe_conflict.html.j2",
        status=409,
        asked=asked,
        based_on=asked.read(),
        conflicts=done.conflicts,
        meanwhile=meanwhile,
        words={path: path_words(f"{root}.{path}") for path in (*clashing, *meanwhile)},
        carried={path: text for path, text in carried.items() if path not in gone},
        gone=gone,
        field=FIELD,
        command=deciding_command(asked, done.conflicts),
    )  # fmt: skip


def _decided(draft: Draft, form: Form) -> Draft:
    """Return a draft after a person chose between two edits of the same fields."""
    values, gone = dict(draft.values), list(draft.gone)
    for path, choice in form.below("pick:").items():
        if choice == "theirs":
            values.pop(path, None)
            gone = [each for each in gone if each != path]
        elif choice == "base":
            values[path] = form.get(f"before:{path}")
    return replace(draft, values=values, gone=tuple(gone))


def _posted(work: Callable[[Request, Form], Response]) -> Callable[..., Any]:
    return posted(partial(_with_toml, work))


def _with_toml(work: Callable[[Request, Form], Response], request: Request, form: Form) -> Response:
    """Do it, or go to the text where the document has become one that is no TOML."""
    try:
        return work(request, form)
    except (tomllib.TOMLDecodeError, UnicodeDecodeError):
        return RedirectResponse(f"{asked_of(request).path}/text", 303)


ROUTES = [
    Route("/describe/{document}", _form),
    Route("/describe/{document}", _posted(_saved), methods=["POST"]),
    Route("/describe/{document}/form", _posted(_reshaped), methods=["POST"]),
    Route("/describe/{document}/check", _posted(_checked), methods=["POST"]),
]
