"""The strips of a report, each in a file, ``<n>.npz`` in the order of the page; an index."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Collection, Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from loftwright.cli.outputs import Outputs
    from loftwright.report.strip_model import Strip

__all__ = ["INDEX", "SCHEMA", "are_ours", "is_kept_name", "write_page"]

INDEX: Final = "index.json"
SCHEMA: Final = "loftwright/strips/1"
_KEPT: Final = re.compile(r"(0|[1-9][0-9]*)\.npz")
_MOST: Final = 1 << 20  # bytes of an index


def write_page(outputs: Outputs, make: Callable[[], str]) -> None:
    """Write the page that ``make`` makes by ``--report``, and its strips by ``--strips``.

    It is made once, and only where one of them is asked for.
    """
    if not outputs.wants("--strips"):
        if outputs.wants("--report"):
            outputs.write("--report", make())
        return
    from loftwright.report.drawn import gathered_strips

    with gathered_strips() as strips:
        page = make()
    if outputs.wants("--report"):
        outputs.write("--report", page)
    outputs.fill_folder("--strips", lambda folder: _keep(folder, strips))


def is_kept_name(name: str) -> bool:
    """Tell whether a file of this name is one that `write_page` writes."""
    return name == INDEX or _KEPT.fullmatch(name) is not None


def are_ours(folder: Path, beside: Collection[str] = ()) -> bool:
    """Tell whether a folder is empty, or holds strips that were kept there and nothing else.

    ``beside`` names files that may lie there as well.
    """
    names = {each.name for each in folder.iterdir()} - set(beside)
    if not names:
        return True
    return all(map(is_kept_name, names)) and _has_index(folder)


def _has_index(folder: Path) -> bool:
    try:
        with (folder / INDEX).open("rb") as stream:
            index = json.loads(stream.read(_MOST))
    except (OSError, ValueError, RecursionError):
        return False
    return isinstance(index, dict) and index.get("schema") == SCHEMA


def _keep(folder: Path, strips: Sequence[Strip]) -> Iterable[Path]:
    """Write each strip, then the index, then remove what an earlier, longer page has left."""
    from loftwright.documents.files import replacing, write_atomically
    from loftwright.report.strip_file import write_strip

    _make_folder(folder)
    written = [folder / f"{number}.npz" for number in range(len(strips))]
    for path, strip in zip(written, strips, strict=True):
        with replacing(path) as draft:
            write_strip(draft, strip)
    index = {
        "schema": SCHEMA,
        "strips": [
            {"file": path.name, "title": strip.title, "start_s": strip.start, "end_s": strip.end}
            for path, strip in zip(written, strips, strict=True)
        ],
    }
    write_atomically(folder / INDEX, json.dumps(index, indent=2, allow_nan=False) + "\n")
    for path in folder.iterdir():
        if _KEPT.fullmatch(path.name) and path not in written:
            path.unlink()
    return [*written, folder / INDEX]


def _make_folder(folder: Path) -> None:
    from loftwright.errors import Problem, ProblemError, Where

    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        message = f"the folder cannot be made: {error.strerror or error}"
        where, mend = Where(file=str(folder)), "see whether the folder above may be written to"
        raise ProblemError([Problem("file-not-written", message, where, mend)]) from error
