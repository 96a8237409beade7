"""Serve a campaign as the command does, and note the status of every answer.

python benchmarks/abuse/counted.py DIR STATUSES
"""

from __future__ import annotations

import socket
import sys
from pathlib import Path

from loftwright.web.app import create_app
from loftwright.web.config import Config
from loftwright.web.guard.connections import server_of
from loftwright.web.server_file import announced


class Counting:
    """Notes status, method and address of each answer, one a line."""

    def __init__(self, app, file) -> None:
        self.app, self.file = app, file

    async def __call__(self, scope, receive, send) -> None:
        async def noting(message):
            if message["type"] == "http.response.start":
                target = scope["raw_path"] + b"?" + scope["query_string"]
                line = f"{message['status']} {scope['method']} {target.decode('latin-1')[:300]}\n"
                self.file.write(line)
                self.file.flush()
            await send(message)

        await self.app(scope, receive, noting if scope["type"] == "http" else send)


def main(home: Path, statuses: Path) -> None:
    listening = socket.socket()
    listening.bind(("127.0.0.1", 0))
    listening.listen(128)
    config = Config("127.0.0.1", listening.getsockname()[1])
    with statuses.open("a", encoding="utf-8") as file:
        server = server_of(Counting(create_app(home, config), file))
        with announced(home, f"http://127.0.0.1:{config.port}", config.token):
            server.run(sockets=[listening])


if __name__ == "__main__":
    main(Path(sys.argv[1]).resolve(), Path(sys.argv[2]))
