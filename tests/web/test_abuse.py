"""Odd requests of all kinds: no fault, nothing outside the campaign read or touched.

The long form of this, with general-purpose fuzzers, is benchmarks/abuse; see
docs/reference/abuse-run.md.
"""

from __future__ import annotations

import json
import time
from pathlib import Path
from urllib.parse import urlencode

import httpx
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from web.abusing import (
    FIELDS,
    RAW,
    WORDS,
    footprint,
    raw_request,
    sent_raw,
    statuses,
    targets,
)
from web.asking import ask
from web.serving import copied, serving, vouched

from loftwright.web.app import create_app, page_routes
from loftwright.web.config import Config
from loftwright.web.jobs import Job, Jobs
from loftwright.web.once import Once

SECRET = "a-secret-that-no-answer-has"
TOKEN = "right"
ROUTES = sorted(
    (route.path, method)
    for route in page_routes()
    for method in getattr(route, "methods", None) or ()
    if method != "HEAD"
)
HOST = ("Host", "127.0.0.1:8042")
FORM = ("Content-Type", "application/x-www-form-urlencoded")
JSON = ("Content-Type", "application/json")
SIGNED = ("X-Loftwright-Token", TOKEN)


@pytest.fixture(scope="module")
def around(tmp_path_factory):
    """A folder with a campaign in it and secrets beside it; what is there before and after."""
    folder = tmp_path_factory.mktemp("around")
    copied("sedge-lift-flown", folder / "home")
    for name in ("secret.txt", "secret.toml", "secret.csv"):
        (folder / name).write_text(SECRET)
    before = footprint(folder, but=[folder / "home"])
    yield folder
    assert footprint(folder, but=[folder / "home"]) == before


@pytest.fixture(scope="module")
def app(around):
    """The workbench in this process; commands are not started, but a job stands for them."""
    patched = pytest.MonkeyPatch()
    patched.setattr(Jobs, "start", unstarted)
    yield create_app(around / "home", Config(port=8042, token=TOKEN))
    patched.undo()


def unstarted(jobs: Jobs, words, *, page, title, **rest) -> Job:
    del rest
    folder = jobs.folder / "20260101-000000-000000"
    folder.mkdir(parents=True, exist_ok=True)
    asked = {"words": list(words), "page": page, "title": title, "started": time.time() - 1e6}
    (folder / "job.json").write_text(json.dumps(asked))
    (folder / "end.json").write_text(json.dumps({"code": 0, "ended": time.time()}))
    (folder / "answer.json").write_text('{"schema": "loftwright/check/1"}')
    return vouched(folder)


def holds(answer, told: object) -> None:
    assert 200 <= answer.status < 500, (told, answer.status, answer.text[:2000])
    assert SECRET.encode() not in answer.body, told
    assert b"root:x:" not in answer.body, told
    assert "content-security-policy" in answer.headers
    if answer.headers.get("content-type", "").startswith("text/html"):
        for mark in (b"<script>alert", b"onerror=alert(1)>", b'href="javascript:'):
            assert mark not in answer.body, told


