"""The commands that pages show, taken apart by the command line's own declarations."""

from __future__ import annotations

import html
import json
import re
import shlex
from typing import Any

import click

from loftwright.cli.main import ask, verbs

__all__ = ["answer_of", "parsed", "read_text", "shown_in"]


def parsed(command: str) -> click.Context:
    """Return what the command line makes of a command; nothing is run.

    Raises ``click.ClickException`` for one that is none.
    """
    program, *words = shlex.split(command)
    assert program == "loftwright", command
    found: click.Command = verbs
    while isinstance(found, click.Group):
        below = found.get_command(click.Context(found), words[0])
        assert below is not None, command
        found, words = below, words[1:]
    return found.make_context(command, words)


def answer_of(command: str) -> dict[str, Any]:
    """Run a shown command with ``--json`` behind it, and return its answer."""
    code, answer = ask([*shlex.split(command)[1:], "--json"])
    assert code in (0, 1), answer
    found: dict[str, Any] = json.loads(answer)
    return found


def shown_in(page: str) -> list[str]:
    """Return the commands that a page shows, those to be copied first."""
    copied = re.findall(r'data-copy="([^"]*)"', page)
    said = re.findall(r"<code>(loftwright [^<]*)</code>", page)
    return [html.unescape(each) for each in dict.fromkeys([*copied, *said])]


def read_text(page: str) -> str:
    """Return what a page says, with common blanks only."""
    main = page[page.find("<main") :]
    plain = re.sub(
        r"<[^>]*>", " ", re.sub(r"<(style|script)\b.*?</\1>", " ", main, flags=re.DOTALL)
    )
    return re.sub(r"[\s\u00a0\u202f]+", " ", html.unescape(plain))
