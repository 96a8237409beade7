"""Who may ask what, from where, how much: each refusal, and that nothing else is refused."""

from __future__ import annotations

import asyncio
import json

import pytest
from hypothesis import given
from hypothesis import strategies as st
from starlette.responses import PlainTextResponse
from web.asking import ask, scope_of
from web.guarding import HOST, PAGE, TOKEN, code, get, guard, post

from loftwright.web.guard import Bounds, Guard, Rules

# ------------------------------------------------------------------ host


@pytest.mark.parametrize(
    "host", ["127.0.0.1:8765", "localhost:8765", "LOCALHOST:8765", "[::1]:8765"]
)
def test_names_of_this_machine_are_answered(host):
    assert get(headers={"Host": host}).status == 200


@pytest.mark.parametrize(
    "host",
    ["", "evil.example:8765", "127.0.0.1", "127.0.0.1:80", "127.0.0.1.evil.example:8765",
     "localhost.:8765", "a@127.0.0.1:8765", "127.0.0.1:8765, evil.example", "0.0.0.0:8765",
     "192.168.1.20:8765", "127.1:8765", "127.0.0.1:8765/evil", "<script>"],
)  # fmt: skip
def test_no_other_name_is(host):
    answer = get(headers={"Host": host})
    assert (answer.status, code(answer)) == (421, "guard-host")


def test_two_hosts_and_none_are_refused():
    twice = get(headers=[("Host", HOST), ("Host", "evil.example")])
    assert (twice.status, code(twice)) == (421, "guard-host")
    scope = scope_of("GET", "/", [], ("127.0.0.1", 1), ("127.0.0.1", 8765))
    sent = []

    async def send(message):
        sent.append(message)

    asyncio.run(guard()(scope, None, send))
    assert sent[0]["status"] == 421


# ------------------------------------------------------------------ origin


@pytest.mark.parametrize("site", ["cross-site", "same-site", "nonsense", ""])
def test_pages_of_other_sites_get_no_answer(site):
    for answer in (get(headers={"Sec-Fetch-Site": site}), post(headers={"Sec-Fetch-Site": site})):
        assert (answer.status, code(answer)) == (403, "guard-origin")


@pytest.mark.parametrize(
    "origin",
    ["http://evil.example", "null", "https://127.0.0.1:8765", "http://127.0.0.1:8766",
     "http://localhost:8765", "http://127.0.0.1:8765.evil.example", ""],
)  # fmt: skip
def test_no_other_origin_changes_anything(origin):
    answer = post(headers={"Origin": origin})
    assert (answer.status, code(answer)) == (403, "guard-origin")


def test_our_own_pages_and_typed_addresses_are_answered():
    assert get(headers={"Sec-Fetch-Site": "none"}).status == 200
    assert get(headers={"Sec-Fetch-Site": "same-origin"}).status == 200
    assert post(headers={"Sec-Fetch-Site": "same-origin", "Origin": f"http://{HOST}"}).status == 200
    # What has no such header is no browser's.
    assert post().status == 200


def test_a_page_of_another_port_may_lead_here_and_no_more():
    led = {"Sec-Fetch-Site": "same-site", "Sec-Fetch-Mode": "navigate"}
    assert get(headers=led).status == 200
    assert post(headers=led).status == 403
    assert get(headers={**led, "Sec-Fetch-Site": "cross-site"}).status == 403
    assert get(headers={**led, "Sec-Fetch-Mode": "no-cors"}).status == 403


# ------------------------------------------------------------------ token


def form(token, *, at_front=True):
    fields = [f"token={token}", "a=1"]
    return "&".join(fields if at_front else fields[::-1]).encode()


