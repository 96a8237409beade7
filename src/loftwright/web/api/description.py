"""The OpenAPI 3.1 description of the endpoints."""

from __future__ import annotations

from functools import cache
from typing import Any

from loftwright import __version__
from loftwright.cli.answers import schema
from loftwright.web.api.asked import LOOKS, Look
from loftwright.web.api.verbs import VERBS, Verb, command_of, schema_of
from loftwright.web.guard.rules import TOKEN_HEADER
from loftwright.web.jobs import State

__all__ = ["description"]

Tree = dict[str, Any]
_TEXT: Tree = {"type": "string"}
_WHOLE: Tree = {"type": "integer"}
_MAYBE: Tree = {"type": ["string", "null"]}
_JSON = "application/json"

_INTRODUCTION = (
    "The endpoints of a workbench, for programs on the machine that it runs on. What a command "
    "answers with --json, these answer to the byte; keys carry their units, SI; what is not known "
    "is null. Every POST needs the token of this start, which stands with the address in "
    "DIR/.loftwright/server.json, readable to its owner only."
)


@cache
def description() -> Tree:
    """Return the description of all endpoints."""
    paths: Tree = {"/api/openapi.json": {"get": _get("This description.", {"type": "object"})}}
    paths |= {path: {"get": _look(look)} for path, look in LOOKS.items()}
    paths |= _flights() | _inbox()
    paths |= {f"/api/commands/{verb.key}": {"post": _command(verb)} for verb in VERBS.values()}
    paths |= _jobs()
    return {
        "openapi": "3.1.0",
        "info": {"title": "Loftwright", "version": __version__, "description": _INTRODUCTION},
        "paths": paths,
        "components": {
            "schemas": _schemas(),
            "responses": {"Problems": _answer("What is wrong.", _ref("Problems"))},
            "securitySchemes": {
                "token": {"type": "apiKey", "in": "header", "name": TOKEN_HEADER.title()}
            },
        },
    }


def _ref(name: str) -> Tree:
    return {"$ref": f"#/components/schemas/{name}"}


def _answer(words: str, content: Tree) -> Tree:
    return {"description": words, "content": {_JSON: {"schema": content}}}


def _refusals(*statuses: int) -> Tree:
    """Every endpoint may refuse: a wrong host or origin, too much at once, what it says itself."""
    told = (400, 403, 404, 405, 413, 414, 421, 422, 429, 431, *statuses)
    return {str(each): {"$ref": "#/components/responses/Problems"} for each in sorted(set(told))}


def _get(words: str, content: Tree, *names: str, query: tuple[str, ...] = ()) -> Tree:
    parameters = [_parameter(name, "path", {**_TEXT, "minLength": 1}) for name in names]
    parameters += [_parameter(name, "query", {"type": "boolean"}) for name in query]
    made: Tree = {"summary": words, "responses": {"200": _answer(words, content), **_refusals()}}
    return {**made, "parameters": parameters} if parameters else made


def _parameter(name: str, place: str, content: Tree) -> Tree:
    return {"name": name, "in": place, "required": place == "path", "schema": content}


def _post(words: str, answers: Tree, *names: str, body: Tree | None = None) -> Tree:
    made: Tree = {
        "summary": words,
        "security": [{"token": []}],
        "responses": {**answers, **_refusals(408, 409, 415)},
    }
    if names:
        made["parameters"] = [_parameter(name, "path", {**_TEXT, "minLength": 1}) for name in names]
    return {**made, "requestBody": body} if body is not None else made


def _of_command(name: str) -> Tree:
    """Return the schema of what ``--json`` answers: which command and version is promised."""
    return {
        "type": "object",
        "required": ["schema"],
        "properties": {"schema": {"const": schema(name)}},
    }


def _look(look: Look) -> Tree:
    names = (look.item,) if look.item else ()
    words = f"{look.line} As loftwright {' '.join(look.words)} --json."
    return _get(words, _of_command(look.schema), *names, query=look.flags)


