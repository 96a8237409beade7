"""``loftwright explain``."""

from __future__ import annotations

from dataclasses import asdict

import click

from loftwright.cli.options import json_option

__all__ = ["command"]


@click.command("explain")
@click.argument("code", required=False)
@json_option
def command(code: str | None, as_json: bool) -> None:
    """Show what CODE means, why it matters and how to mend it; without CODE, list all codes."""
    from loftwright.errors import catalogue

    if code is None:
        _list(as_json)
        return
    entry = catalogue.find(code)
    if entry is None:
        raise _unknown(code)
    if as_json:
        from loftwright.cli.answers import emit

        emit("explain", asdict(entry))
        return
    click.echo(catalogue.page(entry).rstrip())


def _list(as_json: bool) -> None:
    from loftwright.errors import catalogue

    titles = {entry.code: entry.title for entry in catalogue.entries().values()}
    if as_json:
        from loftwright.cli.answers import emit

        emit("explain", {"codes": titles})
        return
    width = max(map(len, titles), default=0)
    for each, title in titles.items():
        click.echo(f"{each:{width}}  {title}")


def _unknown(code: str) -> Exception:
    from loftwright.errors import Problem, ProblemError, Where, catalogue

    near = catalogue.nearest(code)
    mend = f"did you mean {near[0]}?" if near else "loftwright explain lists every code"
    where = Where(field="CODE", value=code)
    return ProblemError([Problem("command-no-code", "there is no such code", where, mend)])
