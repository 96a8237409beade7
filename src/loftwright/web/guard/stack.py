"""The guard as Starlette takes it: outermost, before every page."""

from __future__ import annotations

from starlette.middleware import Middleware

from loftwright.web.config import Config
from loftwright.web.guard.guard import Guard
from loftwright.web.guard.rules import Rules

__all__ = ["guards"]


def guards(config: Config, *, form_action: str = "'self'") -> list[Middleware]:
    """Return what stands before the pages; forms lead to ``form_action`` only."""
    rules = Rules(config.port, config.token, config.lan, config.look_only)
    return [Middleware(Guard, rules=rules, form_action=form_action)]