def test_every_change_needs_the_token():
    plain = {"Content-Type": "application/x-www-form-urlencoded"}
    for body, said in ((b"", {}), (form("wrong"), {}), (form(TOKEN), {"X-Loftwright-Token": "x"})):
        answer = ask(guard(), "POST", "/", {**plain, **said}, body)
        assert (answer.status, code(answer)) == (403, "guard-token")
    for body in (form(TOKEN), form(TOKEN, at_front=False)):
        answer = ask(guard(), "POST", "/", plain, [body[:5], body[5:]])
        assert (answer.status, answer.text) == (200, "POST / " + body.decode())


def files(token, name="token"):
    return (
        f'--edge\r\nContent-Disposition: form-data; name="{name}"\r\n\r\n{token}\r\n'
        '--edge\r\nContent-Disposition: form-data; name="f"; filename="f"\r\n\r\nx\r\n--edge--\r\n'
    ).encode()


@pytest.mark.parametrize("path", ["/debrief", "/debrief/files"])
def test_a_form_with_files_has_the_token_first(path):
    kind = {"Content-Type": "multipart/form-data; boundary=edge"}
    body = files(TOKEN)
    answer = ask(guard(), "POST", path, kind, [body[i : i + 9] for i in range(0, len(body), 9)])
    assert (answer.status, answer.text) == (200, f"POST {path} {body.decode()}")
    for wrong in (files("wrong"), files(TOKEN, "other"), b"--edge--", b"", b"x" * 20000):
        answer = ask(guard(), "POST", path, kind, wrong)
        assert (answer.status, code(answer)) == (403, "guard-token")


def test_a_streamed_form_is_not_read_past_a_wrong_token():
    taken = []

    async def receive():
        taken.append(1)
        body = files("wrong") if len(taken) == 1 else b"x" * 65536
        return {"type": "http.request", "body": body, "more_body": True}

    async def send(message):
        pass

    headers = [
        ("Host", HOST),
        ("Content-Type", "multipart/form-data; boundary=edge"),
        ("Transfer-Encoding", "chunked"),
    ]
    scope = scope_of("POST", "/debrief/files", headers, ("127.0.0.1", 1), ("127.0.0.1", 8765))
    asyncio.run(guard()(scope, receive, send))
    assert len(taken) <= 6  # a little more is taken in and forgotten, so that the words arrive


def test_a_form_that_is_here_in_whole_is_refused_without_waiting_for_more():
    asked, said = [], []

    async def receive():
        asked.append(1)
        return {"type": "http.request", "body": b"token=wrong", "more_body": False}

    async def send(message):
        said.append(message)

    headers = [
        ("Host", HOST),
        ("Content-Type", "application/x-www-form-urlencoded"),
        ("Content-Length", "11"),
    ]
    scope = scope_of("POST", "/x", headers, ("127.0.0.1", 1), ("127.0.0.1", 8765))
    asyncio.run(guard()(scope, receive, send))
    assert said[0]["status"] == 403
    assert asked == [1]


# ------------------------------------------------------------------ shape and size


@pytest.mark.parametrize(
    "method", ["PUT", "DELETE", "OPTIONS", "TRACE", "CONNECT", "get", "X" * 99]
)
def test_other_methods_are_not_done(method):
    answer = ask(guard(), method, "/", {"X-Loftwright-Token": TOKEN})
    assert (answer.status, code(answer)) == (405, "guard-method")
    assert answer.headers["allow"] == "GET, HEAD, POST"


@pytest.mark.parametrize(
    "target",
    ["/../etc/passwd", "/a/../../b", "/%2e%2e/etc", "/a/%2e%2e%2fb", "/%252e%252e/etc", "/..%5c..",
     "/a\\b", "/a%00b", "/a%0d%0aSet-Cookie:%20x", "//evil.example", "/a//b", "/%ff", "/a%7f",
     "/?a=%00", "/./a", "/a/.", "/x?" + "&" * 3000, "http://evil.example/"],
)  # fmt: skip
def test_odd_addresses_are_refused(target):
    answer = get(target)
    assert (answer.status, code(answer)) == (400, "guard-address")


@pytest.mark.parametrize("target", ["/", "/a.b", "/...", "/flights/first lift", "/%C3%BC", "/a..b"])
def test_addresses_of_pages_are_not(target):
    assert get(target.replace(" ", "%20")).status == 200


