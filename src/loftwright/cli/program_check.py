"""``loftwright program check``."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from loftwright.cli.options import json_option, report_option, strips_option

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
@report_option
@strips_option
@json_option
def command(
    where: Path, no_flights: bool, report: Path | None, strips: Path | None, as_json: bool
) -> None:
    """Check the program in FILE, or all programs of the campaign in a folder.

    Says when each output can open, whatever the sensors say, and proves or refutes each promise.
    Times are by the controller's own clock. Programs of a campaign are held against its forecast
    as well: backups that come too early, conditions that never hold. Warnings do not fail it.
    """
    from loftwright.cli.outputs import Outputs
    from loftwright.cli.strips import write_page
    from loftwright.errors import ProblemError
    from loftwright.program.checks import check_program
    from loftwright.program.reading import program_files, read_program

    found: list[tuple[ReadProgram, Checked]] = []
    problems: list[Problem] = []
    unread: dict[str, tuple[Problem, ...]] = {}
    is_campaign = where.is_dir() or where.name == "campaign.toml"
    files = program_files(where)
    own = _Own(_home(where), dict.fromkeys(files, ""))
    outputs = Outputs({"--report": report}, own, (), {"--strips": strips})
    facts = _facts(where) if is_campaign and not no_flights else {}
    for name, file in files.items():
        try:
            read = read_program(file, name)
        except ProblemError as error:
            problems += error.problems
            unread[name] = error.problems
            continue
        found.append((read, check_program(read, facts.get(name))))
    problems += [problem for _, each in found if each.broken for problem in each.problems]
    # Of what is wrong as well, beside its line.
    write_page(outputs, lambda: _page(where, files, found, unread, facts))
    if any(problem.severity == "error" for problem in problems):
        raise ProblemError(problems)
    if as_json:
        _answer(found, outputs.written)
        return
    for number, (read, checked) in enumerate(found):
        _print(read, checked, is_first=number == 0)
    for path in outputs.written:
        click.echo(f"Written: {path}")


@dataclass(frozen=True, slots=True)
class _Own:
    """The programs' documents, which no output may take the place of."""

    folder: Path
    hashes: Mapping[str, str]


def _home(where: Path) -> Path:
    return where if where.is_dir() else where.parent


def _page(
    where: Path,
    files: Mapping[str, Path],
    found: list[tuple[ReadProgram, Checked]],
    unread: Mapping[str, tuple[Problem, ...]],
    facts: Mapping[str, Facts],
) -> str:
    """Return the report: every program in the order of its file."""
    from loftwright import __version__
    from loftwright.flight.results import Provenance
    from loftwright.report.program_page import programs_page
    from loftwright.report.program_parts import part_of, part_that_does_not_read

    parts, read_ones = [], {read.source.file: (read, checked) for read, checked in found}
    system = _system(where)
    for name, file in files.items():
        text = _text(file)
        if name in read_ones:
            parts.append(part_of(*read_ones[name], facts.get(name), text, system))
        else:
            parts.append(part_that_does_not_read(name, text, unread[name]))
    hashes = {name: read.source.sha256 for name, (read, _) in read_ones.items()}
    return programs_page(parts, Provenance(hashes, f"loftwright {__version__}"))


def _text(file: Path) -> str:
    """Return a program's text as far as it can be shown; what is wrong with it is told beside."""
    from loftwright.documents.source import Source, read_bytes

    content = read_bytes(file, Source(file.name)) or b""
    return content.decode("utf-8", errors="replace")


def _system(where: Path) -> str:
    """Return the units of the campaign that a program lies in; metric where there is none."""
    from loftwright.documents.named import units_beside

    return units_beside(where) or "metric"


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


def _answer(found: list[tuple[ReadProgram, Checked]], written: list[Path]) -> None:
    from loftwright import __version__
    from loftwright.cli.answers import emit

    hashes = {read.source.file: read.source.sha256 for read, _ in found}
    made = {"documents_sha256": hashes, "model": f"loftwright {__version__}"}
    programs = [_as_dict(read, checked) for read, checked in found]
    emit("program-check", {"programs": programs, "files": written, "provenance": made})


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
    from loftwright.report.program_parts import when_words

    if not is_first:
        click.echo()
    tell_warnings(checked.problems)
    click.echo(f"{printable(read.program.name)}  ({read.source.file})")
    names = [printable(name) for name in read.table.outputs]
    wide = max(map(len, names), default=0)
    for name, bounds in zip(names, checked.bounds, strict=True):
        click.echo(f"  {name:<{wide}}  {when_words(bounds)}")
    for each in checked.verdicts:
        click.echo(f"  promise {each.number + 1} is kept: {printable(each.says, 200)}")
    _, lag = estimate_lag(read.table, 0.0, 1.0)
    click.echo(f"  climb is told {lag:.2f} s late while the speed changes steadily")
