"""What a workbench was started with."""

from __future__ import annotations

from dataclasses import dataclass, field
from secrets import token_urlsafe

from loftwright.web.guard.lan import Lan

__all__ = ["Config"]


@dataclass(frozen=True, slots=True)
class Config:
    """Where the workbench listens, and the token that its own pages send back.

    ``token`` is made anew at each start: a page of another site cannot know it. ``lan`` is who is
    let in from the network, None where nobody is; with ``look_only`` they change nothing.
    ``passed_on`` are words for the workbench of each of several campaigns.
    """

    host: str = "127.0.0.1"
    port: int = 0
    token: str = field(default_factory=lambda: token_urlsafe(32), repr=False)
    lan: Lan | None = None
    look_only: bool = False
    passed_on: tuple[str, ...] = ()
