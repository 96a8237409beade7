"""The guard: wraps the application and lets through what may pass, bounded."""

from __future__ import annotations

import logging
from collections import Counter
from collections.abc import Awaitable, Callable, Iterator, MutableMapping
from contextlib import contextmanager
from typing import Any

from loftwright.web.guard.bodies import Body, Receive, read_away
from loftwright.web.guard.headers import policy, secured
from loftwright.web.guard.hosts import check_host, is_loopback
from loftwright.web.guard.lan import ENTER, Device, cookie_name
from loftwright.web.guard.origin import SAFE, check_origin
from loftwright.web.guard.refusals import RefusedError, answer
from loftwright.web.guard.rules import Rules
from loftwright.web.guard.shape import check_shape
from loftwright.web.guard.token import check_token

__all__ = ["Guard"]

Scope = MutableMapping[str, Any]
Send = Callable[[MutableMapping[str, Any]], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]

STATIC = "/static/"  # what the page for entering a code needs is there


class Guard:
    """An ASGI application that asks each request for all that `Rules` want before ``app`` sees it.

    In this order: its shape, its host, where it comes from, who it is, how much is under way, the
    size and speed of its body, its token. A page finds in ``request.state`` whether it is asked
    ``from_loopback``, the ``device`` on the network that asks (None from loopback), and whether it
    ``may_change`` anything. What is refused is answered here, in words; every answer carries
    the headers of `loftwright.web.guard.headers`.
    """

    def __init__(self, app: App, rules: Rules, form_action: str = "'self'") -> None:
        self.app, self.rules = app, rules
        self.policy = policy(form_action)
        self._under_way: Counter[str] = Counter()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let one request pass, or answer it with a refusal."""
        if scope["type"] == "lifespan":
            await self.app(scope, receive, send)
        elif scope["type"] == "http":
            await self._guarded(scope, receive, _Answering(send, self.policy))
        else:  # no page of ours speaks anything else
            await receive()
            await send({"type": "websocket.close", "code": 1008})

    async def _guarded(self, scope: Scope, receive: Receive, answering: _Answering) -> None:
        try:
            self._judge(scope)
            with self._counted(_client(scope)):
                await self._pass_on(scope, receive, answering)
        except RefusedError as refusal:
            if answering.sent is None or not answering.sent.is_whole:
                await read_away(receive, _headers(scope))
            await answering.refuse(refusal, scope)

    def _judge(self, scope: Scope) -> None:
        """Raise `RefusedError` for what can be refused before anything of the body is read."""
        rules = self.rules
        check_shape(scope, rules.bounds)
        headers = _headers(scope)
        here = is_loopback(_client(scope))
        hosts = [value for name, value in scope["headers"] if name == b"host"]
        host = check_host(hosts, rules, here)
        check_origin(scope["method"], headers, host)
        device = None if here else self._let_in(scope, headers)
        may_change = here or not rules.look_only
        if not may_change and scope["method"] not in SAFE and scope["path"] != ENTER:
            raise _looks_only()
        state = {"from_loopback": here, "device": device, "may_change": may_change}
        scope["state"] = {**scope.get("state", {}), **state}

    def _let_in(self, scope: Scope, headers: dict[str, str]) -> Device | None:
        lan, path = self.rules.lan, scope["path"]
        if lan is None:
            raise _not_open()
        said = _cookies(headers.get("cookie", ""), cookie_name(self.rules.port))
        device = next(filter(None, map(lan.knows, said)), None)
        if device is None and path != ENTER and not path.startswith(STATIC):
            raise _who_are_you()
        return device

    @contextmanager
    def _counted(self, client: str) -> Iterator[None]:
        """Count a request while it is under way; refuse what is too much at once."""
        bounds, total = self.rules.bounds, self._under_way.total()
        if is_loopback(client):
            client = ""
        from_lan = total - self._under_way[""]
        too_many = from_lan >= bounds.at_once_lan or self._under_way[client] >= bounds.at_once_each
        if total >= bounds.at_once or (client and too_many):
            raise _too_many()
        self._under_way[client] += 1
        try:
            yield
        finally:
            self._under_way[client] -= 1
            if not self._under_way[client]:
                del self._under_way[client]

    async def _pass_on(self, scope: Scope, receive: Receive, answering: _Answering) -> None:
        headers = _headers(scope)
        answering.sent = body = Body(headers, scope["path"], self.rules.bounds, receive)
        if scope["method"] in SAFE:
            if headers.get("content-length", "0") != "0" or "transfer-encoding" in headers:
                raise _with_body()
            await self._asked(scope, receive, answering)
            return
        await body.read_ahead()
        if scope["path"] != ENTER:  # who has no code yet has no token; the code is the proof
            check_token(body.said_token, headers, self.rules.token)
        answering.body = body
        await self._asked(scope, body.receive, answering)
        if body.refusal is not None:
            raise body.refusal

    async def _asked(self, scope: Scope, receive: Receive, answering: _Answering) -> None:
        """Ask the application; that the sender has gone, or was refused meanwhile, is no fault.

        What no page foresaw is noted with its traceback, and told in words.
        """
        from starlette.requests import ClientDisconnect

        try:
            await self.app(scope, receive, answering)
        except ClientDisconnect:
            return
        except RefusedError:
            raise
        except Exception as error:
            logging.getLogger("loftwright.web").exception("%s %s", scope["method"], scope["path"])
            raise _fault(error) from error


class _Answering:
    """What the application answers by: headers are added; after a refusal nothing passes."""

    def __init__(self, send: Send, content_policy: bytes) -> None:
        self.send, self.policy = send, content_policy
        self.sent: Body | None = None
        self.body: Body | None = None  # once it may be acted on
        self.has_begun = False

    async def __call__(self, message: MutableMapping[str, Any]) -> None:
        if self.body is not None and (self.body.refusal is not None or self.body.has_gone):
            return
        if message["type"] == "http.response.start":
            self.has_begun = True
            message = {**message, "headers": secured(message.get("headers", ()), self.policy)}
        await self.send(message)

    async def refuse(self, refusal: RefusedError, scope: Scope) -> None:
        if self.has_begun:  # its headers are out; the server closes what stays unfinished
            return
        status, headers, content = answer(refusal, scope)
        encoded = [(name.encode("latin-1"), value.encode("latin-1")) for name, value in headers]
        start = {
            "type": "http.response.start",
            "status": status,
            "headers": secured(encoded, self.policy),
        }
        await self.send(start)
        shown = b"" if scope["method"] == "HEAD" else content
        await self.send({"type": "http.response.body", "body": shown})


def _client(scope: Scope) -> str:
    client = scope.get("client")
    return client[0] if client else ""


def _headers(scope: Scope) -> dict[str, str]:
    """Return the headers by their names; of several of one name, all with commas between."""
    found: dict[str, str] = {}
    for name, value in scope["headers"]:
        key, text = name.decode("latin-1"), value.decode("latin-1")
        found[key] = f"{found[key]}, {text}" if key in found else text
    return found


def _cookies(header: str, name: str) -> list[str]:
    """Return the values of a cookie's name: another program of this machine may have set one too.

    What else stands in the header is passed over, however it is written.
    """
    pairs = (each.strip().partition("=") for each in header.split(";"))
    return [value for key, _, value in pairs if key == name]


def _fault(error: Exception) -> RefusedError:
    message = (
        f"a fault in Loftwright itself: {type(error).__name__}; what was written before stands"
    )
    mend = "please report it, with what stands in the terminal where the workbench was started"
    return RefusedError(500, "page-fault", message, mend)


def _not_open() -> RefusedError:
    message = "the workbench is open to the machine that it runs on only"
    mend = "start it with loftwright serve DIR --lan to let a phone in"
    return RefusedError(403, "guard-lan", message, mend)


def _who_are_you() -> RefusedError:
    message = "this device has not said a code yet"
    mend = "scan the square on the laptop's page for opening on a phone, or type the code there"
    return RefusedError(403, "guard-device", message, mend, place=ENTER)


def _looks_only() -> RefusedError:
    message = "devices on the network may look, and change nothing"
    mend = "do it on the laptop, or start the workbench without --lan-look"
    return RefusedError(403, "guard-look", message, mend)


def _too_many() -> RefusedError:
    message = "too much is asked at once"
    mend = "wait a second and load the page again; close pages that are open several times"
    return RefusedError(429, "guard-busy", message, mend, headers=[("retry-after", "1")])


def _with_body() -> RefusedError:
    message = "a request that only asks brings a body"
    return RefusedError(
        400, "guard-body", message, "send it with POST", headers=[("connection", "close")]
    )
