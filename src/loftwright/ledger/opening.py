"""Opening the file of a ledger: safely for two programs at once, brought up to date, or refused.

Where the file system can do it, changes go to a log beside the file first (WAL), so that one may
read while another writes. On a network or a folder that is synchronised to elsewhere, the log
would not be seen by everybody: there the plain rollback journal is used. Either way what has been
acknowledged was forced to the disk.
"""

from __future__ import annotations

import os
import shutil
import sqlite3
import sys
import tempfile
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path

from loftwright.ledger.problems import WAIT_S, refused, said_by
from loftwright.ledger.schema import APPLICATION, STEPS, VERSION

__all__ = ["FILE", "backup_of", "connect", "is_shared", "migrate", "telling", "writing"]

FILE = "ledger.sqlite"
FULL = 64 * 1024  # bytes free on a disk that counts as full: SQLite's shared memory takes 32 KiB
LEAST_SQLITE = (3, 37, 0)  # the first with STRICT tables

# File systems whose shared memory or locks do not reach every machine that sees the file.
_NETWORK = {
    "9p", "afs", "ceph", "cifs", "davfs", "fuse.glusterfs", "fuse.rclone", "fuse.sshfs",
    "fuse.davfs2", "ncpfs", "nfs", "nfs4", "smb3", "smbfs",
}  # fmt: skip
# Words in the names of folders that a service copies to other machines while they are in use.
_COPIED = ("dropbox", "onedrive", "icloud", "google drive", "nextcloud", "syncthing")
_WAL_MARK = b"\x02\x02"  # bytes 18 and 19 of a file that is written by way of a log


@contextmanager
def telling(file: Path) -> Iterator[None]:
    """Turn what the database refuses into ``ProblemError``; a fault of ours stays one."""
    try:
        yield
    except (sqlite3.Error, UnicodeDecodeError) as error:  # also of its own broken messages
        told = said_by(error, file)
        if told is None:
            raise
        raise told from error


def connect(file: Path) -> tuple[sqlite3.Connection, bool]:
    """Open the ledger ``file``, made or brought up to date where that is needed.

    Returns the connection, and whether it may write: a ledger in a write-protected folder, or on a
    disk that is full to the last byte, is opened for reading.

    Raises ``ProblemError``: ``file-not-a-file``, ``ledger-sqlite-old``, ``ledger-newer``,
    ``ledger-not-ours``, ``ledger-busy``, ``ledger-read-only`` (there is none, and none can be
    made), ``ledger-no-room``, ``ledger-damaged``, ``ledger-unreadable``.
    """
    if os.path.lexists(file) and not os.path.isfile(file):
        message = "this is there, and no regular file"
        raise refused("file-not-a-file", message, "move it away; nothing was written", file)
    if sqlite3.sqlite_version_info < LEAST_SQLITE:
        found, least = sqlite3.sqlite_version, ".".join(map(str, LEAST_SQLITE))
        message = f"this Python comes with SQLite {found}; the ledger needs {least} or later"
        raise refused("ledger-sqlite-old", message, "install a newer Python")
    with telling(file):
        if _may_write(file):
            try:
                return _open_to_write(file), True
            except sqlite3.OperationalError:
                # Even to look, SQLite lays its shared memory beside the file.
                if not file.exists() or shutil.disk_usage(file.parent).free > FULL:
                    raise
                return _open_to_read(file), False
        if not file.exists():
            message = "there is no ledger here yet, and the folder is write-protected"
            mend = "copy the campaign to where you may write"
            raise refused("ledger-read-only", message, mend, file)
        return _open_to_read(file), False


def _may_write(file: Path) -> bool:
    """Tell whether the system would let us write; a write-protected disk says no to everybody."""
    if file.exists() and not os.access(file, os.W_OK):
        return False
    return os.access(file.parent, os.W_OK) or not file.parent.exists()