def _command(verb: Verb) -> Tree:
    help_text = " ".join((command_of(verb).help or "").split())
    words = f"Start loftwright {verb.name}. {help_text}"
    body = {"required": False, "content": {_JSON: {"schema": schema_of(verb)}}}
    answers = {"202": _answer("The job that was started.", _ref("Job"))}
    return _post(words, answers, body=body)


def _flights() -> Tree:
    listed = _get("The flights that the campaign keeps.", _ref("Flights"))
    kept = _get(
        "The forecast that was kept with a flight, as it stands.", {"type": "object"}, "flight"
    )
    return {"/api/flights": {"get": listed}, "/api/flights/{flight}/forecast": {"get": kept}}


def _inbox() -> Tree:
    form: Tree = {"type": "object", "properties": {"file": {"type": "string", "format": "binary"}}}
    body = {"required": True, "content": {"multipart/form-data": {"schema": form}}}
    came = {"201": _answer("The files that came in.", _ref("Files"))}
    gone = {"200": _answer("The file that was discarded.", _ref("Files"))}
    return {
        "/api/inbox": {"get": _get("Files that came in and are not kept yet.", _ref("Files"))},
        "/api/inbox/files": {
            "post": _post("Take files in, to be kept by record.", came, body=body)
        },
        "/api/inbox/{file}/discard": {"post": _post("Discard a file.", gone, "file")},
    }


def _jobs() -> Tree:
    answer = _get("What the command answered, as it wrote it.", {"type": "object"}, "job")
    answer["responses"]["409"] = {"$ref": "#/components/responses/Problems"}
    stopped = {"200": _answer("The job, which was asked to end.", _ref("Job"))}
    return {
        "/api/jobs": {"get": _get("Every job, the latest first.", _ref("Jobs"))},
        "/api/jobs/{job}": {"get": _get("How it stands with a job.", _ref("Job"), "job")},
        "/api/jobs/{job}/answer": {"get": answer},
        "/api/jobs/{job}/cancel": {"post": _post("Ask a job to end.", stopped, "job")},
    }


def _closed(properties: Tree) -> Tree:
    return {
        "type": "object",
        "required": list(properties),
        "properties": properties,
        "additionalProperties": False,
    }


def _schemas() -> Tree:
    where = {"file": _MAYBE, "line": {"type": ["integer", "null"]}, "field": _MAYBE}
    where |= {"column": {"type": ["integer", "null"]}, "value": _MAYBE}
    problem = {
        "code": _TEXT,
        "severity": {"enum": ["error", "warning"]},
        "message": _TEXT,
        "where": _closed(where),
        "mend": _TEXT,
    }
    progress = {
        "done": _WHOLE,
        "total": _WHOLE,
        "what": _TEXT,
        "rate_per_s": {"type": ["number", "null"]},
        "left_s": {"type": ["number", "null"]},
    }
    job = {
        "schema": {"const": "loftwright/job/1"},
        "id": _TEXT,
        "title": _TEXT,
        "command": _TEXT,
        "state": {"enum": [each.value for each in State]},
        "started_unix_s": {"type": "number"},
        "progress": {"anyOf": [_ref("Progress"), {"type": "null"}]},
        "has_answer": {"type": "boolean"},
    }
    file = {"id": _TEXT, "name": _TEXT, "size_bytes": _WHOLE, "sha256": _TEXT}
    file |= {"kind": _TEXT, "why": _TEXT, "is_sure": {"type": "boolean"}}
    flight = {"name": _TEXT, "has_forecast": {"type": "boolean"}}
    return {
        "Problem": _closed(problem),
        "Problems": _closed(
            {"schema": {"const": schema("problems")}, "problems": _listed("Problem")}
        ),
        "Progress": _closed(progress),
        "Job": _closed(job),
        "Jobs": _closed({"schema": {"const": "loftwright/jobs/1"}, "jobs": _listed("Job")}),
        "File": _closed(file),
        "Files": _closed({"schema": {"const": "loftwright/files/1"}, "files": _listed("File")}),
        "Flight": _closed(flight),
        "Flights": _closed(
            {"schema": {"const": "loftwright/flights/1"}, "flights": _listed("Flight")}
        ),
    }


def _listed(name: str) -> Tree:
    return {"type": "array", "items": _ref(name)}
