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
@click.option("--lan", is_flag=True, help="Let devices on the same network in, each by a code.")
@click.option(
    "--lan-look", is_flag=True, help="Like --lan, but devices on the network change nothing."
)
@click.option(
    "--lan-address",
    metavar="ADDRESS",
    help="With --lan: this machine's address on that network, where it has several.",
)
@json_option
def command(
    folder: Path,
    port: int | None,
    no_open: bool,
    until_input_ends: bool,
    lan: bool,
    lan_look: bool,
    lan_address: str | None,
    as_json: bool,
) -> None:
    """Open the campaign in DIR as pages in the browser, for this machine only unless --lan is said.

    An empty or new folder is taken too: the first page begins a campaign. A folder that holds
    several campaigns shows them all. Long work goes on when the workbench is closed. Stop it with
    Ctrl-C.
    """
    from contextlib import nullcontext

    from loftwright.web.campaigns.app import holds_campaigns
    from loftwright.web.server_file import announced

    home = _home(folder)
    several = holds_campaigns(home)
    is_open = lan or lan_look
    if lan_address is not None and not is_open:
        raise click.UsageError("--lan-address needs --lan or --lan-look")
    sockets, config = _opened(port, _chosen(lan_address) if is_open else None, several, lan_look)
    address = f"http://127.0.0.1:{config.port}/"
    server = _server(home, config, several)
    with nullcontext() if several else announced(home, address, config.token):
        _tell(home, address, config, as_json)
        if not no_open:
            _open_soon(address)
        if until_input_ends:
            _end_with_input(server)
        elif config.lan is not None and sys.stdin.isatty():
            _new_codes_by_enter(config)
        server.run(sockets=sockets)


def _chosen(lan_address: str | None) -> str:
    from loftwright.web.phone.network import chosen_address

    return chosen_address(lan_address)


def _opened(
    port: int | None, lan_address: str | None, several: bool, look_only: bool
) -> tuple[list[socket], Config]:
    """Listen where the workbench is to be open, and say so.

    The list of several campaigns stays on this machine; each campaign's own workbench is open.
    """
    from loftwright.web.config import Config
    from loftwright.web.guard import Lan

    here = _listen("127.0.0.1", port)
    number = here.getsockname()[1]
    if lan_address is None:
        return [here], Config("127.0.0.1", number)
    if several:
        passed_on = ("--lan-look" if look_only else "--lan", "--lan-address", lan_address)
        return [here], Config("127.0.0.1", number, passed_on=passed_on)
    try:
        there = _listen(lan_address, number, "--lan-address")
    except Exception:
        here.close()
        raise
    lan = Lan(lan_address)
    lan.new_code()
    return [here, there], Config("127.0.0.1", number, lan=lan, look_only=look_only)


def _server(home: Path, config: Config, several: bool) -> Server:
    from loftwright.web.app import create_app
    from loftwright.web.campaigns.app import create_campaigns_app
    from loftwright.web.guard.connections import server_of

    return server_of((create_campaigns_app if several else create_app)(home, config))


def _new_codes_by_enter(config: Config) -> None:
    """Show a new code each time that Enter is pressed in the terminal."""
    from threading import Thread

    from loftwright.web.phone.phone_words import lan_told

    lan, port = config.lan, config.port
    assert lan is not None

    def wait() -> None:
        for _ in sys.stdin:
            lan.new_code()
            click.echo(lan_told(lan, port))

    Thread(target=wait, daemon=True).start()


def _end_with_input(server: Server) -> None:
    from threading import Thread

    def wait() -> None:
        while sys.stdin.buffer.read(4096):
            pass
        server.should_exit = True

    Thread(target=wait, daemon=True).start()


def _tell(home: Path, address: str, config: Config, as_json: bool) -> None:
    """Say where the workbench is, before it begins to answer."""
    lan = config.lan
    if as_json:
        from loftwright.cli.answers import emit
        from loftwright.web.phone.phone_words import lan_base

        network = None if lan is None else f"{lan_base(lan, config.port)}/"
        code = None if lan is None else lan.code
        emit("serve", {"folder": home, "address": address, "lan": network, "lan_code": code})
        return
    click.echo(f"{home}\nopen at {address}\nCtrl-C ends it.")
    if lan is not None:
        from loftwright.web.phone.phone_words import lan_told

        click.echo(lan_told(lan, config.port))


def _home(folder: Path) -> Path:
    """Return the campaign's folder, made where it does not exist."""
    home = folder.parent if folder.name == "campaign.toml" else folder
    if home.exists() and not home.is_dir():
        raise _refused("DIR", str(folder), "this is a file", "name a folder")
    home.mkdir(parents=True, exist_ok=True)
    return home.resolve()


def _listen(host: str, port: int | None, field: str = "--port") -> socket:
    """Return a socket at ``port``; any free one where none is asked for and ours is taken."""
    import socket

    for number in (PORT, 0) if port is None else (port,):
        family = socket.AF_INET6 if ":" in host else socket.AF_INET
        # Only of a socket that says that it speaks TCP does asyncio send small parts at once; of
        # others the end of every answer waits for an acknowledgement, 40 ms.
        listening = socket.socket(family, socket.SOCK_STREAM, socket.IPPROTO_TCP)
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listening.bind((host, number))
        except OSError:
            listening.close()
            continue
        listening.listen(128)
        return listening
    mend = "give another with --port, or none"
    message = "nobody can listen there: it is taken, not allowed, or not this machine's"
    raise _refused(field, str(port) if field == "--port" else f"{host}:{port}", message, mend)


def _refused(field: str, value: str, message: str, mend: str) -> Exception:
    from loftwright.errors import Problem, ProblemError, Where

    return ProblemError([Problem("serve-refused", message, Where(field=field, value=value), mend)])


def _open_soon(address: str) -> None:
    """Open the browser; the socket listens already, so that it need not wait."""
    import webbrowser
    from threading import Thread

    Thread(target=webbrowser.open, args=(address,), daemon=True).start()
