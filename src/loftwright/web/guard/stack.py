"""All guards in their order."""

from __future__ import annotations

from starlette.middleware import Middleware

from loftwright.web.config import Config
from loftwright.web.guard.headers import SecurityHeaders
from loftwright.web.guard.own_pages import OwnPages

__all__ = ["guards"]


def guards(config: Config, *, form_action: str = "'self'") -> list[Middleware]:
    """Return what stands before the pages, outermost first; forms lead to ``form_action`` only."""
    return [
        Middleware(SecurityHeaders, form_action=form_action),
        Middleware(OwnPages, config=config),
    ]
