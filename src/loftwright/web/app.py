"""The workbench as an ASGI application."""

from __future__ import annotations

from importlib import import_module
from pathlib import Path
from pkgutil import iter_modules

from starlette.applications import Starlette
from starlette.routing import BaseRoute

from loftwright.web import pages, problems, statics
from loftwright.web.bench import Bench
from loftwright.web.config import Config
from loftwright.web.guard.stack import guards

__all__ = ["create_app", "page_routes"]


def create_app(home: Path, config: Config) -> Starlette:
    """Return the workbench of the campaign in the folder ``home``, which may be empty."""
    app = Starlette(
        routes=[*statics.ROUTES, *page_routes()],
        middleware=guards(config),
        exception_handlers=problems.HANDLERS,
    )
    app.state.bench = Bench(home.resolve(), config)
    return app


def page_routes() -> list[BaseRoute]:
    """Return the routes of every module of ``web/pages``, those with the plainest paths first.

    So that ``/ledger/export`` is never taken for an entry of the name ``export``.
    """
    names = sorted(each.name for each in iter_modules(pages.__path__))
    modules = [import_module(f"{pages.__name__}.{name}") for name in names]
    found = [route for module in modules for route in getattr(module, "ROUTES", ())]
    return sorted(found, key=lambda route: getattr(route, "path", "").count("{"))
