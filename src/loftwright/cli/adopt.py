"""``loftwright adopt``."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from loftwright.cli.options import campaign_folder, json_option

if TYPE_CHECKING:
    from loftwright.errors import ProblemError
    from loftwright.rehearsal.results import Writing

__all__ = ["Adoptable", "adoptable", "command", "read_answer", "writings_in"]

LARGEST = 64 * 2**20  # bytes of an answer
Adoptable = tuple[str, list[dict[str, Any]]]  # what it is called, and what it writes


@click.command("adopt")
@campaign_folder
@click.argument("answer", metavar="ANSWER", type=click.Path(path_type=Path, dir_okay=False))
@click.argument("number", metavar="NUMBER", type=click.IntRange(min=1))
@json_option
def command(folder: Path, answer: Path, number: int, as_json: bool) -> None:
    """Write a change that was tried into the documents of the campaign in DIR.

    ANSWER is what `rehearse --json` or `tune --json` wrote; NUMBER counts its mends, or its
    settings, from 1. Nothing is written where a document has changed since.
    """
    from loftwright.documents.flights import home_of
    from loftwright.rehearsal.adopting import adopt

    found, based_on = adoptable(read_answer(answer))
    if number > len(found):
        raise _refused(str(number), f"there are {len(found)} changes in this answer")
    what, writes = found[number - 1]
    home = home_of(folder)
    adopt(home, writings_in(writes), what, based_on)
    files = [str(each["file"]) for each in writes]
    if as_json:
        from loftwright.cli.answers import emit

        emit("adopt", {"what": what, "documents": files})
        return
    from loftwright.errors.render import printable

    click.echo(f"Written into {', '.join(map(printable, files))}: {printable(what, 200)}")
    click.echo(f"Take it back: loftwright undo {folder}")


def adoptable(answer: dict[str, Any]) -> tuple[list[Adoptable], dict[str, str]]:
    """Return the changes of an answer in their order, and the documents that they were tried on.

    Raises ``ProblemError`` for an answer that has none.
    """
    try:
        made = {str(k): str(v) for k, v in answer["provenance"]["documents_sha256"].items()}
        if "mends" in answer:
            return [(str(each["words"]), list(each["writes"])) for each in answer["mends"]], made
        return [(_turned(each), list(each["writes"])) for each in answer["settings"]], made
    except (KeyError, TypeError, AttributeError):
        raise _refused("ANSWER", "no change that was tried stands in this file") from None


def _turned(setting: dict[str, Any]) -> str:
    return ", ".join(f"{path} = {said}" for path, said in setting["says"].items())


def writings_in(writes: list[dict[str, Any]]) -> list[Writing]:
    """Return what an answer says is to be written. Raises ``ProblemError`` where it is damaged."""
    from loftwright.rehearsal.results import Writing

    try:
        return [
            Writing(
                str(each["file"]),
                {str(path): _value(value) for path, value in each["set"].items()},
                str(each["add"]),
                bool(each["new"]),
            )
            for each in writes
        ]
    except (KeyError, TypeError, AttributeError):
        raise _refused("ANSWER", "what is to be written cannot be read") from None


def _value(value: Any) -> str | int:
    return value if isinstance(value, int) else str(value)


def read_answer(path: Path) -> dict[str, Any]:
    """Return the answer that a command wrote. Raises ``ProblemError`` for what is none."""
    import json

    from loftwright.documents.files import read_regular

    try:
        found = json.loads(read_regular(path, LARGEST))
    except (ValueError, RecursionError):
        raise _refused(str(path), "this is no answer of a command") from None
    if not isinstance(found, dict):
        raise _refused(str(path), "this is no answer of a command")
    return found


def _refused(value: str, message: str) -> ProblemError:
    from loftwright.errors import Problem, ProblemError, Where

    mend = "give what `loftwright rehearse DIR --json` or `loftwright tune DIR --json` wrote"
    return ProblemError([Problem("adopt-answer", message, Where(value=value[:80]), mend)])
