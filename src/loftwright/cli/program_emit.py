"""``loftwright program emit-c``."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from loftwright.cli.options import json_option

if TYPE_CHECKING:
    from loftwright.errors import Problem as AnyProblem
    from loftwright.program.reading import ReadProgram

__all__ = ["command", "phrases_of"]

LARGEST = 16 * 2**20  # bytes of an emitted file that is read to be known again


@click.command("emit-c")
@click.argument("file", metavar="FILE", type=click.Path(path_type=Path))
@click.argument("folder", metavar="DIR", type=click.Path(path_type=Path))
@click.option(
    "--name",
    metavar="WORD",
    help="What the names of files and functions begin with; the program's name when left out.",
)
@json_option
def command(file: Path, folder: Path, name: str | None, as_json: bool) -> None:
    """Write the release program in FILE as C99 into DIR, to be called from a controller's own loop.

    It decides what the rehearsed program decides, to the bit. Files that were emitted before are
    replaced, others never. Whoever flies it tests it first, with people clear.
    """
    from loftwright.program.emit import emit
    from loftwright.program.reading import read_program

    read = read_program(file)
    files = emit(read.table, name, phrases_of(read))
    _write(folder, files)
    if as_json:
        from loftwright.cli.answers import emit as answer

        answer(
            "program-emit-c", {"program": read.program.name, "folder": folder, "files": [*files]}
        )
        return
    click.echo(f"Written to {folder}: {', '.join(files)}")
    click.echo("Read README.md there before it flies: how to call it, and how to test it.")


def phrases_of(read: ReadProgram) -> dict[tuple[int, int], str]:
    """Return the conditions as they were written, by the numbers of stage and way."""
    return {
        (stage, way): each.when
        for stage, holder in enumerate(read.program.stage)
        for way, each in enumerate(holder.way)
        if each.when
    }


def _write(folder: Path, files: dict[str, str]) -> None:
    """Write all files, or none where one would take the place of something else."""
    from loftwright.documents.files import write_atomically
    from loftwright.documents.template import make_folder
    from loftwright.errors import ProblemError

    make_folder(folder)
    if problems := [each for name in files for each in _refusals(folder / name)]:
        raise ProblemError(problems)
    for name, text in files.items():
        write_atomically(folder / name, text)


def _refusals(path: Path) -> list[AnyProblem]:
    """Return the problem of a file that stands there and was not emitted."""
    from loftwright.documents.files import read_regular
    from loftwright.errors import Problem, ProblemError, Where
    from loftwright.program.emit import is_emitted

    if not path.exists():
        return []
    mend = "choose another folder; nothing was written"
    try:
        ours = is_emitted(read_regular(path, LARGEST))
    except ProblemError as error:
        return list(error.problems)
    where = Where(file=str(path))
    message = "the file exists already, and is not one that was emitted"
    return [] if ours else [Problem("file-exists", message, where, mend)]
