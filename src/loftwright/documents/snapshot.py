"""The documents of a campaign as they were when a flight was flown: kept byte for byte."""

from __future__ import annotations

import hashlib
import os
import secrets
import shutil
from collections.abc import Mapping
from pathlib import Path

from loftwright.documents.campaign import Campaign
from loftwright.documents.files import sync_folder
from loftwright.documents.source import LARGEST
from loftwright.documents.template import make_folder
from loftwright.errors import Problem, ProblemError, Where

__all__ = ["READ_ONLY", "snapshot_digest", "take_snapshot"]

READ_ONLY = 0o444


def snapshot_digest(hashes: Mapping[str, str]) -> str:
    """Return one SHA-256 over documents: their names and digests, in the order of the names."""
    lines = (f"{name}\0{hashes[name]}\n" for name in sorted(hashes))
    return hashlib.sha256("".join(lines).encode("utf-8")).hexdigest()


def take_snapshot(campaign: Campaign, target: Path) -> str:
    """Copy every document of ``campaign`` into the new folder ``target``; return their digest.

    The folder appears whole or not at all, and its files can only be read. Raises ``ProblemError``
    where a document has changed since the campaign was read, where ``target`` is there already,
    and where it cannot be written.
    """
    if os.path.lexists(target):
        message, mend = "this is there already, and stays as it is", "give the flight another name"
        raise ProblemError([Problem("record-there", message, Where(file=str(target)), mend)])
    make_folder(target.parent)
    draft = target.with_name(f".{target.name}.{secrets.token_hex(4)}.part")
    try:
        draft.mkdir()
        for name, digest in campaign.hashes.items():
            _copy(campaign.folder / name, draft / name, name, digest)
        for folder in {draft, *((draft / name).parent for name in campaign.hashes)}:
            sync_folder(folder)
        os.rename(draft, target)
        sync_folder(target.parent)
    except OSError as error:
        message = f"the documents cannot be kept: {error.strerror or error}"
        mend = "see whether the folder may be written to and has room"
        where = Where(file=str(target))
        raise ProblemError([Problem("file-not-written", message, where, mend)]) from error
    finally:
        shutil.rmtree(draft, ignore_errors=True)
    return snapshot_digest(campaign.hashes)


def _copy(original: Path, copy: Path, name: str, digest: str) -> None:
    """Copy a document whose bytes must be those that were read."""
    with original.open("rb") as stream:
        content = stream.read(LARGEST + 1)
    if hashlib.sha256(content).hexdigest() != digest:
        message = "the document has been changed in this moment"
        mend = "finish what is writing it, and run the same command again"
        raise ProblemError([Problem("record-changed", message, Where(file=name), mend)])
    copy.parent.mkdir(parents=True, exist_ok=True)
    with copy.open("xb") as stream:
        stream.write(content)
        stream.flush()
        os.fsync(stream.fileno())
    copy.chmod(READ_ONLY)
