"""The shape of a request before anything looks at what it means."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from loftwright.web.guard.refusals import RefusedError
from loftwright.web.guard.rules import Bounds

__all__ = ["METHODS", "check_json_depth", "check_shape"]

METHODS = ("GET", "HEAD", "POST")
_ODD = re.compile(r"[\x00-\x1f\x7f\\\ufffd]|[\ud800-\udfff]")
_JSON_TOKEN = re.compile(rb'"(?:[^"\\]|\\.)*"|[\[\]{}]', re.DOTALL)


def check_shape(scope: Mapping[str, Any], bounds: Bounds) -> None:
    """Raise `RefusedError` for a method, address or headers that nothing of ours sends.

    An address with a step upwards, a backslash, a control sign or bytes that are no UTF-8 in it is
    refused as a whole, decoded once as the server does and once more.
    """
    method = scope["method"]
    if method not in METHODS:
        allow = [("allow", ", ".join(_methods_of(scope)))]
        raise RefusedError(
            405,
            "guard-method",
            "the workbench does not do this with its pages",
            "use GET or POST",
            field="method",
            value=method[:20],
            headers=allow,
        )
    _check_headers(scope["headers"], bounds)
    _check_address(scope["path"], scope.get("raw_path") or b"", scope["query_string"], bounds)


def _methods_of(scope: Mapping[str, Any]) -> list[str]:
    """Return the methods of the page that is asked for; all that there are where there is none."""
    routes = getattr(scope.get("app"), "routes", ())
    own = {
        method
        for route in routes
        if (pattern := getattr(route, "path_regex", None)) and pattern.match(scope["path"])
        for method in getattr(route, "methods", None) or ()
    }
    return sorted(own) or list(METHODS)


def _check_headers(headers: list[tuple[bytes, bytes]], bounds: Bounds) -> None:
    size = sum(len(name) + len(value) for name, value in headers)
    if size > bounds.header_bytes or len(headers) > bounds.headers:
        message = "the request brings more in its headers than the workbench reads"
        mend = f"clear the cookies that this browser keeps for the address; {bounds.headers} "
        mend += f"headers and {bounds.header_bytes // 1024} KiB are read"
        raise RefusedError(431, "guard-headers", message, mend)


def _check_address(path: str, raw: bytes, query: bytes, bounds: Bounds) -> None:
    if max(len(path), len(raw)) > bounds.path or len(query) > bounds.query:
        message = "the address is longer than any of the workbench"
        mend = "go to the first page and on from there"
        raise RefusedError(414, "guard-address", message, mend)
    if query.count(b"&") + query.count(b";") > bounds.fields:
        raise _odd_address("it asks too many things at once")
    if _ODD.search(path) or re.search(rb"%00|[\x00-\x20\x7f]", query):
        raise _odd_address("it has a sign in it that no name has")
    from urllib.parse import unquote

    again = unquote(path)
    if {".", ".."} & {*path.split("/"), *again.replace("\\", "/").split("/")}:
        raise _odd_address("it has a step upwards in it")
    if not path.startswith("/") or "//" in path or "\0" in again:
        raise _odd_address("it is no path")


def _odd_address(why: str) -> RefusedError:
    message = f"the workbench has no page with such an address: {why}"
    return RefusedError(400, "guard-address", message, "go to the first page and on from there")


def check_json_depth(body: bytes, deepest: int) -> None:
    """Raise `RefusedError` where brackets in JSON text are nested more than ``deepest`` deep.

    The text need not be valid: what follows reads it again.
    """
    depth = 0
    for found in _JSON_TOKEN.finditer(body):
        sign = found.group()
        if sign in b"[{":
            depth += 1
            if depth > deepest:
                message = f"the JSON is nested more than {deepest} deep"
                raise RefusedError(
                    400, "guard-json", message, "send what the description of /api/ asks for"
                )
        elif sign in b"]}":
            depth -= 1
