"""``loftwright program run``."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from loftwright.cli.log_options import LogWords, log_reading_options, read_time
from loftwright.cli.options import csv_option, json_option, report_option, strips_option

if TYPE_CHECKING:
    from loftwright.documents.program import Program
    from loftwright.evidence.flight_log import FlightLog, LogOptions
    from loftwright.program.reading import ReadProgram
    from loftwright.rehearsal.replay import Replayed

__all__ = ["command"]

ROWS_AT_ONCE = 10_000


@dataclass(frozen=True, slots=True)
class _Own:
    """The program's document, which no output may take the place of."""

    folder: Path
    hashes: Mapping[str, str]


@click.command("run")
@click.argument("program", metavar="PROGRAM", type=click.Path(path_type=Path))
@click.argument("log", metavar="LOG", type=click.Path(path_type=Path))
@click.option(
    "--line-opens",
    metavar="TIME",
    help="When the pad line opens, by the log's clock, e.g. 12.3s; never when left out.",
)
@click.option(
    "--liftoff",
    metavar="TIME",
    help="When the vehicle began to move, by the log's clock: where the report's time begins. "
    "Found from the log when left out.",
)
@log_reading_options
@csv_option
@report_option
@strips_option
@json_option
def command(
    program: Path,
    log: Path,
    line_opens: str | None,
    liftoff: str | None,
    csv: Path | None,
    report: Path | None,
    strips: Path | None,
    as_json: bool,
    **reading: Any,
) -> None:
    """Replay the release program in PROGRAM over the recorded flight LOG.

    Says what the program would have done on that day: when it enters each stage, and why. The log
    is read as the recorder left it; what it does not settle is asked for by name.
    """
    from loftwright.cli.outputs import Outputs
    from loftwright.cli.strips import write_page
    from loftwright.documents.named import units_beside
    from loftwright.evidence.flight_log import read_flight_log
    from loftwright.program.reading import read_program
    from loftwright.rehearsal.replay import replay

    if log.suffix == ".toml" and program.suffix != ".toml":
        raise click.UsageError(f"the program comes first, then the log: {log} {program}")
    options = _options(log, LogWords(**reading))
    opens = None if line_opens is None else read_time("--line-opens", line_opens, "12.3s")
    began = None if liftoff is None else read_time("--liftoff", liftoff, "12.3s")
    own = _Own(program.parent, {program.name: ""})
    outputs = Outputs({"--csv": csv, "--report": report}, own, [log], {"--strips": strips})
    read = read_program(program)
    system = units_beside(program) or "metric"
    flight = _with_progress("bytes", lambda tell: read_flight_log(log, options, progress=tell))
    replayed = _with_progress(
        "samples",
        lambda tell: replay(
            read.table,
            flight,
            pad_temperature=read.program.pad_temperature.value,
            line_opens_s=opens,
            progress=tell,
        ),
    )
    if csv is not None:
        outputs.fill("--csv", lambda draft: _write_csv(draft, replayed))
    write_page(outputs, lambda: _page(read, flight, replayed, began, system))
    if as_json:
        _emit(read, flight, replayed, outputs.written)
        return
    _show(read.program, flight, replayed, system)
    for path in outputs.written:
        click.echo(f"Written: {path}")


def _page(
    read: ReadProgram, flight: FlightLog, replayed: Replayed, began: float | None, system: str
) -> str:
    from loftwright.report.replay_report import replay_report

    return replay_report(read, flight, replayed, began, system)


def _options(log: Path, words: LogWords) -> LogOptions:
    """Return how to read the log: as told, or as it is kept with its flight."""
    from loftwright.evidence.kept_reading import kept_entry, log_options

    if words.tells_layout or words.flight_number is not None:
        return words.options()
    kept = kept_entry(log)
    return words.options() if kept is None else log_options(kept[1], kept[0])


def _with_progress(what: str, work: Any) -> Any:
    from loftwright.cli.progress import Progress

    progress = Progress(what)
    try:
        return work(progress)
    finally:
        progress.finish()


# ---------------------------------------------------------------- what is said


