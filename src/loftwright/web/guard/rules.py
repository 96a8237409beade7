"""What the guard goes by: the port, the token, the bounds, and who is let in from the network."""

from __future__ import annotations

from dataclasses import dataclass

from loftwright.web.guard.lan import Lan

__all__ = ["TOKEN_FIELD", "TOKEN_HEADER", "Bounds", "Rules"]

TOKEN_FIELD, TOKEN_HEADER = "token", "x-loftwright-token"
_KIB, _MIB = 1024, 1024 * 1024


@dataclass(frozen=True, slots=True)
class Bounds:
    """How large, deep, many and slow a request may be: bytes, counts and seconds.

    Of the requests ``at_once`` those from the network take ``at_once_lan`` at most, and each
    device ``at_once_each``: the laptop's own browser always finds room.

    ``form`` bounds bodies of forms, ``json`` of JSON, ``files`` of what goes to a path that ends
    in ``/files``, which is streamed. A body of the first two kinds must be here within ``whole``;
    a streamed one must not pause for ``idle`` nor come slower than ``slowest`` bytes a second.
    """

    path: int = 1024
    query: int = 8 * _KIB
    fields: int = 2000
    header_bytes: int = 16 * _KIB
    headers: int = 64
    form: int = 2 * _MIB
    json: int = 256 * _KIB
    depth: int = 32
    files: int = 2048 * _MIB
    at_once: int = 128
    at_once_lan: int = 64
    at_once_each: int = 32
    whole: float = 20.0
    idle: float = 20.0
    slowest: float = 4.0 * _KIB


@dataclass(frozen=True, slots=True)
class Rules:
    """What one start of the server goes by.

    ``port`` 0 stands for one that is not known yet: any is answered. ``lan`` is None where nothing
    but loopback is bound. With ``look_only`` devices on the network
    read pages and change nothing.
    """

    port: int
    token: str
    lan: Lan | None = None
    look_only: bool = False
    bounds: Bounds = Bounds()