def _open_to_write(file: Path) -> sqlite3.Connection:
    database = _plain(file)
    try:
        _refuse_strangers(database, file)
        migrate(database, file)
        _settle_journal(database, file)
    except BaseException:
        database.close()
        raise
    return database


def _plain(file: Path | str, *, uri: bool = False) -> sqlite3.Connection:
    """Return a connection that begins nothing by itself and forces what it commits to the disk."""
    database = sqlite3.connect(str(file), timeout=WAIT_S, isolation_level=None, uri=uri)
    try:
        database.execute("PRAGMA foreign_keys = ON")
        database.execute("PRAGMA trusted_schema = OFF")  # no function that its tables name runs
        database.execute("PRAGMA synchronous = EXTRA")  # the folder's entry of the journal too
    except BaseException:
        database.close()
        raise
    return database


def _number(database: sqlite3.Connection, pragma: str) -> int:
    return int(database.execute(f"PRAGMA {pragma}").fetchone()[0])


def _refuse_strangers(database: sqlite3.Connection, file: Path) -> None:
    """Refuse another program's database, and a ledger of a newer Loftwright."""
    found = _number(database, "application_id")
    empty = database.execute("SELECT count(*) FROM sqlite_master").fetchone()[0] == 0
    if found != APPLICATION and not (found == 0 and empty):
        message = "this is the database of another program"
        raise refused("ledger-not-ours", message, "move it away; nothing was written", file)
    # What runs by itself when something is read or written: a campaign may come from anybody.
    own = "SELECT name FROM sqlite_master WHERE type IN ('trigger', 'view')"
    if foreign := database.execute(own).fetchone():
        message = f"this ledger has a part that Loftwright never makes: {str(foreign[0])[:40]}"
        mend = "take the flights in anew, or import an export of it; nothing was written"
        raise refused("ledger-not-ours", message, mend, file)
    version = _number(database, "user_version")
    if version > VERSION:
        message = (
            f"a newer Loftwright wrote this ledger (version {version}; this one knows {VERSION})"
        )
        mend = "bring Loftwright up to date; nothing was written"
        raise refused("ledger-newer", message, mend, file)


def migrate(database: sqlite3.Connection, file: Path | None, upto: int = VERSION) -> None:
    """Bring a ledger up to version ``upto``, step by step, each whole or not at all.

    Before the first step a copy of a ledger that holds something is laid beside it (`backup_of`).
    """
    version = _number(database, "user_version")
    if 0 < version < upto and file is not None:
        _back_up(database, file, version)
    for number in range(version, upto):
        database.execute("BEGIN IMMEDIATE")
        try:
            if _number(database, "user_version") == number:  # no other program was first
                _step(database, number)
            database.execute("COMMIT")
        except BaseException:
            database.execute("ROLLBACK")
            raise


def _step(database: sqlite3.Connection, number: int) -> None:
    for statement in STEPS[number]:
        database.execute(statement)
    database.execute(f"PRAGMA user_version = {number + 1}")
    database.execute(f"PRAGMA application_id = {APPLICATION}")


def backup_of(file: Path, version: int) -> Path:
    """Return where the copy lies that is made before a ledger leaves ``version``."""
    return file.with_name(f"{file.stem}-version-{version}{file.suffix}")


def _back_up(database: sqlite3.Connection, file: Path, version: int) -> None:
    """Lay a copy beside the ledger, whole or not at all; one that is there already stays."""
    from loftwright.documents.files import sync_folder

    target = backup_of(file, version)
    if target.exists():
        return
    draft = target.with_name(f".{target.name}.{os.getpid()}.part")
    draft.unlink(missing_ok=True)
    try:
        database.execute("VACUUM INTO ?", (str(draft),))
        with closing(sqlite3.connect(draft)) as copy:
            if _number(copy, "user_version") != version:
                return  # another program was first: its copy is the one of before
        with draft.open("r+b") as stream:
            os.fsync(stream.fileno())
        os.replace(draft, target)
        sync_folder(target.parent)
    finally:
        draft.unlink(missing_ok=True)


