"""What differs between two builds: field by field, in the words of their documents."""

from __future__ import annotations

import re
import tempfile
import tomllib
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from loftwright.documents.campaign import Campaign
from loftwright.documents.differences import (
    Difference,
    differences,
    program_differences,
    program_texts,
    texts,
)
from loftwright.documents.reading import read_campaign
from loftwright.errors import ProblemError

__all__ = [
    "ReadBuild",
    "build_changes",
    "changes_between",
    "documents_of",
    "is_spread_only",
    "read_build",
]

_SPREAD = re.compile(r"\s*(?:±|\+/-).*$", re.DOTALL)


def documents_of(folder: Path) -> dict[str, bytes]:
    """Return the documents of a campaign as they stand in its folder, by file.

    Raises ``ProblemError`` as `read_campaign`.
    """
    campaign = read_campaign(folder)
    return {file: (campaign.folder / file).read_bytes() for file in campaign.hashes}


@dataclass(frozen=True, slots=True)
class ReadBuild:
    """A build, read once to be held against several; ``campaign`` is None where it does not read.

    ``texts`` are what stands in its documents and programs, by the path of each field.
    """

    documents: Mapping[str, bytes]
    campaign: Campaign | None = None
    texts: tuple[Mapping[str, str], Mapping[str, str]] = ({}, {})


def read_build(documents: Mapping[str, bytes]) -> ReadBuild:
    """Read the documents of a build, given by file, as `read_campaign` reads a folder."""
    try:
        with _laid_out(documents) as folder:
            campaign = read_campaign(folder)
            return ReadBuild(documents, campaign, (texts(campaign), program_texts(campaign)))
    except ProblemError:
        return ReadBuild(documents)


def build_changes(one: Mapping[str, bytes], other: Mapping[str, bytes]) -> list[Difference]:
    """Return what differs between two builds, given as documents by file; see `changes_between`."""
    return [] if dict(one) == dict(other) else changes_between(read_build(one), read_build(other))


def changes_between(one: ReadBuild, other: ReadBuild) -> list[Difference]:
    """Return what differs between two builds.

    Where either is in a form that this version does not read any more, their texts are compared
    place by place; paths then begin with the names of files.
    """
    if dict(one.documents) == dict(other.documents):
        return []
    if one.campaign is None or other.campaign is None:
        return list(_by_text(one.documents, other.documents))
    pair = one.campaign, other.campaign
    found = differences(*pair, one.texts[0], other.texts[0])
    return found + program_differences(*pair, one.texts[1], other.texts[1])


def is_spread_only(change: Difference) -> bool:
    """Tell whether only the uncertainty of a value changed, and not the value."""
    if change.one is None or change.other is None:
        return False
    return _SPREAD.sub("", change.one) == _SPREAD.sub("", change.other)


@contextmanager
def _laid_out(documents: Mapping[str, bytes]) -> Iterator[Path]:
    """Lay documents out in a folder of their own, as they flew."""
    with tempfile.TemporaryDirectory(prefix="loftwright-") as name:
        folder = Path(name).resolve()
        for file, content in documents.items():
            path = (folder / file).resolve()
            if path.is_relative_to(folder):  # a name that leaves the folder is not followed
                path.parent.mkdir(parents=True, exist_ok=True)
                path.write_bytes(content)
        yield folder


def _by_text(one: Mapping[str, bytes], other: Mapping[str, bytes]) -> Iterator[Difference]:
    for file in dict.fromkeys([*one, *other]):
        if file == "campaign.toml":
            continue
        mine, theirs = (dict(_parts(documents.get(file))) for documents in (one, other))
        root = file.removesuffix(".toml").replace("program-", "program.", 1)
        for path in dict.fromkeys([*mine, *theirs]):
            if mine.get(path) != theirs.get(path):
                yield Difference(f"{root}{path}", mine.get(path), theirs.get(path))


def _parts(content: bytes | None) -> Iterator[tuple[str, str]]:
    """Yield every value of a document with its path; the whole text of what is no TOML."""
    if content is None:
        return
    try:
        yield from _leaves(tomllib.loads(content.decode("utf-8-sig")), "")
    except ValueError:
        yield "", content.decode("utf-8", "replace")


def _leaves(value: Any, path: str) -> Iterator[tuple[str, str]]:
    if isinstance(value, Mapping):
        for word, each in value.items():
            yield from _leaves(each, f"{path}.{word}")
    elif isinstance(value, list):
        for index, each in enumerate(value):
            yield from _leaves(each, f"{path}.{index}")
    else:
        yield path, str(value)
