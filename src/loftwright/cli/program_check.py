"""``loftwright program check``."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from loftwright.cli.options import json_option

if TYPE_CHECKING:
    from loftwright.errors import Problem
    from loftwright.program.checks import Checked, Facts
    from loftwright.program.promises import Bounds
    from loftwright.program.reading import ReadProgram

__all__ = ["command"]


@click.command("check")
@click.argument("where", metavar="FILE", type=click.Path(path_type=Path))
@click.option(
    "--no-flights",
    is_flag=True,
    help="Of a campaign: do not hold its programs against flights of its forecast.",
)
@json_option
def command(where: Path, no_flights: bool, as_json: bool) -> None:
    """Check the program in FILE, or all programs of the campaign in a folder.

    Says when each output can open, whatever the sensors say, and proves or refutes each promise.
    Times are by the controller's own clock. Programs of a campaign are held against its forecast
    as well: backups that come too early, conditions that never hold. Warnings do not fail it.
    """
    from loftwright.errors import ProblemError
    from loftwright.program.checks import check_program
    from loftwright.program.reading import program_files, read_program

    found: list[tuple[ReadProgram, Checked]] = []
    problems: list[Problem] = []
    is_campaign = where.is_dir() or where.name == "campaign.toml"
    files = program_files(where)
    facts = _facts(where) if is_campaign and not no_flights else {}
    for name, file in files.items():
        try:
            read = read_program(file, name)
        except ProblemError as error:
            problems += error.problems
            continue
        found.append((read, check_program(read, facts.get(name))))
    problems += [problem for _, each in found if each.broken for problem in each.problems]
    if any(problem.severity == "error" for problem in problems):
        raise ProblemError(problems)
    if as_json:
        _answer(found)
        return
    for number, (read, checked) in enumerate(found):
        _print(read, checked, is_first=number == 0)


def _facts(folder: Path) -> dict[str, Facts]:
    """What the forecast of a campaign says, by the file of each program.

    Nothing where the campaign itself has errors, which is said: a program that reads is told about
    all the same.
    """
    from loftwright.cli.progress import tell_compiling
    from loftwright.documents import read_campaign
    from loftwright.errors import ProblemError

    try:
        campaign = read_campaign(folder)
    except ProblemError:
        message = "The campaign has errors, so its programs are not held against its forecast."
        click.echo(f"{message} See: loftwright check {folder}\n", err=True)
        return {}
    from loftwright.rehearsal.forecast_facts import facts_of

    assert campaign.avionics is not None  # it names the programs that are there
    tell_compiling()
    try:
        said = facts_of(campaign)
    except ProblemError as error:
        reason = error.problems[0].message
        click.echo(f"The programs are not held against the forecast: {reason}.\n", err=True)
        return {}
    return {each.program: said[each.name] for each in campaign.avionics.controller}


def _answer(found: list[tuple[ReadProgram, Checked]]) -> None:
    from loftwright import __version__
    from loftwright.cli.answers import emit

    hashes = {read.source.file: read.source.sha256 for read, _ in found}
    made = {"documents_sha256": hashes, "model": f"loftwright {__version__}"}
    programs = [_as_dict(read, checked) for read, checked in found]
    emit("program-check", {"programs": programs, "provenance": made})


def _as_dict(read: ReadProgram, checked: Checked) -> dict[str, Any]:
    from loftwright.errors import as_dict
    from loftwright.program.estimates import estimate_lag

    height, climb = estimate_lag(read.table, 0.0, 1.0)
    return {
        "file": read.source.file,
        "name": read.program.name,
        "sample_every_ms": read.table.step_ms,
        "outputs": [_bounds(read, each) for each in checked.bounds],
        "promises": [
            {"output": each.promise.output, "kept": each.kept, "says": each.says}
            for each in checked.verdicts
        ],
        "height_lag_m_per_m_s2": height,
        "climb_lag_s": climb,
        "warnings": [as_dict(problem) for problem in checked.problems],
    }


def _bounds(read: ReadProgram, bounds: Bounds) -> dict[str, Any]:
    def seconds(ms: float | None) -> float | None:
        return None if ms is None else ms / 1000.0

    return {
        "name": read.table.outputs[bounds.output],
        "opens_earliest_s": seconds(bounds.earliest_ms),
        "opens_latest_s": seconds(bounds.latest_ms),
        "opens_earliest_from_power_up_s": seconds(bounds.earliest_power_ms),
        "opens_latest_from_power_up_s": seconds(bounds.latest_power_ms),
        "can_open": bounds.earliest_power_ms is not None,
        "can_open_before_launch": bounds.earliest_ms == float("-inf"),
    }


def _print(read: ReadProgram, checked: Checked, *, is_first: bool) -> None:
    from loftwright.cli.answers import tell_warnings
    from loftwright.errors.render import printable
    from loftwright.program.estimates import estimate_lag

    if not is_first:
        click.echo()
    tell_warnings(checked.problems)
    click.echo(f"{printable(read.program.name)}  ({read.source.file})")
    names = [printable(name) for name in read.table.outputs]
    wide = max(map(len, names), default=0)
    for name, bounds in zip(names, checked.bounds, strict=True):
        click.echo(f"  {name:<{wide}}  {_when(bounds)}")
    for each in checked.verdicts:
        click.echo(f"  promise {each.number + 1} is kept: {printable(each.says, 200)}")
    _, lag = estimate_lag(read.table, 0.0, 1.0)
    click.echo(f"  climb is told {lag:.2f} s late while the speed changes steadily")


def _when(bounds: Bounds) -> str:
    """Return when an output opens, in words."""
    from loftwright.program.words_path import seconds

    if bounds.earliest_ms is None:
        return "never opens"
    latest = bounds.latest_ms
    ends = "nothing makes sure that it does" if latest == float("inf") else ""
    if bounds.earliest_ms == float("-inf"):
        return f"can open before launch is sensed; {ends or f'by {seconds(latest)} after it'}"
    early = seconds(bounds.earliest_ms)
    if ends:
        return f"opens {early} after launch is sensed, or later; {ends}"
    return f"opens {early} to {seconds(latest)} after launch is sensed, whatever the sensors say"
