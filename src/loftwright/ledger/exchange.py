"""The whole ledger as plain files, and back: JSON, CSV and the documents as they were written.

A folder made by `export_to` holds one JSON file for each table (a list of its entries, by their
keys), the same as CSV to be looked at, and ``documents/`` with every document under its digest.
The same ledger always makes the same bytes.
"""

from __future__ import annotations

import csv
import hashlib
import io
import json
import os
import secrets
import shutil
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from loftwright.documents.cells import cell
from loftwright.documents.files import read_regular, sync_folder
from loftwright.ledger.contents import Contents
from loftwright.ledger.ledger import Ledger
from loftwright.ledger.problems import refused
from loftwright.ledger.schema import VERSION

__all__ = ["TABLES", "content", "export_to", "import_from"]

# Every table but the documents, in an order in which none leads to a later one; with the columns
# that its entries are told apart, and ordered, by.
TABLES: dict[str, tuple[str, ...]] = {
    "build": ("sha256",),
    "build_document": ("build", "file"),
    "flight": ("name",),
    "evidence": ("flight", "file", "sha256"),
    "finding": ("number",),
    "finding_evidence": ("finding", "flight", "file", "sha256"),
    "action": ("number",),
    "decision": ("number",),
    "decision_evidence": ("decision", "flight", "file", "sha256"),
    "judgement": ("number",),
    "figure": ("flight", "name", "made_by"),
}
DOCUMENTS, HEAD = "documents", "ledger.json"
LARGEST = 256 << 20  # bytes of one file of an export
_FORM = "loftwright/ledger-export/1"


def content(ledger: Contents) -> dict[str, list[dict[str, Any]]]:
    """Return every entry of every table but the documents, in order."""
    return {name: list(_entries(ledger, name)) for name in TABLES}


def _entries(ledger: Contents, table: str) -> Iterator[dict[str, Any]]:
    columns = [row[1] for row in ledger.rows(f"PRAGMA table_info({table})")]
    named = ", ".join(f'"{column}"' for column in columns)
    for row in ledger.rows(f"SELECT {named} FROM {table} ORDER BY {', '.join(TABLES[table])}"):
        yield dict(zip(columns, row, strict=True))


def export_to(ledger: Contents, folder: Path) -> list[Path]:
    """Write the whole ledger into a new ``folder``, all of it or nothing; return its files.

    Raises ``ProblemError``: ``file-exists`` when something is there, ``file-not-written``.
    """
    if os.path.lexists(folder) and not (folder.is_dir() and not any(folder.iterdir())):
        mend = "name a folder that is not there yet"
        raise refused("file-exists", "something is there already", mend, folder)
    draft = folder.with_name(f".{folder.name}.{secrets.token_hex(4)}.part")
    try:
        (draft / DOCUMENTS).mkdir(parents=True)
        for name, text in _files(ledger):
            _put(draft / name, text)
        if folder.is_dir():
            folder.rmdir()
        os.replace(draft, folder)
        sync_folder(folder.parent)
    except OSError as error:
        message = f"the folder cannot be written: {error.strerror or error}"
        mend = "see whether the disk may be written to and has room"
        raise refused("file-not-written", message, mend, folder) from error
    finally:
        shutil.rmtree(draft, ignore_errors=True)
    return sorted(path for path in folder.rglob("*") if path.is_file())


def _put(path: Path, content: str | bytes) -> None:
    """Write a new file and force it to the disk; the whole folder takes its place in one step."""
    with path.open("xb") as stream:
        stream.write(content.encode("utf-8") if isinstance(content, str) else content)
        stream.flush()
        os.fsync(stream.fileno())


def _files(ledger: Contents) -> Iterator[tuple[str, str | bytes]]:
    """Yield the name and the content of every file of an export."""
    entries = content(ledger)
    counts = {name: len(each) for name, each in entries.items()}
    yield HEAD, _json({"form": _FORM, "version": VERSION, "entries": counts})
    for name, rows in entries.items():
        yield f"{name}.json", _json(rows)
        yield f"{name}.csv", _csv(rows)
    for sha256, text in ledger.rows("SELECT sha256, content FROM document ORDER BY sha256"):
        yield f"{DOCUMENTS}/{sha256}.toml", bytes(text)


