"""Notes what a process writes, moves, takes away or starts: imported by every Python at its start.

Lies on PYTHONPATH during an abuse run only, where ABUSE_AUDIT names the file to note it in.
"""

import os
import sys

_NOTED = os.environ.get("ABUSE_AUDIT")
_WRITES = os.O_WRONLY | os.O_RDWR | os.O_CREAT | os.O_TRUNC | os.O_APPEND
_CHANGES = {
    "os.remove", "os.rename", "os.mkdir", "os.rmdir", "os.link", "os.symlink", "os.truncate",
    "os.chmod", "os.chown", "os.utime", "os.setxattr", "shutil.rmtree", "shutil.move",
    "sqlite3.connect", "os.system", "os.exec", "subprocess.Popen", "socket.connect", "os.chdir",
}  # fmt: skip


def _watch(event: str, words: tuple) -> None:
    if event == "open":
        path, mode, flags = words
        if isinstance(path, int):
            return
        writes = bool(flags & _WRITES) or any(sign in str(mode or "r") for sign in "wax+")
        _note("write" if writes else "read", path)
    elif event in _CHANGES:
        paths, folders = _places(event, words)
        _note(event, *(_whole(each, folder) for each, folder in zip(paths, folders, strict=True)))


def _places(event: str, words: tuple) -> tuple[tuple, tuple]:
    """Return the paths that an event is about, and the open folders that they are within."""
    if event in {"os.rename", "os.link"}:
        return words[:2], words[2:4]
    if event in {"os.remove", "os.rmdir"}:
        return words[:1], words[1:2]
    if event in {"os.mkdir", "os.symlink"}:
        return (words[0] if event == "os.mkdir" else words[1],), words[2:3]
    if event == "socket.connect":
        return words[1:2], (-1,)
    return words[:1], (-1,)


def _whole(path: object, folder: object) -> object:
    if isinstance(folder, int) and folder >= 0 and isinstance(path, (str, bytes, os.PathLike)):
        return os.path.join(os.readlink(f"/proc/self/fd/{folder}"), os.fsdecode(path))
    return path


def _note(what: str, *paths: object) -> None:
    for path in paths:
        shown = os.fsdecode(path) if isinstance(path, (str, bytes, os.PathLike)) else repr(path)
        if what in {"write", "read", *_CHANGES} and isinstance(path, (str, bytes, os.PathLike)):
            shown = os.path.abspath(shown) if "\0" not in shown else shown
        line = f"{what}\t{shown!r}\n".encode("utf-8", "backslashreplace")
        os.write(_FILE, line)


if _NOTED:
    _FILE = os.open(_NOTED, os.O_WRONLY | os.O_APPEND | os.O_CREAT, 0o600)
    sys.addaudithook(_watch)
