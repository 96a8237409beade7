"""A file is written whole or not at all, whatever happens meanwhile."""

from __future__ import annotations

import errno
import os
import subprocess
import sys
from pathlib import Path

import pytest

from loftwright.documents.files import read_regular, write_atomically
from loftwright.errors import ProblemError

posix_only = pytest.mark.skipif(os.name != "posix", reason="permissions and links of POSIX")


def leftovers(folder: Path) -> list[str]:
    return [each.name for each in folder.iterdir() if each.name.endswith(".part")]


@pytest.mark.parametrize("content", ["ein ± Zeichen\r\nzwei\n", b"\x00\xff", "", "x" * 300_000])
def test_what_is_written_stands_as_it_is(tmp_path: Path, content: str | bytes) -> None:
    path = tmp_path / "file.toml"
    write_atomically(path, content)
    expected = content.encode() if isinstance(content, str) else content
    assert path.read_bytes() == expected
    assert leftovers(tmp_path) == []


def test_an_old_file_is_replaced_unless_told_otherwise(tmp_path: Path) -> None:
    path = tmp_path / "file.toml"
    path.write_text("old")
    with pytest.raises(ProblemError) as caught:
        write_atomically(path, "new", overwrite=False)
    assert caught.value.problems[0].code == "file-exists"
    assert path.read_text() == "old"
    write_atomically(path, "new")
    assert path.read_text() == "new"


def test_a_missing_folder_is_told(tmp_path: Path) -> None:
    with pytest.raises(ProblemError) as caught:
        write_atomically(tmp_path / "no" / "file.toml", "new")
    assert caught.value.problems[0].code == "file-not-written"


@pytest.mark.parametrize("step", ["fsync", "replace"])
def test_a_failing_system_leaves_the_old_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: str
) -> None:
    path = tmp_path / "file.toml"
    path.write_text("old")

    def fail(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, step, fail)
    with pytest.raises(ProblemError, match="No space left") as caught:
        write_atomically(path, "new")
    assert caught.value.problems[0].mend
    assert path.read_text() == "old"
    assert leftovers(tmp_path) == []


@posix_only
def test_permissions_and_links_are_kept(tmp_path: Path) -> None:
    target, link = tmp_path / "target.toml", tmp_path / "link.toml"
    target.write_text("old")
    target.chmod(0o640)
    link.symlink_to(target)
    write_atomically(link, "new")
    assert link.is_symlink()
    assert target.read_text() == "new"
    assert target.stat().st_mode & 0o777 == 0o640


def code_of(caught: pytest.ExceptionInfo[ProblemError]) -> str:
    (problem,) = caught.value.problems
    assert problem.mend
    return problem.code


def test_a_file_is_read_up_to_its_limit(tmp_path: Path) -> None:
    path = tmp_path / "file.txt"
    path.write_bytes(b"a\r\nb\x00")
    assert read_regular(path, 5) == b"a\r\nb\x00"
    with pytest.raises(ProblemError) as caught:
        read_regular(path, 4, name="shown.txt")
    assert code_of(caught) == "file-too-large"
    assert caught.value.problems[0].where.file == "shown.txt"


def test_what_cannot_be_read_is_told(tmp_path: Path) -> None:
    for path, code in (
        (tmp_path / "none.txt", "file-missing"),
        (tmp_path, "file-not-a-file"),
        (tmp_path / "nul\0", "file-unreadable"),
    ):
        with pytest.raises(ProblemError) as caught:
            read_regular(path, 10)
        assert code_of(caught) == code


@posix_only
def test_pipes_and_devices_are_neither_read_nor_replaced(tmp_path: Path) -> None:
    pipe, link = tmp_path / "pipe", tmp_path / "link"
    os.mkfifo(pipe)
    link.symlink_to(pipe)
    for path in (pipe, link, Path("/dev/zero")):
        with pytest.raises(ProblemError) as caught:
            read_regular(path, 10)  # a reader that waits for a writer would hang here
        assert code_of(caught) == "file-not-a-file"
    for path in (pipe, link, tmp_path, Path("/dev/null")):
        with pytest.raises(ProblemError) as caught:
            write_atomically(path, "new")
        assert code_of(caught) == "file-not-a-file"
    assert pipe.is_fifo()
    assert leftovers(tmp_path) == []


# The child writes new content and dies, without any clean-up, before the n-th line that runs in
# the module that writes: every point between two steps is met.
DYING = """
import os, sys
from pathlib import Path
from loftwright.documents import files

path, last, count = Path(sys.argv[1]), int(sys.argv[2]), 0

def trace(frame, event, argument):
    global count
    if frame.f_code.co_filename != files.__file__:
        return None
    count += event == "line"
    if count == last:
        os._exit(9)
    return trace

sys.settrace(trace)
files.write_atomically(path, b"new" * 100_000)
sys.settrace(None)
print(count)
"""


def write_and_die(path: Path, line: int) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-c", DYING, str(path), str(line)]
    return subprocess.run(command, capture_output=True, text=True, check=False)


def test_killed_at_any_line_the_old_file_or_the_new_one_stands(tmp_path: Path) -> None:
    old, new = b"old" * 50_000, b"new" * 100_000
    path = tmp_path / "file.toml"
    path.write_bytes(old)
    whole = write_and_die(path, -1)
    assert whole.returncode == 0, whole.stderr
    seen = []
    for line in range(1, int(whole.stdout) + 1):
        path.write_bytes(old)
        assert write_and_die(path, line).returncode == 9
        seen.append(path.read_bytes())
    assert all(content in (old, new) for content in seen)
    assert seen[0] == old
    assert seen[-1] == new
    assert seen == sorted(seen, key=lambda content: content == new)


def test_killed_from_outside_the_old_file_or_a_new_one_stands(tmp_path: Path) -> None:
    """A child that rewrites without pause is killed at many moments."""
    path = tmp_path / "file.toml"
    path.write_bytes(b"0" * 200_000)
    code = (
        "import sys; from pathlib import Path\n"
        "from loftwright.documents.files import write_atomically\n"
        "print('on', flush=True)\n"
        "for n in range(10**6): write_atomically(Path(sys.argv[1]), bytes([48 + n % 10]) * 200_000)"
    )
    for moment in range(8):
        with subprocess.Popen(
            [sys.executable, "-c", code, str(path)], stdout=subprocess.PIPE
        ) as child:
            assert child.stdout is not None
            child.stdout.readline()
            wait_until_rewritten(path, moment)
            child.kill()
        content = path.read_bytes()
        assert len(content) == 200_000
        assert len(set(content)) == 1


def wait_until_rewritten(path: Path, times: int) -> None:
    """Watch the file change ``times`` times, so that each kill meets another moment."""
    last, seen = path.stat().st_ino, 0
    while seen < times:
        now = path.stat().st_ino
        seen, last = seen + (now != last), now


def test_a_disk_that_takes_no_writing_at_all_is_told(tmp_path: Path, monkeypatch) -> None:
    path = tmp_path / "file.toml"
    path.write_text("old")

    def refused(self: Path, **_: object) -> None:  # unlink too, of what was never there
        raise OSError(errno.EROFS, os.strerror(errno.EROFS), str(self))

    for name in ("touch", "unlink"):
        monkeypatch.setattr(Path, name, refused)
    with pytest.raises(ProblemError) as caught:
        write_atomically(path, "new")
    assert caught.value.problems[0].code == "file-not-written"
    assert "Read-only" in caught.value.problems[0].message
    assert path.read_text() == "old"