def _json(value: Any) -> str:
    return json.dumps(value, indent=1, ensure_ascii=False, allow_nan=False) + "\n"


def _csv(rows: list[dict[str, Any]]) -> str:
    out = io.StringIO()
    if rows:
        writer = csv.DictWriter(out, list(rows[0]), lineterminator="\n")
        writer.writeheader()
        writer.writerows({key: cell(each) for key, each in row.items()} for row in rows)
    return out.getvalue()


# ---------------------------------------------------------------- back


def import_from(ledger: Ledger, folder: Path) -> int:
    """Put a whole export into an empty ledger, all of it or nothing; return how many entries.

    Raises ``ProblemError``: ``ledger-not-empty``; ``ledger-export-unfit`` when the folder is no
    export, is not whole, or its entries do not fit together; ``ledger-newer``; and as
    `Ledger.writing`.
    """
    rows = _read(folder)
    with ledger.writing() as database:
        if any(content(ledger).values()):
            message = "there are entries in this ledger already"
            mend = "import into a campaign whose ledger is empty; move ledger.sqlite aside first"
            raise refused("ledger-not-empty", message, mend, ledger.file)
        for path in sorted((folder / DOCUMENTS).glob("*.toml")):
            database.execute("INSERT INTO document VALUES (?, ?)", (path.stem, _document(path)))
        for table, entries in rows.items():
            known = [row[1] for row in database.execute(f"PRAGMA table_info({table})")]
            for entry in entries:
                _insert(database, table, known, entry, folder)
    return sum(map(len, rows.values()))


def _insert(
    database: Any, table: str, known: list[str], entry: Mapping[str, Any], folder: Path
) -> None:
    import sqlite3

    if unknown := sorted(set(entry) - set(known)):
        raise _unfit(folder / f"{table}.json", f"entries have no {unknown[0]!r}")
    try:
        columns = ", ".join(f'"{name}"' for name in entry)
        marks = ", ".join("?" for _ in entry)
        values = tuple(entry.values())
        database.execute(f"INSERT INTO {table} ({columns}) VALUES ({marks})", values)
    except (sqlite3.IntegrityError, sqlite3.ProgrammingError, OverflowError) as error:
        raise _unfit(folder / f"{table}.json", f"an entry does not fit: {error}") from error


def _read(folder: Path) -> dict[str, list[dict[str, Any]]]:
    """Return the entries of an export by table, as far as they have the form of entries."""
    head = _loaded(folder / HEAD)
    if not isinstance(head, dict) or head.get("form") != _FORM:
        raise _unfit(folder / HEAD, "this is no export of a ledger")
    if not isinstance(head.get("version"), int):
        raise _unfit(folder / HEAD, "it does not say of which version it is")
    if head["version"] > VERSION:
        message = "a newer Loftwright wrote this export"
        raise refused("ledger-newer", message, "bring Loftwright up to date", folder / HEAD)
    counts = head.get("entries")
    found: dict[str, list[dict[str, Any]]] = {}
    if not isinstance(counts, dict):
        raise _unfit(folder / HEAD, "it does not say how many entries there are")
    for table in TABLES:
        if head["version"] < VERSION and table not in counts:
            found[table] = []  # a table that came later
            continue
        path = folder / f"{table}.json"
        rows = _loaded(path)
        if not isinstance(rows, list) or not all(isinstance(each, dict) for each in rows):
            raise _unfit(path, "this is no list of entries")
        if counts.get(table) != len(rows):
            raise _unfit(path, "entries are missing, or there are too many")
        found[table] = rows
    return found


def _loaded(path: Path) -> Any:
    try:
        return json.loads(read_regular(path, LARGEST).decode("utf-8"))
    except (ValueError, RecursionError) as error:
        raise _unfit(path, f"this is no JSON: {error}") from error


def _document(path: Path) -> bytes:
    text = read_regular(path, LARGEST)
    if hashlib.sha256(text).hexdigest() != path.stem:
        raise _unfit(path, "this document is not the one that its name says")
    return text


def _unfit(path: Path, message: str) -> Exception:
    mend = "take the export again, or another copy of it; nothing was written"
    return refused("ledger-export-unfit", message, mend, path)