def _show(program: Program, log: FlightLog, replayed: Replayed, system: str) -> None:
    from loftwright.cli.answers import tell_warnings
    from loftwright.report import replay_words as words

    tell_warnings(log.warnings)
    lines = [
        words.lead(replayed),
        "",
        f"What {program.name} would have done:",
        *_table(words.ENTERED_HEADS, words.entered_rows(replayed, program, system)),
    ]
    if replayed.switched:
        lines += ["", "Outputs:", *_table(words.SWITCHED_HEADS, words.switched_rows(replayed))]
    said = [*(f"  {line}" for line in words.record_lines(replayed, log, system))]
    lines += ["", f"What {log.name} itself says:", *said]
    lines += ["", "How it was read:", *(f"  {line}" for line in words.reading_lines(log))]
    lines += [f"  {note}" for note in replayed.notes]
    click.echo("\n".join(map(_clean, lines)))


def _clean(line: str) -> str:
    """Names come from files: nothing in them may drive the terminal."""
    from loftwright.errors.render import printable

    return printable(line, 1000)


def _table(heads: Sequence[str], rows: Sequence[Sequence[str]]) -> Iterator[str]:
    table = [heads, *rows]
    widths = [max(map(len, column)) for column in zip(*table, strict=True)]
    for row in table:
        yield "  " + "   ".join(map(str.ljust, row, widths)).rstrip()


# ---------------------------------------------------------------- files and answers


def _write_csv(path: Path, replayed: Replayed) -> None:
    """Write one row a sample of the program."""
    import csv

    from loftwright.documents.cells import cells

    names = [str(each) for each in cells(stage.name for stage in replayed.table.stages)]
    heads = ["time_s", "since_launch_s", "pressure_pa", "push_m_s2", "line_open"]
    heads += ["height_m", "climb_m_s", "stage", *map(str, cells(replayed.table.outputs))]
    with path.open("w", encoding="utf-8", newline="") as stream:
        writer = csv.writer(stream, lineterminator="\n")
        writer.writerow(heads)
        for first in range(0, len(replayed.time_s), ROWS_AT_ONCE):
            part = slice(first, first + ROWS_AT_ONCE)
            writer.writerows(_csv_rows(replayed, part, names))


def _csv_rows(replayed: Replayed, part: slice, names: Sequence[str]) -> Iterator[list[object]]:
    readings, launch = replayed.readings, replayed.launch_s
    columns = (readings.time_s, readings.pressure, readings.push, readings.line)
    decided = (replayed.height_m, replayed.climb_m_s, replayed.stage, replayed.level)
    for time, pressure, push, line, height, climb, stage, level in zip(
        *(each[part].tolist() for each in (*columns, *decided)), strict=True
    ):
        since = "" if launch is None or time < launch - 1e-9 else f"{time - launch:.6f}"
        measured = [_cell(pressure), _cell(push), line, repr(height), repr(climb)]
        yield [f"{time:.6f}", since, *measured, names[stage], *level]


def _cell(value: float) -> str:
    """Return a number, nothing where it is none."""
    from math import isnan

    return "" if isnan(value) else repr(value)


def _emit(read: ReadProgram, log: FlightLog, replayed: Replayed, written: Sequence[Path]) -> None:
    from dataclasses import asdict

    from loftwright import __version__
    from loftwright.cli.answers import emit
    from loftwright.errors import as_dict

    emit(
        "program-run",
        {
            "program": read.program.name,
            "log": {
                "file": log.name,
                "sha256": log.sha256,
                "columns": [asdict(each) for each in log.columns],
                "notes": log.notes,
                "states": [asdict(each) for each in log.marks],
            },
            "warnings": [as_dict(each) for each in log.warnings],
            "launch_s": replayed.launch_s,
            "entered": [asdict(each) for each in replayed.entered],
            "switched": [asdict(each) for each in replayed.switched],
            "record": asdict(replayed.record),
            "notes": replayed.notes,
            "samples": len(replayed.time_s),
            "files": written,
            "provenance": {
                "documents_sha256": {read.source.file: read.source.sha256, log.name: log.sha256},
                "model": f"loftwright {__version__}",
            },
        },
    )