@pytest.mark.parametrize(("path", "method"), ROUTES)
def test_odd_words_in_the_address_and_in_forms(app, path, method):
    # A part of the words for each route, another part for the next; pages without a name in their
    # address have little that could go wrong with a word, and take longer.
    spread = 4 if "{" in path else 12
    words = WORDS[ROUTES.index((path, method)) % spread :: spread]
    for i, word in enumerate([*words, "../secret.txt", "../secret", "..%2fsecret.csv"]):
        for target in targets(path, word):
            if method == "GET":
                holds(ask(app, "GET", target, [HOST]), target)
                continue
            fields = {FIELDS[(i + k) % len(FIELDS)]: word for k in range(len(FIELDS) // 2)}
            body = urlencode({**fields, "once": str(i)}, errors="surrogatepass").encode()
            holds(ask(app, "POST", target, [HOST, SIGNED, FORM], body), (target, body))


def test_a_key_of_one_form_is_none_of_another():
    once = Once()
    assert once.do("k", lambda: "a page") == "a page"
    assert once.do("k", lambda: 4) == 4
    again = [once.do("k", deed) for deed in [object] * 2]
    assert again[0] is again[1]


@pytest.mark.parametrize(("path", "method"), [each for each in ROUTES if each[1] == "POST"])
def test_odd_bodies(app, path, method):
    target = next(targets(path, "x"))
    for kind, body in (
        (FORM, b""),
        (FORM, b"&&&==="),
        (FORM, b"a=%ff%fe&%00=%00"),
        (FORM, b"what=" + b"a" * 100000),
        (JSON, b"{"),
        (JSON, b'{"what": "' + b"a" * 100000 + b'"}'),
        (JSON, b"[" * 20 + b"]" * 20),
        (("Content-Type", "multipart/form-data"), b"--x"),
        (("Content-Type", "multipart/form-data; boundary=x"), b"--x\r\n\r\n\r\n--x--"),
        (
            ("Content-Type", "multipart/form-data; boundary=x"),
            b'--x\r\nContent-Disposition: form-data; name="what"; filename="../../a"\r\n\r\n'
            b"a\r\n--x--\r\n",
        ),
        (("Content-Type", "text/plain"), b"a"),
    ):
        holds(ask(app, method, target, [HOST, SIGNED, kind], body), (target, kind, body[:80]))
        holds(ask(app, method, target, [HOST, kind], body), (target, kind, body[:80]))


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    route=st.sampled_from(ROUTES),
    word=st.text(max_size=30),
    fields=st.dictionaries(
        st.one_of(st.sampled_from(FIELDS), st.text(max_size=8)),
        st.one_of(st.sampled_from(WORDS), st.text(max_size=40)),
        max_size=6,
    ),
)
def test_any_words_at_all(app, route, word, fields):
    path, method = route
    encoded = urlencode(fields, errors="replace")
    target = next(targets(path, word.encode("utf-8", "replace").decode()))
    if method == "GET":
        holds(ask(app, "GET", f"{target.partition('?')[0]}?{encoded}", [HOST]), (target, encoded))
    else:
        holds(ask(app, method, target, [HOST, SIGNED, FORM], encoded.encode()), (target, encoded))


@pytest.fixture(scope="module")
def served(tmp_path_factory):
    home = copied("stand-bottle", tmp_path_factory.mktemp("raw") / "bottle")
    with serving(home) as found:
        yield found


@pytest.mark.parametrize("template", RAW, ids=[str(i) for i in range(len(RAW))])
def test_odd_bytes_on_the_wire(served, template):
    port = httpx.URL(served.url).port
    content = raw_request(template, port)
    for whole in (content, content[: len(content) // 2], content + content):
        assert all(status < 500 for status in statuses(sent_raw(port, whole))), whole[:200]
    assert httpx.get(served.url).status_code == 200


@settings(max_examples=60)
@given(
    pieces=st.lists(
        st.one_of(
            st.sampled_from([b"GET ", b"POST ", b"/ ", b"HTTP/1.1\r\n", b"\r\n", b"Host: ",
                             b": ", b"Content-Length: 5\r\n", b"Transfer-Encoding: chunked\r\n",
                             b"0\r\n"]),
            st.binary(max_size=20),
        ),
        max_size=12,
    )
)  # fmt: skip
def test_any_bytes_at_all(served, pieces):
    port = httpx.URL(served.url).port
    assert all(status < 500 for status in statuses(sent_raw(port, b"".join(pieces))))


def test_a_head_that_never_ends_is_not_waited_for(tmp_path: Path, monkeypatch):
    from loftwright.web.guard.connections import PatientConnection

    monkeypatch.setattr(PatientConnection, "patience", 0.05)
    home = copied("stand-bottle", tmp_path / "bottle")
    with serving(home) as found:
        import socket

        port = httpx.URL(found.url).port
        for start in (b"", b"GET / HTTP/1.1\r\nHost: 127"):
            with socket.create_connection(("127.0.0.1", port), timeout=10) as connection:
                connection.sendall(start)
                assert connection.recv(100) == b""
        # Nor is one on a connection that was used before.
        with socket.create_connection(("127.0.0.1", port), timeout=10) as connection:
            head = b"GET /enter HTTP/1.1\r\nHost: 127.0.0.1:%d\r\n\r\n" % port
            connection.sendall(head)
            assert connection.recv(65536).startswith(b"HTTP/1.1 303")
            connection.sendall(head[:20])
            while connection.recv(65536):
                pass


def test_connections_are_only_so_many(tmp_path: Path, monkeypatch):
    import socket
    from contextlib import ExitStack

    from loftwright.web.guard.connections import PatientConnection

    monkeypatch.setattr(PatientConnection, "most", 3)
    home = copied("stand-bottle", tmp_path / "bottle")
    with serving(home) as found, ExitStack() as stack:
        port = httpx.URL(found.url).port
        held = [
            stack.enter_context(socket.create_connection(("127.0.0.1", port), timeout=10))
            for _ in range(4)
        ]
        assert held[3].recv(10) == b""
