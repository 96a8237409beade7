"""The workbench as an ASGI application."""

from __future__ import annotations

from pathlib import Path

from starlette.applications import Starlette
from starlette.routing import BaseRoute

from loftwright.web import problems, statics
from loftwright.web.bench import Bench
from loftwright.web.config import Config
from loftwright.web.guard.stack import guards
from loftwright.web.pages import glance, phone, program, rehearsing, work

__all__ = ["create_app"]

PAGES = (glance, rehearsing, program, work, phone)


def create_app(home: Path, config: Config) -> Starlette:
    """Return the workbench of the campaign in the folder ``home``, which may be empty."""
    routes: list[BaseRoute] = [*statics.ROUTES]
    for page in PAGES:
        routes += page.ROUTES
    app = Starlette(
        routes=routes,
        middleware=guards(config),
        exception_handlers=problems.HANDLERS,
    )
    app.state.bench = Bench(home.resolve(), config)
    return app
