"""The guard around a small application, and requests to it."""

from __future__ import annotations

import json
from typing import Any

from starlette.requests import Request
from starlette.responses import PlainTextResponse
from web.asking import ask

from loftwright.errors import catalogue
from loftwright.web.guard import Guard, Rules

TOKEN = "right-token"
HOST = "127.0.0.1:8765"
PAGE = {"Accept": "text/html"}


async def app(scope, receive, send):
    request = Request(scope, receive)
    said = (await request.body()).decode("latin-1")
    if scope["path"] == "/fault":
        raise RuntimeError("unforeseen")
    await PlainTextResponse(f"{scope['method']} {scope['path']} {said}")(scope, receive, send)


def guard(**rules: Any) -> Guard:
    return Guard(app, Rules(8765, TOKEN, **rules))


def get(target="/", headers=(), **rest):
    return ask(rest.pop("app", guard()), "GET", target, headers, **rest)


def post(target="/", headers=(), body=b"", **rest):
    given = {"X-Loftwright-Token": TOKEN, "Content-Type": "application/x-www-form-urlencoded"}
    return ask(rest.pop("app", guard()), "POST", target, {**given, **dict(headers)}, body, **rest)


def code(answer):
    (problem,) = json.loads(answer.body)["problems"]
    assert problem["code"] in catalogue.entries()
    assert problem["mend"]
    return problem["code"]