# ---------------------------------------------------------------- how changes reach the file


def _settle_journal(database: sqlite3.Connection, file: Path) -> None:
    """Set how changes reach the file; where another program is in it, its way stays."""
    wanted = "delete" if is_shared(file.parent) else "wal"
    if database.execute("PRAGMA journal_mode").fetchone()[0] == wanted:
        return
    with suppress(sqlite3.OperationalError):  # busy, or a file system that cannot: either is safe
        database.execute(f"PRAGMA journal_mode = {wanted}")


def is_shared(folder: Path, mounts: str | None = None) -> bool:
    """Tell whether a folder lies on a network, or is copied to elsewhere while in use.

    ``mounts`` is the text of ``/proc/self/mounts``; the system's when left out.
    """
    real = Path(os.path.realpath(folder))
    if any(word in part.lower() for part in real.parts for word in _COPIED):
        return True
    if sys.platform == "win32":
        return _is_network_drive(real)
    if mounts is None:
        with suppress(OSError):
            mounts = Path("/proc/self/mounts").read_text(encoding="utf-8", errors="replace")
    return _file_system(real, mounts or "") in _NETWORK


def _file_system(folder: Path, mounts: str) -> str:
    """Return the kind of the file system that ``folder`` lies on; empty where it is not told."""
    deepest, kind = -1, ""
    for line in mounts.splitlines():
        parts = line.split()
        if len(parts) < 3:
            continue
        point = Path(parts[1].replace("\\040", " "))
        if folder.is_relative_to(point) and len(point.parts) >= deepest:
            deepest, kind = len(point.parts), parts[2]
    return kind


def _is_network_drive(folder: Path) -> bool:
    """Ask Windows (GetDriveTypeW: 4 is a network drive); a path by the server's name is one."""
    if folder.anchor.startswith("\\\\"):
        return True
    import ctypes

    library = getattr(ctypes, "windll", None)
    return library is not None and library.kernel32.GetDriveTypeW(folder.anchor) == 4


# ---------------------------------------------------------------- reading what cannot be written


def _open_to_read(file: Path) -> sqlite3.Connection:
    """Open a ledger that must not be written; what only a writer could read is copied first."""
    with file.open("rb") as stream:
        head = stream.read(100)
    log = file.with_name(f"{file.name}-wal")
    pending = log.exists() and log.stat().st_size > 0
    if not pending:
        how = "immutable=1" if head[18:20] == _WAL_MARK else "mode=ro"
        database = _plain(f"{file.resolve().as_uri()}?{how}", uri=True)
        try:
            _refuse_strangers(database, file)
            if _number(database, "user_version") == VERSION:
                return database
        except BaseException:
            database.close()
            raise
        database.close()
    return _scratch(file, log if pending else None)


def _scratch(file: Path, log: Path | None) -> sqlite3.Connection:
    """Return a copy in memory, up to date, of a ledger that lies where nothing can be written."""
    memory = _plain(":memory:")
    with tempfile.TemporaryDirectory(prefix="loftwright-") as folder:
        copy = Path(folder) / FILE
        shutil.copyfile(file, copy)
        if log is not None:
            shutil.copyfile(log, copy.with_name(f"{FILE}-wal"))
        with closing(_plain(copy)) as database:
            _refuse_strangers(database, file)
            database.backup(memory)
    migrate(memory, None)
    return memory


@contextmanager
def writing(database: sqlite3.Connection) -> Iterator[sqlite3.Connection]:
    """Do several changes whole or not at all; nobody else writes meanwhile.

    What is done within is acknowledged when this ends without an exception, and not before.
    """
    database.execute("BEGIN IMMEDIATE")
    try:
        yield database
        database.execute("COMMIT")
    except BaseException:
        if database.in_transaction:
            database.execute("ROLLBACK")
        raise
