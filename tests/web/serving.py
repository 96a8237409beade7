"""A workbench that serves while a test runs."""

from __future__ import annotations

import json
import shutil
import socket
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from threading import Thread
from typing import Any

from loftwright.web.app import create_app
from loftwright.web.bench import Bench
from loftwright.web.config import Config
from loftwright.web.guard.connections import server_of
from loftwright.web.jobs import Job
from loftwright.web.jobs.seals import seal, signed

EXAMPLES = Path(__file__).parents[2] / "examples"


@dataclass(frozen=True)
class Served:
    """Where a workbench listens, and the folder of its campaign."""

    url: str
    home: Path
    bench: Bench

    @property
    def token(self) -> str:
        return self.bench.config.token


def copied(example: str, home: Path) -> Path:
    """Copy an example campaign into ``home``."""
    shutil.copytree(EXAMPLES / example, home)
    return home


@contextmanager
def serving(home: Path, *, port: int = 0, **more: Any) -> Iterator[Served]:
    """Serve the campaign in ``home`` at a port of this machine, a free one for 0, from a thread."""
    listening = socket.socket(proto=socket.IPPROTO_TCP)  # as the command does
    listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    listening.bind(("127.0.0.1", port))
    listening.listen(64)
    config = Config(port=listening.getsockname()[1], **more)
    app = create_app(home, config)
    server = server_of(app)
    thread = Thread(target=server.run, args=([listening],))
    thread.start()
    try:
        # The socket listens already: whoever asks now waits until the server takes it up.
        yield Served(f"http://127.0.0.1:{config.port}", home, app.state.bench)
    finally:
        server.should_exit = True
        thread.join()
        app.state.bench.close()
        listening.close()


@contextmanager
def commanded(home: Path, *options: str) -> Iterator[dict[str, Any]]:
    """Run the command as a program would: yield what it told; end it by ending its input."""
    words = ["serve", str(home), *options, "--port", "0", "--no-open", "--json"]
    process = subprocess.Popen(
        [sys.executable, "-m", "loftwright", *words, "--until-input-ends"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )
    with process:
        assert process.stdout is not None
        assert process.stdin is not None
        lines: list[str] = []
        for line in process.stdout:
            lines.append(line)
            if line.rstrip() == "}":
                break
        yield json.loads("".join(lines))
        process.stdin.close()
        assert process.wait(30) == 0


def vouched(folder: Path) -> Job:
    """Have this machine vouch for a job that was laid by hand, as if it had seen it come."""
    path = folder / "job.json"
    path.write_text(json.dumps(signed(folder.name, json.loads(path.read_text("utf-8")))), "utf-8")
    end = folder / "end.json"
    said = end.read_text("utf-8") if end.exists() else '{"code": 0, "ended": 2e9}'
    seal(folder, said)
    end.write_text(said, "utf-8")
    return Job(folder)
