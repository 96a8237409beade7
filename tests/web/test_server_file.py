"""Where the workbench listens, for scripts of its owner and nobody else."""

from __future__ import annotations

import json
import os

import pytest

from loftwright.errors import ProblemError
from loftwright.web.server_file import announced


def test_it_is_there_while_the_workbench_runs(tmp_path):
    with announced(tmp_path, "http://127.0.0.1:1/", "token") as path:
        told = json.loads(path.read_text())
        assert told == {"address": "http://127.0.0.1:1/", "token": "token", "pid": os.getpid()}
    assert not path.exists()
    assert list(path.parent.iterdir()) == []


@pytest.mark.skipif(os.name != "posix", reason="POSIX permissions")
def test_nobody_else_reads_it(tmp_path):
    (tmp_path / ".loftwright").mkdir()
    (tmp_path / ".loftwright" / "server.json").write_text("left behind")
    (tmp_path / ".loftwright" / "server.json").chmod(0o666)
    with announced(tmp_path, "http://127.0.0.1:1/", "token") as path:
        assert path.stat().st_mode & 0o777 == 0o600


def test_that_of_a_later_workbench_stays(tmp_path):
    with announced(tmp_path, "http://127.0.0.1:1/", "one") as path:
        path.write_text("another's")
    assert path.read_text() == "another's"


@pytest.mark.skipif(os.name != "posix" or os.getuid() == 0, reason="nothing is refused to root")
def test_a_folder_that_cannot_be_written_is_told(tmp_path):
    tmp_path.chmod(0o500)
    with pytest.raises(ProblemError), announced(tmp_path, "http://127.0.0.1:1/", "token"):
        pass
    tmp_path.chmod(0o700)
