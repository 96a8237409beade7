"""Opening the workbench on a phone: the address and code here, the code's page there."""

from __future__ import annotations

from markupsafe import Markup
from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from loftwright.web.bench import bench_of
from loftwright.web.guard.lan import ENTER, STAYS, Lan, cookie_name
from loftwright.web.guard.refusals import RefusedError
from loftwright.web.phone.phone_words import NOT_ENCRYPTED, entry_address, lan_base, svg_square
from loftwright.web.rendering import render

__all__ = ["ROUTES"]


def _phone(request: Request) -> Response:
    """Show address, code and devices; on this machine only, where the code is safe."""
    _only_here(request)
    config = bench_of(request).config
    lan = config.lan
    command = ["loftwright", "serve", str(bench_of(request).home), "--lan"]
    if lan is None:
        return render(request, "phone.html.j2", lan=None, beware=NOT_ENCRYPTED, command=command)
    square = svg_square(entry_address(lan, config.port)) if lan.code else ""
    return render(
        request,
        "phone.html.j2",
        lan=lan,
        code=lan.code,
        minutes_left=max(1, round(lan.left_s / 60)),
        base=f"{lan_base(lan, config.port)}/",
        square=Markup(square),
        look_only=config.look_only,
        beware=NOT_ENCRYPTED,
        command=command,
    )


def _new_code(request: Request) -> Response:
    _lan(request).new_code()
    return RedirectResponse("/phone", 303)


async def _send_away(request: Request) -> Response:
    lan = _lan(request)
    form = await request.form(max_files=0, max_fields=10)
    lan.send_away(str(form.get("device", "")) or None)
    return RedirectResponse("/phone", 303)


def _ask_code(request: Request) -> Response:
    """Ask a device for the code; a scanned square has filled it in already."""
    if request.state.from_loopback or request.state.device is not None:
        return RedirectResponse("/", 303)
    return _code_page(request.query_params.get("code", ""))


async def _enter(request: Request) -> Response:
    """Let the device in that says the code, and know it by a cookie from then on."""
    config = bench_of(request).config
    lan = config.lan
    if lan is None or request.state.from_loopback:
        raise HTTPException(404)
    form = await request.form(max_files=0, max_fields=10)
    try:
        secret = await lan.enter(str(form.get("code", "")), request.headers.get("user-agent", ""))
    except RefusedError as refused:
        return await run_in_threadpool(_code_page, "", refused)
    answer = RedirectResponse("/", 303)
    name = cookie_name(config.port)
    answer.set_cookie(name, secret, max_age=int(STAYS), path="/", httponly=True, samesite="strict")
    return answer


def _code_page(code: str, refused: RefusedError | None = None) -> Response:
    from loftwright.web.rendering import environment

    page = environment().get_template("enter.html.j2")
    told = refused.problem if refused is not None else None
    content = page.render(code=code[:40], problem=told, beware=NOT_ENCRYPTED, action=ENTER)
    return Response(content, 403 if refused else 200, media_type="text/html")


def _only_here(request: Request) -> None:
    if not request.state.from_loopback:
        raise HTTPException(404)


def _lan(request: Request) -> Lan:
    _only_here(request)
    lan = bench_of(request).config.lan
    if lan is None:
        raise HTTPException(404)
    return lan


ROUTES = [
    Route("/phone", _phone),
    Route("/phone/code", _new_code, methods=["POST"]),
    Route("/phone/away", _send_away, methods=["POST"]),
    Route(ENTER, _ask_code),
    Route(ENTER, _enter, methods=["POST"]),
]
