"""``loftwright serve``."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from loftwright.cli.options import campaign_folder, json_option

if TYPE_CHECKING:
    from socket import socket

    from uvicorn import Server

    from loftwright.web.config import Config

__all__ = ["command"]

PORT = 8042


@click.command("serve")
@campaign_folder
@click.option(
    "--port",
    metavar="N",
    type=click.IntRange(min=0, max=65535),
    help=f"Listen there; without it {PORT}, or any free one where that is taken. 0: any free one.",
)
@click.option("--no-open", is_flag=True, help="Do not open the browser.")
@click.option(
    "--until-input-ends",
    is_flag=True,
    help="End when standard input does, for programs that start this one.",
)
@json_option
def command(
    folder: Path, port: int | None, no_open: bool, until_input_ends: bool, as_json: bool
) -> None:
    """Open the campaign in DIR as pages in the browser, for this machine only.

    An empty or new folder is taken too: the first page begins a campaign. A folder that holds
    several campaigns shows them all. Long work goes on when the workbench is closed. Stop it with
    Ctrl-C.
    """
    from loftwright.web.config import Config

    home = _home(folder)
    listening = _listen("127.0.0.1", port)
    config = Config("127.0.0.1", listening.getsockname()[1])
    address = f"http://127.0.0.1:{config.port}/"
    _tell(home, address, as_json)
    if not no_open:
        _open_soon(address)
    server = _server(home, config)
    if until_input_ends:
        _end_with_input(server)
    server.run(sockets=[listening])


def _server(home: Path, config: Config) -> Server:
    import uvicorn

    from loftwright.web.app import create_app
    from loftwright.web.campaigns.app import create_campaigns_app, holds_campaigns

    several = holds_campaigns(home)
    return uvicorn.Server(
        uvicorn.Config(
            (create_campaigns_app if several else create_app)(home, config),
            log_level="warning",
            access_log=False,
            server_header=False,
            date_header=False,
            timeout_graceful_shutdown=2,
        )
    )


def _end_with_input(server: Server) -> None:
    from threading import Thread

    def wait() -> None:
        while sys.stdin.buffer.read(4096):
            pass
        server.should_exit = True

    Thread(target=wait, daemon=True).start()


def _tell(home: Path, address: str, as_json: bool) -> None:
    """Say where the workbench is, before it begins to answer."""
    if as_json:
        from loftwright.cli.answers import emit

        emit("serve", {"folder": home, "address": address})
    else:
        click.echo(f"{home}\nopen at {address}\nCtrl-C ends it.")


def _home(folder: Path) -> Path:
    """Return the campaign's folder, made where it does not exist."""
    home = folder.parent if folder.name == "campaign.toml" else folder
    if home.exists() and not home.is_dir():
        raise _refused("DIR", str(folder), "this is a file", "name a folder")
    home.mkdir(parents=True, exist_ok=True)
    return home.resolve()


def _listen(host: str, port: int | None) -> socket:
    """Return a socket at ``port``; any free one where none is asked for and ours is taken."""
    import socket

    for number in (PORT, 0) if port is None else (port,):
        listening = socket.socket()
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listening.bind((host, number))
        except OSError:
            listening.close()
            continue
        listening.listen(128)
        return listening
    mend = "give another with --port, or none"
    raise _refused("--port", str(port), "nobody can listen there: it is taken or not allowed", mend)


def _refused(field: str, value: str, message: str, mend: str) -> Exception:
    from loftwright.errors import Problem, ProblemError, Where

    return ProblemError([Problem("serve-refused", message, Where(field=field, value=value), mend)])


def _open_soon(address: str) -> None:
    """Open the browser; the socket listens already, so that it need not wait."""
    import webbrowser
    from threading import Thread

    Thread(target=webbrowser.open, args=(address,), daemon=True).start()