def test_what_is_too_long_is_refused():
    assert code(get("/" + "a" * 1025)) == "guard-address"
    assert code(get("/?" + "a" * 9000)) == "guard-address"
    assert code(get(headers={"Cookie": "a" * 20000})) == "guard-headers"
    assert code(get(headers=[("Host", HOST), *[("A", "b")] * 70])) == "guard-headers"


small = Bounds(form=100, json=100, files=300, depth=4)


@pytest.mark.parametrize(
    ("headers", "body", "status"),
    [
        ({}, b"a" * 101, 413),
        ({}, [b"a" * 60] * 2, 413),
        ({"Content-Length": "101"}, b"", 413),
        ({"Content-Length": "9" * 30}, b"", 400),
        ({"Content-Length": "-1"}, b"", 400),
        ({"Content-Length": "\u00b2"}, b"", 400),
        ({"Content-Type": "application/json"}, b"[[[[[", 400),
        ({"Content-Type": "application/json"}, b'{"a":' * 5, 400),
        ({"Content-Type": "application/json"}, b'["[[[[[[", "\\"[[[["]', 200),
        ({"Content-Type": "application/json"}, b"[[]]" * 9, 200),
        ({"Content-Type": "text/plain"}, b"a", 415),
        ({"Content-Type": "text/xml"}, b"", 200),
        ({}, b"a" * 100, 200),
    ],
)
def test_bodies_are_bounded(headers, body, status):
    answer = post(headers=headers, body=body, app=guard(bounds=small))
    assert answer.status == status
    if status != 200:
        assert code(answer) in {"guard-body", "guard-json"}


def test_files_are_bounded_while_they_come():
    kind = {"Content-Type": "multipart/form-data; boundary=edge"}
    body = [files(TOKEN), b"x" * 200]
    answer = ask(guard(bounds=small), "POST", "/debrief/files", kind, body)
    assert (answer.status, code(answer)) == (413, "guard-body")
    answer = ask(guard(bounds=small), "POST", "/debrief", kind, files(TOKEN))
    assert (answer.status, code(answer)) == (413, "guard-body")


def test_a_request_that_only_asks_has_no_body():
    assert code(get(headers={"Content-Length": "3"}, body=b"abc")) == "guard-body"
    assert code(get(headers={"Transfer-Encoding": "chunked"}, body=b"abc")) == "guard-body"


@pytest.mark.parametrize("path", ["/", "/debrief/files"])
def test_who_sends_too_slowly_is_not_waited_for(path):
    async def never():
        await asyncio.Event().wait()

    answer = []

    async def send(message):
        answer.append(message)

    kind = ("Content-Type", "multipart/form-data; boundary=edge")
    headers = [("Host", HOST), kind, ("X-Loftwright-Token", TOKEN)]
    scope = scope_of("POST", path, headers, ("127.0.0.1", 1), ("127.0.0.1", 8765))
    impatient = Bounds(whole=0.01, idle=0.01)
    asyncio.run(guard(bounds=impatient)(scope, never, send))
    assert answer[0]["status"] == 408


def test_a_sender_that_breaks_off_is_no_fault(caplog):
    kind = {"Content-Type": "multipart/form-data; boundary=edge"}
    ask(guard(), "POST", "/debrief/files", kind, files(TOKEN), breaks_off=True)
    post(body=b"a=1", breaks_off=True)
    assert caplog.records == []


