"""Asking whether what ``loftwright record`` makes of a file is right."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from loftwright.documents.readings import Reading
    from loftwright.evidence.taking import Looked, Told

__all__ = ["prepare"]


def prepare(original: Path, told: Told, readings: Sequence[Reading], *, accepts: bool) -> Looked:
    """Propose a kind and a reading of a file; ask where a terminal is there.

    ``accepts`` takes what is proposed unasked. Raises ``ProblemError`` where the file cannot be
    read as what it is, where something is in doubt and nobody can be asked, and where the proposal
    was refused.
    """
    from loftwright.cli.progress import Progress
    from loftwright.evidence.taking import look_into

    progress = Progress("bytes")
    try:
        looked = look_into(original, told, readings, progress=progress)
    finally:
        progress.finish()
    if not accepts:
        _settle(looked)
    return looked


def _settle(looked: Looked) -> None:
    """Have what is proposed accepted: by a person, or by there being no doubt."""
    import sys

    from loftwright.errors import Problem, ProblemError, Where

    doubts = looked.doubts
    answers = sys.stdin is not None and sys.stdin.isatty() and sys.stderr.isatty()
    if not doubts and (not answers or looked.reading is not None):
        return
    if answers:
        click.echo("\n".join(_shown(looked)), err=True)
        if click.confirm("Is this right?", default=not doubts, err=True):
            return
        message, code = "you did not accept what was proposed; nothing was kept", "record-doubt"
    else:
        message, code = f"in doubt is {'; '.join(doubts)}", "record-doubt"
    where = Where(file=str(looked.original))
    raise ProblemError([Problem(code, message, where, _MEND)])


_MEND = (
    "say what it is: --as, and --time, --pressure, --height, --push with a column's name or "
    "number, --unit COLUMN=UNIT; or accept what is proposed with --yes"
)


def _shown(looked: Looked) -> Iterator[str]:
    from loftwright.errors.render import printable

    yield f"{looked.original.name}: {looked.kind}; {printable(looked.why, 200)}"
    yield from (f"  {printable(line, 300)}" for line in looked.said)
    for doubt in looked.doubts:
        yield f"  In doubt: {printable(doubt, 300)}"
