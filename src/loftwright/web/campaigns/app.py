"""The page of a folder of campaigns."""

from __future__ import annotations

import re
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from dataclasses import dataclass
from pathlib import Path

from markupsafe import Markup
from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from loftwright.documents.flights import name_fault
from loftwright.errors import ProblemError
from loftwright.web import statics
from loftwright.web.campaigns.opened import Opened
from loftwright.web.config import Config
from loftwright.web.encoded import page
from loftwright.web.guard.stack import guards
from loftwright.web.rendering import environment

__all__ = ["create_campaigns_app", "holds_campaigns"]

# Names of folders on every system, without dots in front.
NAME = re.compile(r"[\w](?:[\w .-]{0,58}[\w])?")


@dataclass(frozen=True, slots=True)
class Shown:
    """A campaign as the list shows it; ``name`` and ``question`` are empty where unreadable."""

    folder: str
    name: str
    question: str


def holds_campaigns(folder: Path) -> bool:
    """Tell whether ``folder`` is no campaign but has some in it."""
    return not (folder / "campaign.toml").exists() and bool(_campaigns(folder))


def create_campaigns_app(folder: Path, config: Config) -> Starlette:
    """Return the page that lists, opens and begins campaigns in ``folder``."""
    opened = Opened(config.passed_on)

    @asynccontextmanager
    async def lifespan(_: Starlette) -> AsyncIterator[None]:
        yield
        opened.close()

    app = Starlette(
        routes=[
            *statics.ROUTES,
            Route("/", _list),
            Route("/", _begin, methods=["POST"]),
            Route("/open/{name}", _open, methods=["POST"]),
        ],
        # A workbench of a campaign is another address of this machine.
        middleware=guards(config, form_action="'self' http://127.0.0.1:*"),
        lifespan=lifespan,
    )
    app.state.folder, app.state.config, app.state.opened = folder, config, opened
    return app


def _campaigns(folder: Path) -> list[Shown]:
    if not folder.is_dir():
        return []
    found = (each for each in folder.iterdir() if (each / "campaign.toml").is_file())
    return sorted((_shown(each) for each in found), key=lambda shown: shown.folder)


def _shown(home: Path) -> Shown:
    from loftwright.documents import read_document
    from loftwright.documents.campaign import CampaignFile

    try:
        head = read_document(home / "campaign.toml", CampaignFile)
    except ProblemError:  # its own pages say what is wrong with it
        return Shown(home.name, "", "")
    return Shown(home.name, head.name, head.question or "")


def _list(request: Request, problem: str = "", typed: str = "") -> Response:
    state = request.app.state
    token = Markup('<input type="hidden" name="token" value="{}">').format(state.config.token)
    told = (
        environment()
        .get_template("campaigns.html.j2")
        .render(
            campaigns=_campaigns(state.folder),
            folder=state.folder,
            token_field=token,
            problem=problem,
            typed=typed,
        )
    )
    return page(told, 422 if problem else 200)


async def _begin(request: Request) -> Response:
    """Make a folder for a campaign and open it, where the campaign is begun."""
    folder: Path = request.app.state.folder
    name = str((await request.form(max_files=0)).get("name", "")).strip()
    if not NAME.fullmatch(name) or name_fault(name) is not None:
        mend = (
            "take letters, digits, spaces and hyphens, 60 at most, beginning with a letter or digit"
        )
        return _list(request, f"This is no name for a folder: {mend}.", name)
    try:
        (folder / name).mkdir()
    except FileExistsError:
        return _list(
            request, "There is a folder of this name: open it, or take another name.", name
        )
    except OSError as error:
        why = error.strerror or error
        return _list(
            request, f"The folder cannot be made: {why}. See whether this may be written to.", name
        )
    return await _at_address(request, folder / name, "/describe")


async def _open(request: Request) -> Response:
    folder: Path = request.app.state.folder
    name = request.path_params["name"]
    if name not in [each.folder for each in _campaigns(folder)]:
        raise HTTPException(404)
    return await _at_address(request, folder / name)


async def _at_address(request: Request, home: Path, page: str = "/") -> Response:
    from starlette.concurrency import run_in_threadpool

    try:
        address = await run_in_threadpool(request.app.state.opened.address, home)
    except ProblemError as error:
        said = error.problems[0]
        return _list(request, f"{said.message}; {said.mend}.")
    return RedirectResponse(address.removesuffix("/") + page, 303)
