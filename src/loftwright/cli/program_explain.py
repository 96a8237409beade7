"""``loftwright program explain``."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from loftwright.cli.options import json_option

if TYPE_CHECKING:
    from loftwright.program.reading import ReadProgram

__all__ = ["command"]


@click.command("explain")
@click.argument("where", metavar="FILE", type=click.Path(path_type=Path))
@json_option
def command(where: Path, as_json: bool) -> None:
    """Read the program in FILE, or all programs of a campaign folder, out in plain language.

    It speaks in the units of the campaign; a program that lies in none is told as it was written.
    After the words come its stages as a diagram: what each does, and the ways out of it in order.
    """
    from loftwright.documents.named import units_beside
    from loftwright.program.reading import program_files, read_program

    found = [read_program(file, name) for name, file in program_files(where).items()]
    system = units_beside(where)
    if as_json:
        _answer(found, system)
        return
    for number, read in enumerate(found):
        if number:
            click.echo()
        _print(read, system)


def _answer(found: list[ReadProgram], system: str | None) -> None:
    from loftwright.cli.answers import emit
    from loftwright.program.words import diagram, program_words

    programs = [
        {
            "file": read.source.file,
            "name": read.program.name,
            "words": [
                {"heading": heading, "sentences": said}
                for heading, said in program_words(read, system)
            ],
            "diagram": diagram(read, system),
        }
        for read in found
    ]
    emit("program-explain", {"programs": programs})


def _print(read: ReadProgram, system: str | None) -> None:
    import shutil
    import textwrap

    from loftwright.errors.render import printable
    from loftwright.program.words import diagram, program_words
    from loftwright.report.terminal import can_show

    out = sys.stdout
    columns = shutil.get_terminal_size().columns if out.isatty() else 100
    click.echo(f"{printable(read.program.name)}  ({read.source.file})")
    for heading, said in program_words(read, system):
        click.echo(f"\n{printable(heading)}")
        for sentence in said:
            wrapped = textwrap.wrap(printable(sentence, 600), max(columns - 4, 40))
            click.echo("\n".join([f"  {wrapped[0]}", *(f"    {line}" for line in wrapped[1:])]))
    click.echo("\nThe stages\n")
    for line in diagram(read, system, plain=not can_show(sys.stdout, "├─▶")):
        click.echo(f"  {printable(line, 400)}".rstrip())