def test_too_many_at_once_are_told_to_wait():
    bounds = Bounds(at_once=2)
    answers = []

    async def several():
        begun, going = asyncio.Event(), asyncio.Event()
        inside = 0

        async def slow(scope, receive, send):
            nonlocal inside
            inside += 1
            if inside == 2:
                begun.set()
            await going.wait()
            await PlainTextResponse("")(scope, receive, send)

        busy = Guard(slow, Rules(8765, TOKEN, bounds=bounds))

        async def one():
            async def send(message):
                if "status" in message:
                    answers.append(message["status"])

            scope = scope_of("GET", "/", [("Host", HOST)], ("127.0.0.1", 1), ("127.0.0.1", 8765))
            await busy(scope, None, send)

        held = [asyncio.create_task(one()) for _ in range(2)]
        await begun.wait()
        await one()
        going.set()
        await asyncio.gather(*held)
        await one()

    asyncio.run(several())
    assert answers == [429, 200, 200, 200]


def test_a_refused_body_is_taken_in_so_that_the_words_arrive():
    left = [{"type": "http.request", "body": b"x" * 1000, "more_body": i < 4} for i in range(5)]
    sent = []

    async def receive():
        return left.pop(0)

    async def send(message):
        sent.append(message)

    headers = [("Host", "evil.example"), ("Content-Length", "5000")]
    scope = scope_of("POST", "/", headers, ("127.0.0.1", 1), ("127.0.0.1", 8765))
    asyncio.run(guard()(scope, receive, send))
    assert left == []
    assert sent[0]["status"] == 421


# ------------------------------------------------------------------ answers


def test_every_answer_keeps_the_browser_in():
    for answer in (get(), get(headers={"Host": "evil.example"}), post("/fault"), get("/a//b")):
        policy = answer.headers["content-security-policy"]
        assert "default-src 'none'" in policy
        assert "script-src 'self';" in policy
        assert "frame-ancestors 'none'" in policy
        assert "unsafe-eval" not in policy
        assert answer.headers["x-content-type-options"] == "nosniff"
        assert answer.headers["cache-control"] == "no-store"
        assert answer.headers["cross-origin-resource-policy"] == "same-origin"


def test_a_fault_is_told_in_words_and_noted(caplog):
    answer = post("/fault")
    assert (answer.status, code(answer)) == (500, "page-fault")
    assert "unforeseen" not in answer.text
    assert "unforeseen" in caplog.text


def test_refusals_are_pages_parts_or_json():
    evil = {"Host": '<b>"evil'}
    page = get(headers={**evil, **PAGE})
    assert page.headers["content-type"].startswith("text/html")
    assert "&lt;b&gt;&quot;evil" in page.text
    assert "<b>" not in page.text
    part = get(headers={**evil, **PAGE, "HX-Request": "true"})
    assert part.text.startswith('<div class="problem" role="alert">')
    assert json.loads(get("/api/x", headers={**evil, **PAGE}).body)["schema"]


def test_sockets_of_other_kinds_are_closed():
    sent = []

    async def receive():
        return {"type": "websocket.connect"}

    async def send(message):
        sent.append(message)

    asyncio.run(guard()({"type": "websocket", "path": "/"}, receive, send))
    assert sent == [{"type": "websocket.close", "code": 1008}]


targets = st.text(min_size=1, max_size=60).map(
    lambda text: "/" + text.encode("utf-8", "replace").decode("latin-1")
)
words = st.text(st.characters(max_codepoint=255, exclude_characters="\r\n"), max_size=40)


@given(
    method=st.sampled_from(["GET", "POST", "HEAD", "PUT", "\x00"]),
    target=targets,
    headers=st.lists(
        st.tuples(
            st.sampled_from(
                ["Host", "Origin", "Sec-Fetch-Site", "Cookie", "Content-Type", "Content-Length",
                 "X-Loftwright-Token", "Accept", "Transfer-Encoding", "HX-Request"]
            ),
            st.one_of(words, st.sampled_from([HOST, TOKEN, "application/json", "text/html"])),
        ),
        max_size=8,
    ),
    body=st.lists(st.binary(max_size=60), min_size=1, max_size=3),
)  # fmt: skip
def test_whatever_comes_is_answered_and_never_by_a_fault(method, target, headers, body):
    answer = ask(guard(), method, target, headers, body)
    assert 200 <= answer.status < 500
    assert "content-security-policy" in answer.headers
