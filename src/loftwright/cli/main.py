"""The ``loftwright`` command and how it ends: exit codes, and problems as text or JSON.

Exit codes: 0 done; 1 it failed; 2 bad input, with what to mend; 130 interrupted.
"""

from __future__ import annotations

import errno
import gc
import os
import sys
from collections.abc import Sequence
from typing import Any, NoReturn

import click

from loftwright import __version__
from loftwright.cli.lazy import LazyGroup

__all__ = ["COMMANDS", "ask", "main", "run", "verbs"]

FAILED, BAD_INPUT, INTERRUPTED = 1, 2, 130

# name -> what it does in one line; ``loftwright.cli.<name>`` holds the command, or the module of
# ELSEWHERE.
COMMANDS: dict[str, str] = {
    "new": "Begin a campaign: a folder of documents to fill in.",
    "glance": "Say where a campaign stands, and what to do next.",
    "check": "Read a campaign and say how the vehicle stands on the pad.",
    "set": "Set, add or take out fields of the documents; comments stay.",
    "undo": "Take back the last change to the documents, or make it again.",
    "changes": "Say what changed in the documents since the last flight.",
    "program": "Check, explain and run the release programs of controllers.",
    "firing": "Fire the vehicle on the stand; fit its nozzle to recorded firings.",
    "forecast": "Fly the campaign, once or many times, from boost to the ground.",
    "whatif": "Say what would be with other values, beside what is written.",
    "rehearse": "Fly with the release programs at work, and with every fault there may be.",
    "tune": "Find thresholds, times and gains of a program that release best, and what they cost.",
    "adopt": "Write a mend or a setting that was tried into the documents.",
    "compare": "Fly two versions of a campaign alike, and say what the change does.",
    "explore": "Vary one quantity or two, and see what that changes.",
    "best": "Find the fill, pressure, fin or ballast that serves an aim best under limits.",
    "sensitivity": "Say which uncertain fields a figure's spread comes from, and how surely.",
    "record": "Take what a flight left behind into the campaign, and keep the documents as flown.",
    "debrief": "Say what must have happened in a recorded flight, and why.",
    "causes": "Say why a flight went wrong: causes by probability, what speaks for and against.",
    "fit": "Learn uncertain fields from recorded flights, and say what cannot be told apart.",
    "serve": "Open the campaign as pages in the browser, on this machine only.",
    "strip": "Draw a strip that a report was kept with, or a part of it; write its numbers.",
    "ledger": "Keep what was flown, found, done and decided; say what that shows.",
    "doctor": "Say whether this machine is ready, and what would mend it.",
    "explain": "Show the page of an error or warning code.",
}

ELSEWHERE = {"serve": "loftwright.web.serve"}


@click.group(
    cls=LazyGroup,
    table={name: (ELSEWHERE.get(name, name), line) for name, line in COMMANDS.items()},
    invoke_without_command=True,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
    epilog="Pressurised bottles burst and rockets fall: proof-test with water, release from afar, "
    "wear eye protection, keep the area clear, follow local codes and ask the landowner.",
)
@click.version_option(__version__, message="loftwright %(version)s")
@click.pass_context
def verbs(ctx: click.Context) -> None:
    """Describe a water rocket, forecast its flight, rehearse its release program.

    A campaign is a folder of TOML documents; DIR below is that folder or its campaign.toml.
    """
    if ctx.invoked_subcommand is None:
        click.echo(ctx.get_help())


def main(arguments: Sequence[str] | None = None) -> NoReturn:
    """Run the command line and leave the process with its exit code."""
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:  # a terminal that lacks a sign shows "?" in its place
            reconfigure(errors="replace")
    code = run(sys.argv[1:] if arguments is None else arguments)
    # The process ends here: looking for garbage among all it has made would take a fifth of a
    # second after a forecast.
    gc.freeze()
    sys.exit(code)


def run(arguments: Sequence[str]) -> int:
    """Run one command and return its exit code; never raises for what a person may do."""
    if sys.stdout is None:  # closed by whoever started this
        return _unheard("it is closed")
    try:
        code = _run(arguments)
        sys.stdout.flush()
    except SystemExit:  # click's way out, and rich's, when the reader has gone
        return _unheard("its reader has ended")
    except OSError as error:
        return _unheard(error.strerror or str(error))
    return code


def ask(arguments: Sequence[str]) -> tuple[int, str]:
    """Run one command in this process, ``--json`` among its words; return exit code and answer.

    The answer is what the command would write to standard output, to the byte: its object, or
    that of its problems. For commands that are done at once; any thread may ask.
    """
    from loftwright.cli.answers import hearing

    with hearing() as heard:
        code = _run(arguments)
    return code, "".join(heard)


def _run(arguments: Sequence[str]) -> int:
    as_json = "--json" in arguments
    try:
        code: Any = verbs.main(list(arguments), prog_name="loftwright", standalone_mode=False)
    except click.Abort:
        return _told(_interrupted(), as_json, INTERRUPTED)
    except click.ClickException as error:
        return _told(_usage(error), as_json, BAD_INPUT)
    except Exception as error:
        from loftwright.errors import ProblemError

        if _is_output_lost(error):
            raise
        if isinstance(error, ProblemError):
            return _told(error.problems, as_json, BAD_INPUT)
        return _told(_fault(error), as_json, FAILED)
    return code if isinstance(code, int) else 0


# What a system says of a stream that takes no more; Windows calls a gone reader EINVAL.
_LOST = {errno.ENOSPC, errno.EPIPE, errno.EIO, errno.EFBIG, errno.EBADF, errno.EINVAL}


def _is_output_lost(error: Exception) -> bool:
    """Tell whether standard output failed: trouble with a file would have the file's name."""
    return isinstance(error, OSError) and error.filename is None and error.errno in _LOST


def _unheard(why: str) -> int:
    """Say on standard error that the answer is lost, and leave nothing to be written at the end."""
    from contextlib import suppress

    with suppress(OSError, ValueError, AttributeError):  # no such file, or none at all
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    with suppress(OSError):
        click.echo(f"command-no-output: standard output takes no more: {why}", err=True)
    return FAILED


def _told(problems: Sequence[Any], as_json: bool, code: int) -> int:
    from loftwright.cli.answers import tell_problems

    tell_problems(problems, as_json)
    return code


def _interrupted() -> Sequence[Any]:
    from loftwright.cli.progress import done_so_far
    from loftwright.errors import Problem

    message = f"stopped by you{done_so_far()}; no file was left half written"
    return [Problem("command-interrupted", message, mend="run the same command again")]


def _usage(error: click.ClickException) -> Sequence[Any]:
    from loftwright.errors import Problem

    context = getattr(error, "ctx", None)
    path = context.command_path if context else "loftwright"
    message = error.format_message().rstrip(".")
    return [Problem("command-usage", message, mend=f"see {path} --help")]


def _fault(error: Exception) -> Sequence[Any]:
    """Describe a fault of this program: its place for a bug report, and no page of traceback."""
    from traceback import extract_tb

    from loftwright.errors import Problem, Where

    if os.environ.get("LOFTWRIGHT_TRACEBACK"):
        raise error
    last = extract_tb(error.__traceback__)[-1]
    message = f"a fault in Loftwright itself: {type(error).__name__}: {error}"
    mend = "please report it, with what LOFTWRIGHT_TRACEBACK=1 shows when you run it again"
    return [Problem("command-fault", message, Where(file=last.filename, line=last.lineno), mend)]
