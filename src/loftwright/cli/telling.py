"""How a command ends: the files that were asked for, then its answer or the words for people."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from loftwright.cli.outputs import Outputs

__all__ = ["INTERRUPTED", "tell_result"]

INTERRUPTED = 130


def tell_result(
    command: str,
    about: Mapping[str, Any],
    outputs: Outputs,
    *,
    as_json: bool,
    files: Mapping[str, Callable[[], str | bytes]],
    answer: Callable[[], Mapping[str, Any]],
    show: Callable[[], object],
    page: Callable[[], str] | None = None,
    stopped: bool = False,
) -> int:
    """Write what ``outputs`` wants, then tell the result; return the code to end with.

    ``files`` gives by option what makes its file; ``answer`` makes the answer's own keys, which
    follow those of ``about`` and the files; ``page`` makes the report, for ``--report`` and for
    ``--strips``; ``show`` prints. Each is called only where it is wanted, so that what it imports
    is loaded only then. ``stopped`` tells that the user broke off
    and the result is of what was done until then.
    """
    for option, content in files.items():
        if outputs.wants(option):
            outputs.write(option, content())
    if page is not None:
        from loftwright.cli.strips import write_page

        write_page(outputs, page)
    if as_json:
        from loftwright.cli.answers import emit

        head, body = {**about, "files": outputs.written}, answer()
        assert not head.keys() & body.keys()  # or one of the two would not be told
        emit(command, {**head, **body})
    else:
        show()
        for path in outputs.written:
            click.echo(f"Written: {path}")
    return INTERRUPTED if stopped else 0
