"""Writing files so that nothing is ever half written: the old file or the new one stands."""

from __future__ import annotations

import os
import secrets
from pathlib import Path

from loftwright.errors import Problem, ProblemError, Where

__all__ = ["write_atomically"]


def write_atomically(path: Path, content: str | bytes, *, overwrite: bool = True) -> None:
    """Write ``content`` (text as UTF-8, line ends as they are) to ``path``, whole or not at all.

    The content goes to a new file in the same folder, is forced to the disk, and takes the place
    of ``path`` in one step; killed at any point, the old file or the new one stands. A link is
    followed, and the permissions of the old file are kept. With ``overwrite=False`` a file that
    exists is left alone. Raises ``ProblemError`` when the file cannot be written.
    """
    data = content.encode("utf-8") if isinstance(content, str) else content
    target = Path(os.path.realpath(path))
    if not overwrite and target.exists():
        raise _refused(path, "file-exists", "the file exists already", "choose another name")
    draft = target.with_name(f".{target.name}.{secrets.token_hex(4)}.part")
    try:
        _write_through(draft, data, target)
        os.replace(draft, target)
        _sync_folder(target.parent)
    except OSError as error:
        message = f"the file cannot be written: {error.strerror or error}"
        mend = "see whether the folder exists, may be written to and has room"
        raise _refused(path, "file-not-written", message, mend) from error
    finally:
        draft.unlink(missing_ok=True)


def _refused(path: Path, code: str, message: str, mend: str) -> ProblemError:
    return ProblemError([Problem(code, message, Where(file=str(path)), mend)])


def _write_through(draft: Path, data: bytes, target: Path) -> None:
    """Write ``data`` to a new file and force it to the disk, with the target's permissions."""
    with draft.open("xb") as stream:
        stream.write(data)
        stream.flush()
        os.fsync(stream.fileno())
    if target.exists():
        draft.chmod(target.stat().st_mode & 0o7777)


def _sync_folder(folder: Path) -> None:
    """Force the new name to the disk, where the system can (Windows does so by itself)."""
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
