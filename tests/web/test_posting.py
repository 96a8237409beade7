"""Forms that pages send: read in one way by all of them."""

from __future__ import annotations

import inspect
import json
from importlib import import_module
from pkgutil import iter_modules
from urllib.parse import urlencode

import httpx
import pytest
from starlette.applications import Starlette
from starlette.responses import JSONResponse, Response
from starlette.routing import Route
from web.asking import ask

from loftwright.web import pages
from loftwright.web.posting import Form, posted
from loftwright.web.problems import HANDLERS

FORM = [("Content-Type", "application/x-www-form-urlencoded")]


def told(request, form: Form) -> Response:
    del request
    return JSONResponse(form.pairs)


@pytest.fixture(scope="module")
def app() -> Starlette:
    routes = [
        Route("/api/plain", posted(told), methods=["POST"]),
        Route("/api/text", posted(told, verbatim={"text"}), methods=["POST"]),
    ]
    return Starlette(routes=routes, exception_handlers=HANDLERS)


@pytest.mark.parametrize(("path", "kept"), [("/api/plain", "a\nb"), ("/api/text", " a\nb\n\n")])
def test_blanks_go_save_where_they_count(app, path: str, kept: str) -> None:
    body = urlencode({"text": " a\r\nb\r\n\r\n", "name": " x\t"}).encode()
    assert json.loads(ask(app, "POST", path, FORM, body).body) == [["text", kept], ["name", "x"]]


@pytest.mark.parametrize("path", ["/api/plain", "/api/text"])
def test_what_is_no_text_is_refused(app, path: str) -> None:
    said = ask(app, "POST", path, FORM, b"text=a%00b")
    assert said.status == 422
    assert json.loads(said.body)["problems"][0]["code"] == "upload-form"
    boundary = [("Content-Type", "multipart/form-data; boundary=x")]
    file = b'--x\r\nContent-Disposition: form-data; name="text"; filename="a"\r\n\r\nb\r\n--x--\r\n'
    assert ask(app, "POST", path, boundary, file).status == 422


def test_the_last_of_several_counts() -> None:
    form = Form([("a", "1"), ("a", "2"), ("b:x", "3"), ("c", "")])
    assert (form.get("a"), form.all("a"), form.get("d"), form.word("c")) == (
        "2",
        ["1", "2"],
        "",
        None,
    )
    assert form.below("b:") == {"x": "3"}


def test_every_page_reads_its_forms_so() -> None:
    # The code of a phone is waited for, which no thread should be.
    others = {"phone"}
    for each in iter_modules(pages.__path__):
        source = inspect.getsource(import_module(f"{pages.__name__}.{each.name}"))
        assert (".form(" in source) is (each.name in others), each.name


def test_a_document_is_saved_as_it_was_typed_and_a_value_without_blanks(serve) -> None:
    served = serve("stand-bottle")
    path = served.home / "vehicle.toml"
    text = path.read_text("utf-8") + "\n\n# a last line   \n\n\n"
    sent = {"token": served.token, "text": text.replace("\n", "\r\n")}
    page = httpx.get(f"{served.url}/describe/vehicle/text").text
    based_on = page.partition('name="based_on" value="')[2].partition('"')[0]
    place = f"{served.url}/describe/vehicle"
    said = httpx.post(f"{place}/text", data=sent | {"based_on": based_on})
    assert said.status_code == 303
    assert path.read_text("utf-8") == text
    said = httpx.post(place, data={"token": served.token, "f:name": "  A bottle \r\n"})
    assert said.status_code == 303
    assert 'name = "A bottle"' in path.read_text("utf-8")
    said = httpx.post(place, data={"token": served.token, "f:name": "a\0b"})
    assert said.status_code == 422
