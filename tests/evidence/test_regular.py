"""Records come from regular files: what may never end is refused, not waited for."""

from __future__ import annotations

import os
import socket
from pathlib import Path

import pytest
from evidence.synthetic_records import record_bytes

from loftwright.errors import ProblemError
from loftwright.evidence.record import read_firing_record
from loftwright.evidence.regular import read_record_bytes

POSIX = pytest.mark.skipif(os.name != "posix", reason="pipes and devices as files are POSIX")


def refusal(path: Path, limit: int | None = None) -> tuple[str, str]:
    """Code and message with which a file is refused."""
    with pytest.raises(ProblemError) as caught:
        read_firing_record(path) if limit is None else read_record_bytes(path, limit)
    found = caught.value.problems[0]
    assert found.where.file == path.name
    assert found.mend
    return found.code, found.message


@POSIX
def test_a_pipe_is_refused_at_once(tmp_path: Path) -> None:
    pipe = tmp_path / "run.fifo"
    os.mkfifo(pipe)
    code, message = refusal(pipe)
    assert code == "evidence-unreadable"
    assert "a pipe or a device, not a regular file" in message


@POSIX
@pytest.mark.parametrize("device", ["/dev/zero", "/dev/null"])
def test_a_device_is_refused(device: str) -> None:
    code, message = refusal(Path(device))
    assert code == "evidence-unreadable"
    assert "not a regular file" in message


@POSIX
def test_a_socket_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)  # a socket's name must be short
    with socket.socket(socket.AF_UNIX) as plug:
        plug.bind("plug")
        assert refusal(Path("plug"))[0] == "evidence-unreadable"


def test_a_folder_and_an_impossible_name_are_refused(tmp_path: Path) -> None:
    assert refusal(tmp_path)[0] == "evidence-unreadable"
    assert refusal(tmp_path / "a\0b")[0] == "evidence-unreadable"


@POSIX
def test_a_link_to_a_pipe_is_refused_and_one_to_a_record_is_read(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    raw, _ = record_bytes()
    (tmp_path / "run.txt").write_bytes(raw)
    for name in ("pipe", "run.txt"):
        (tmp_path / f"to-{name}").symlink_to(tmp_path / name)
    assert refusal(tmp_path / "to-pipe")[0] == "evidence-unreadable"
    assert read_record_bytes(tmp_path / "to-run.txt") == raw


@pytest.mark.parametrize("size", [0, 1, 99, 100])
def test_a_file_up_to_the_limit_is_read_whole(tmp_path: Path, size: int) -> None:
    path = tmp_path / "run.txt"
    path.write_bytes(b"7" * size)
    assert read_record_bytes(path, 100) == b"7" * size


def test_a_file_beyond_the_limit_is_refused_while_it_is_read(tmp_path: Path) -> None:
    path = tmp_path / "run.txt"
    path.write_bytes(b"7" * 101)
    code, message = refusal(path, 100)
    assert code == "evidence-too-long"
    assert "more than 100 bytes" in message


@POSIX
def test_a_file_that_only_claims_its_length_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "run.txt"
    with path.open("wb") as stream:
        stream.truncate(300 * 1024 * 1024)  # a hole: long, and on no disk
    assert refusal(path)[0] == "evidence-too-long"
