"""The files that a command writes: refused before any work where one would cost the user a file."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:
    from loftwright.errors import Problem

__all__ = ["EVIDENCE", "Documents", "Outputs"]

EVIDENCE = "flights"  # folder of a campaign that holds what flights left behind

_MEND = "give a name of its own, outside the campaign's documents and records"


class Documents(Protocol):
    """Documents that must not be written over: a campaign, or a program by itself."""

    @property
    def folder(self) -> Path:
        """Where they lie."""

    @property
    def hashes(self) -> Mapping[str, str]:
        """Their names there, each with its digest."""


class Outputs:
    """Where to write what was asked for; every output of a command goes through one of these.

    ``asked`` maps options to paths, None for what was not asked for; ``folders`` likewise for what
    is a folder of files. Raises ``ProblemError`` for
    a path, links resolved, that is a document of the campaign, one of ``records``, a file inside
    the campaign's evidence, given twice, or there and no regular file; for a folder that leads into
    the evidence, or holds anything that was not kept there by the same option. ``written`` lists
    what has been written.
    """

    def __init__(
        self,
        asked: Mapping[str, Path | None],
        campaign: Documents,
        records: Sequence[Path] = (),
        folders: Mapping[str, Path | None] | None = None,
    ) -> None:
        self.paths = {option: path for option, path in asked.items() if path is not None}
        named = (folders or {}).items()
        self.folders = {option: path for option, path in named if path is not None}
        self.written: list[Path] = []
        problems = list(_refusals(self.paths, campaign, records))
        problems += _folder_refusals(self.folders, self.paths.values(), campaign)
        if problems:
            from loftwright.errors import ProblemError

            raise ProblemError(problems)

    def wants(self, option: str) -> bool:
        """Tell whether a file, or a folder, was asked for by ``option``."""
        return option in self.paths or option in self.folders

    def write(self, option: str, content: str | bytes) -> None:
        """Write the file of ``option``, whole or not at all."""
        from loftwright.documents.files import write_atomically

        write_atomically(self.paths[option], content)
        self.written.append(self.paths[option])

    def fill(self, option: str, fill: Callable[[Path], object]) -> None:
        """Write the file of ``option``, whole or not at all, by what fills an empty one."""
        from loftwright.documents.files import replacing

        with replacing(self.paths[option]) as draft:
            fill(draft)
        self.written.append(self.paths[option])

    def fill_folder(self, option: str, fill: Callable[[Path], Iterable[Path]]) -> None:
        """Fill the folder of ``option`` by what returns the files that it has written there."""
        self.written += fill(self.folders[option])


def _folder_refusals(
    folders: Mapping[str, Path], files: Iterable[Path], campaign: Documents
) -> Iterator[Problem]:
    from loftwright.errors import Problem, Where

    for option, path in folders.items():
        if message := _folder_refusal(path, files, campaign):
            where = Where(field=option, value=str(path))
            mend = "name a new folder, or one that this option has filled before"
            yield Problem("command-output", message, where, mend)


def _folder_refusal(path: Path, files: Iterable[Path], campaign: Documents) -> str:
    """Return why the folder ``path`` must not be filled; empty when it may."""
    target = Path(os.path.realpath(path))
    if os.path.lexists(target) and not os.path.isdir(target):
        return "this is there, and no folder"
    evidence = campaign.folder / EVIDENCE
    if any(_is_same(above, evidence) for above in (target, *target.parents)):
        return f"this is inside the campaign's evidence, {evidence}"
    from loftwright.cli.strips import are_ours, is_kept_name

    beside = {each.name for each in files if _is_same(each.parent, target)}
    if any(map(is_kept_name, beside)):
        return "another output would be written in place of one of the strips"
    if os.path.isdir(target) and not are_ours(target, beside):
        return "this folder holds other things"
    return ""


def _refusals(
    paths: Mapping[str, Path], campaign: Documents, records: Sequence[Path]
) -> Iterator[Problem]:
    from loftwright.errors import Problem, Where

    taken: dict[str, Path] = {}
    for option, path in paths.items():
        message = _refusal(path, campaign, records)
        twin = next((other for other, each in taken.items() if _is_same(path, each)), None)
        if not message and twin is not None:
            message = f"this file is to be written by {twin} already"
        taken[option] = path
        if message:
            where = Where(field=option, value=str(path))
            yield Problem("command-output", message, where, _MEND)


def _refusal(path: Path, campaign: Documents, records: Sequence[Path]) -> str:
    """Return why ``path`` must not be written to; empty when it may."""
    target = Path(os.path.realpath(path))
    if os.path.lexists(target) and not os.path.isfile(target):
        return "this is there, and no regular file"
    if _is_any_of(path, _documents(campaign)):
        return "this is a document of the campaign"
    if _is_any_of(path, campaign.folder.glob("ledger*.sqlite*")):
        return "this is the campaign's ledger, or a copy of it"
    if _is_any_of(path, records):
        return "this is one of the records to be read"
    evidence = campaign.folder / EVIDENCE
    if any(_is_same(above, evidence) for above in (target, *target.parents)):
        return f"this is inside the campaign's evidence, {evidence}"
    return ""


def _documents(campaign: Documents) -> Iterator[Path]:
    """Yield the campaign's documents, and others that lie beside them and may be its next ones."""
    yield from (campaign.folder / name for name in campaign.hashes)
    yield from campaign.folder.glob("*.toml")


def _is_any_of(path: Path, others: Iterable[Path]) -> bool:
    return any(_is_same(path, other) for other in others)


def _is_same(one: Path, other: Path) -> bool:
    """Tell whether two names lead to the same file, through links of either kind."""
    if os.path.realpath(one) == os.path.realpath(other):
        return True
    try:
        return os.path.samefile(one, other)
    except (OSError, ValueError):  # one of them does not exist, so they are two
        return False
