"""What a workbench was started with."""

from __future__ import annotations

from dataclasses import dataclass, field
from secrets import token_urlsafe

__all__ = ["Config", "is_loopback"]

LOOPBACK = ("127.0.0.1", "localhost", "::1")


def is_loopback(host: str) -> bool:
    """Whether ``host`` names this machine and nothing else."""
    return host in LOOPBACK


@dataclass(frozen=True, slots=True)
class Config:
    """Where the workbench listens, and the token that its own pages send back.

    ``token`` is made anew at each start: a page of another site cannot know it.
    """

    host: str = "127.0.0.1"
    port: int = 0
    token: str = field(default_factory=lambda: token_urlsafe(24))
