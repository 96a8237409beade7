"""What this machine vouches for: work that it began, and answers that it saw come.

A campaign may come from somebody else, with work in it that looks like ours. So the folder of a job
is sealed by a key that lies outside any campaign and that no campaign brings: HMAC-SHA-256 (RFC
2104, FIPS 180-4) over the digests of its files. Where no file can keep the key it lives as long as
the server, whose children have it of their environment.
"""

from __future__ import annotations

import hashlib
import hmac
import json
import os
import secrets
import stat
from collections import OrderedDict
from collections.abc import Mapping
from contextlib import suppress
from functools import cache
from pathlib import Path
from threading import Lock
from typing import Any

from loftwright.documents.files import read_regular, write_atomically
from loftwright.errors import ProblemError

__all__ = ["VARIABLE", "is_sealed", "is_signed", "key_is_kept", "key_path", "seal", "signed"]

VARIABLE = "LOFTWRIGHT_SEAL_KEY"  # the key of a server that no file can keep it for
SEAL, END = "seal.json", "end.json"
FILES = ("job.json", "answer.json", "said.txt", "report.html", END)
STRIPS = "strips"
SIZE = 32  # bytes of the key
LARGEST = 1 << 20  # bytes of a seal
MOST = 256  # folders whose seals are remembered

Digests = dict[str, str]
Stamps = tuple[tuple[str, int, int, int], ...]


def signed(name: str, asked: Mapping[str, Any]) -> dict[str, Any]:
    """Return what the job of this name was asked for, with the mark that this machine asked it."""
    bare = _bare(asked)
    return {**bare, "seal": _mark("asked", name, bare)}


def is_signed(name: str, asked: Mapping[str, Any]) -> bool:
    """Tell whether this machine asked the job of this name for this."""
    try:
        return _is(asked.get("seal"), _mark("asked", name, _bare(asked)))
    except RecursionError:  # nothing of ours is nested as deep
        return False


def _bare(asked: Mapping[str, Any]) -> dict[str, Any]:
    return {key: each for key, each in asked.items() if key != "seal"}


def seal(folder: Path, end: str) -> None:
    """Vouch for a job as its folder stands, and for ``end`` as what its end.json will say.

    Raises ``OSError`` or ``ProblemError`` where a file cannot be read or the seal not be written.
    """
    names = {name for name, *_ in _stamps(folder)} - {END, SEAL}
    digests = {name: _digest(folder / name) for name in names}
    digests[END] = hashlib.sha256(end.encode("utf-8")).hexdigest()
    said = {"files": digests, "seal": _mark("ended", folder.name, digests)}
    write_atomically(folder / SEAL, json.dumps(said))


_lock = Lock()
_known: OrderedDict[Path, tuple[Stamps, bool]] = OrderedDict()


def is_sealed(folder: Path) -> bool:
    """Tell whether this machine vouches for all that the job in ``folder`` says.

    Its files are read anew only where one of them has changed.
    """
    try:
        stamps = _stamps(folder)
        with _lock:
            known = _known.get(folder)
        if known is None or known[0] != stamps:
            known = (stamps, _holds(folder, stamps))
        with _lock:
            _known[folder] = known
            _known.move_to_end(folder)
            while len(_known) > MOST:
                _known.popitem(last=False)
        return known[1]
    except (OSError, ProblemError):  # a file goes in this moment, or cannot be read
        return False


def _holds(folder: Path, stamps: Stamps) -> bool:
    try:
        said = json.loads(read_regular(folder / SEAL, LARGEST))
    except (ProblemError, ValueError, RecursionError):
        return False
    digests = said.get("files") if isinstance(said, dict) else None
    if not isinstance(digests, dict) or {type(each) for each in digests.values()} != {str}:
        return False
    if not _is(said.get("seal"), _mark("ended", folder.name, digests)):
        return False
    names = {name for name, *_ in stamps} - {SEAL}
    return names == set(digests) and all(
        _digest(folder / name) == digest for name, digest in digests.items()
    )


def _stamps(folder: Path) -> Stamps:
    """Return name, time, size and number of every file that pages show something of.

    Raises ``OSError`` where one of them is a link or anything else that is no file.
    """
    found = []
    strips = folder / STRIPS
    inside = sorted(strips.iterdir()) if strips.is_dir() and not strips.is_symlink() else []
    for path in (*(folder / name for name in (*FILES, SEAL)), *inside):
        with suppress(FileNotFoundError):
            state = path.lstat()
            if not stat.S_ISREG(state.st_mode):
                raise OSError(f"{path} is no file")
            name = path.relative_to(folder).as_posix()
            found.append((name, state.st_mtime_ns, state.st_size, state.st_ino))
    if strips.is_symlink():
        raise OSError(f"{strips} is a link")
    return tuple(found)


def _digest(path: Path) -> str:
    with open(path, "rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()


def _mark(kind: str, name: str, said: Mapping[str, Any]) -> str:
    text = json.dumps([kind, name, said], sort_keys=True, separators=(",", ":"))
    return hmac.new(_key(), text.encode("utf-8"), hashlib.sha256).hexdigest()


def _is(given: object, right: str) -> bool:
    return isinstance(given, str) and hmac.compare_digest(given.encode("utf-8"), right.encode())


# ---------------------------------------------------------------- the key


def key_path() -> Path:
    """Return the file that keeps the key, where this system keeps what programs note."""
    import platformdirs

    return Path(platformdirs.user_state_dir("loftwright", appauthor=False)) / "seal.key"


def key_is_kept() -> bool:
    """Tell whether the key is kept in a file, so that the next server knows the same work."""
    _key()
    return VARIABLE not in os.environ


def _key() -> bytes:
    with _lock:
        return _machine_key()


@cache
def _machine_key() -> bytes:
    """Return the key of this machine, made at its first use.

    The first who writes it has made it, whoever else tries at the same time.
    """
    given = os.environ.get(VARIABLE, "")
    if len(given) == 2 * SIZE:
        with suppress(ValueError):
            return bytes.fromhex(given)
    path = key_path()
    try:
        return _read_key(path) or _made_key(path)
    except (OSError, ProblemError):
        made = secrets.token_bytes(SIZE)
        os.environ[VARIABLE] = made.hex()  # for the children of this process
        return made


def _read_key(path: Path) -> bytes | None:
    """Return the key, None where there is none; raises ``ProblemError`` for what is no file."""
    if not path.exists():
        return None
    found = read_regular(path, LARGEST)
    return found if len(found) == SIZE else None


def _made_key(path: Path) -> bytes:
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    draft = path.with_name(f".{path.name}.{secrets.token_hex(4)}.part")
    handle = os.open(
        draft, os.O_CREAT | os.O_EXCL | os.O_WRONLY | getattr(os, "O_BINARY", 0), 0o600
    )
    try:
        with open(handle, "wb") as stream:
            stream.write(secrets.token_bytes(SIZE))
            stream.flush()
            os.fsync(stream.fileno())
        try:
            os.link(draft, path)  # fails where another was first: his is taken
        except FileExistsError:
            if _read_key(path) is None:  # what stands there is no key
                os.replace(draft, path)
        except OSError:  # a disk without such links
            os.replace(draft, path)
    finally:
        draft.unlink(missing_ok=True)
    found = _read_key(path)
    if found is None:
        raise OSError(f"{path} keeps no key")
    return found
