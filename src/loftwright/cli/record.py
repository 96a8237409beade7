"""``loftwright record``."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from loftwright.cli.log_options import LogWords, log_reading_options
from loftwright.cli.options import campaign_folder, json_option
from loftwright.cli.record_told import KINDS, FileWords, read_proposal

if TYPE_CHECKING:
    from loftwright.documents.edit import Value
    from loftwright.errors import Problem
    from loftwright.evidence.keeping import Change, TakenIn
    from loftwright.evidence.taking import Looked

__all__ = ["command"]


@dataclass(frozen=True, slots=True)
class _Kept:
    """A file that was taken in, with what was made of it and the name of its reading."""

    taken: TakenIn
    looked: Looked
    reading: str | None


@click.command("record")
@campaign_folder
@click.argument("flight", metavar="FLIGHT")
@click.argument("files", metavar="[FILE]...", nargs=-1, type=click.Path(path_type=Path))
@click.option("--as", "kind", type=click.Choice(KINDS), help="What kind of record the files are.")
@click.option("--source", metavar="NAME", help="The controller of the avionics that wrote them.")
@click.option("--clock", metavar="NAME", help="The clock that their times are by, e.g. phone.")
@click.option("--said", metavar="TEXT", help="What is known of them.")
@click.option("--name", metavar="NAME", help="What a single file is called from here on.")
@click.option(
    "--reading",
    metavar="NAME",
    help="Read the columns as the reading of this name in readings.toml; with options that say "
    "what columns are, keep these under this name.",
)
@click.option("--force", metavar="COLUMN", help="Of a firing: the column of force.")
@log_reading_options
@click.option(
    "--set",
    "settings",
    metavar="PATH=VALUE",
    multiple=True,
    help="Write a field of flight.toml, e.g. --set conditions.water_volume='0.6 L'. "
    "May be given several times.",
)
@click.option(
    "--unset",
    "removed",
    metavar="PATH",
    multiple=True,
    help="Take a field or a table out of flight.toml, e.g. --unset stopwatch.0.",
)
@click.option(
    "--based-on",
    metavar="SHA256",
    help="Change fields only where flight.toml still has this digest.",
)
@click.option("--yes", is_flag=True, help="Accept what is proposed of kinds and columns.")
@click.option(
    "--dry-run",
    is_flag=True,
    help="Only say what the files are and how they would be read; keep and write nothing.",
)
@click.option(
    "--proposal",
    metavar="FILE",
    type=click.Path(path_type=Path),
    help="Take the files that --dry-run --json proposed, with what is told of each there.",
)
@click.option(
    "--flights",
    metavar="N",
    type=click.IntRange(min=2),
    default=400,
    show_default=True,
    help="Of the forecast that is kept with the flight.",
)
@click.option("--no-forecast", is_flag=True, help="Keep no forecast with the flight.")
@click.option(
    "--seed",
    metavar="S",
    type=click.IntRange(min=0),
    default=1,
    show_default=True,
    help="Of the forecast's draws.",
)
@json_option
def command(
    folder: Path,
    flight: str,
    files: tuple[Path, ...],
    kind: str | None,
    source: str | None,
    clock: str | None,
    said: str | None,
    name: str | None,
    reading: str | None,
    force: str | None,
    settings: tuple[str, ...],
    removed: tuple[str, ...],
    based_on: str | None,
    yes: bool,
    dry_run: bool,
    proposal: Path | None,
    flights: int,
    no_forecast: bool,
    seed: int,
    as_json: bool,
    **words: Any,
) -> int:
    """Take FILEs that a flight left behind into DIR/flights/FLIGHT, where they are never changed.

    Begins the flight where it is not begun: the documents are kept as they are now, with a forecast
    of them; best before it is flown, without any FILE. What people saw, heard and measured goes
    into its flight.toml by hand. A file that cannot be read as what it is can be kept all the same:
    --as other.
    """
    log_words = LogWords(**words)
    if name is not None and len(files) != 1:
        raise click.UsageError("--name is for one FILE")
    asked = [
        FileWords(each, log_words, kind, name, source, clock, said, reading, force)
        for each in dict.fromkeys(files)
    ]
    if proposal is not None:
        if asked or any((kind, source, clock, said, reading, force, log_words.says_anything)):
            raise click.UsageError("--proposal says what the files are: give none beside it")
        asked = read_proposal(proposal)
    if dry_run:
        from loftwright.cli.record_propose import propose, tell_proposals

        found = propose(_home(folder), asked)
        return tell_proposals(flight, asked, found, as_json=as_json)
    from loftwright.evidence.keeping import Change

    made = (seed, 0 if no_forecast else flights)
    change = Change(_values(settings), tuple(_by_hand(removed)), based_on)
    return _record(folder, flight, asked, change, made, yes=yes, as_json=as_json)


def _record(
    folder: Path,
    flight: str,
    files: Sequence[FileWords],
    change: Change,
    made: tuple[int, int],
    *,
    yes: bool,
    as_json: bool,
) -> int:
    """Take files in, all or none.

    ``change`` is that of flight.toml, ``made`` seed and flights of the forecast, 0 for none.
    """
    from loftwright.cli.record_files import prepare
    from loftwright.cli.record_flight import begun, campaign_flown, forecast_kept, refuse_source
    from loftwright.documents.flights import flight_folder
    from loftwright.evidence.keeping import change_record, refuse_change, refuse_names
    from loftwright.evidence.kept_reading import readings_of

    campaign, warnings = campaign_flown(folder, flight)
    for each in files:
        refuse_source(campaign, each.source)
    home = _home(folder)
    readings = readings_of(home)
    looked = [prepare(each.path, each.told(), readings, accepts=yes) for each in files]
    refuse_names(flight_folder(home, flight), [(each.path, each.name) for each in files])
    refuse_change(flight_folder(home, flight), change)
    target, new = begun(home, flight, campaign)
    kept = [_keep(home, target, each, seen) for each, seen in zip(files, looked, strict=True)]
    change_record(target, change)
    seed, flights = made
    forecast, failed = forecast_kept(target, seed, flights) if flights else (None, [])
    told = _Done(home, flight, target, new, forecast, kept, [*warnings, *failed])
    _tell(told, as_json=as_json)
    return 0


@dataclass(frozen=True, slots=True)
class _Done:
    """What was done: the flight's folder, whether it was begun now, and what is kept."""

    home: Path
    flight: str
    target: Path
    new: bool
    forecast: Path | None
    kept: list[_Kept]
    warnings: list[Problem]


def _home(folder: Path) -> Path:
    from loftwright.documents.flights import home_of

    return home_of(folder)


# ---------------------------------------------------------------- files and fields


def _keep(home: Path, target: Path, asked: FileWords, looked: Looked) -> _Kept:
    """Take a file in, keep its reading, and write its entry last: then it counts."""
    from loftwright.cli.progress import Progress
    from loftwright.evidence.keeping import keep_file, note_entry
    from loftwright.evidence.shapes import add_reading

    progress = Progress("bytes")
    try:
        taken = keep_file(target, looked.original, asked.name, progress=progress)
    finally:
        progress.finish()
    reading = looked.reading
    if looked.fields is not None:
        wanted = (
            asked.reading or asked.source or Path(asked.name or looked.original).stem or looked.kind
        )
        reading = add_reading(home, looked.fields, "".join(filter(str.isprintable, wanted)))
    fields: dict[str, Value] = {"kind": looked.kind, **asked.fields()}
    if reading is not None:
        fields["reading"] = reading
    if looked.flight_number is not None:
        fields["flight_number"] = looked.flight_number
    if taken.known and asked.kind is None and not asked.log.tells_layout:
        fields = {word: each for word, each in fields.items() if word != "kind"}
    note_entry(target, taken, fields)
    return _Kept(taken, looked, reading)


def _values(settings: Sequence[str]) -> dict[str, Value]:
    """Return what ``--set`` says, by field of flight.toml."""
    from loftwright.cli.overrides import typed

    values: dict[str, Value] = {}
    for setting in settings:
        path, sign, text = setting.partition("=")
        if not sign or not path.strip() or path.strip().startswith(("evidence", "build")):
            raise click.UsageError(
                f"{setting!r} is not PATH=VALUE with a field of flight.toml that is written by hand"
            )
        values[path.strip()] = typed(text)
    return values


def _by_hand(paths: Sequence[str]) -> list[str]:
    """Return paths into flight.toml; refuse those that only taking files in writes."""
    for path in paths:
        if not path.strip() or path.strip().startswith(("evidence", "build", "name")):
            raise click.UsageError(f"{path!r} is no field of flight.toml that is written by hand")
    return [path.strip() for path in paths]


# ---------------------------------------------------------------- what is said


def _tell(done: _Done, *, as_json: bool) -> None:
    from loftwright.cli.answers import emit, tell_warnings
    from loftwright.errors import as_dict
    from loftwright.evidence.recorded_flight import read_recorded_flight

    recorded = read_recorded_flight(done.home, done.flight)
    said = [each for one in done.kept for each in one.looked.warnings]
    found = [*done.warnings, *recorded.warnings, *said]
    if as_json:
        answer = {
            "flight": done.flight,
            "folder": done.target,
            "begun": done.new,
            "documents_sha256": recorded.campaign.hashes,
            "forecast": done.forecast,
            "files": [_file_answer(each) for each in done.kept],
            "warnings": [as_dict(each) for each in found],
        }
        emit("record", answer)
        return
    tell_warnings(found)
    for line in _lines(done):
        click.echo(line)


def _file_answer(kept: _Kept) -> dict[str, Any]:
    return {
        "file": kept.taken.path,
        "from": kept.looked.original,
        "kind": kept.looked.kind,
        "why": kept.looked.why,
        "sha256": kept.taken.sha256,
        "bytes": kept.taken.size,
        "known": kept.taken.known,
        "reading": kept.reading,
        "flights_found": kept.looked.flights,
        "flight_number": kept.looked.flight_number,
        "notes": kept.looked.said,
    }


def _lines(done: _Done) -> list[str]:
    from loftwright.errors.render import printable

    begun = f"Begun: flight {done.flight}, with the documents as they are now."
    lines = [begun] if done.new else []
    for each in done.kept:
        verb = "Kept already" if each.taken.known else "Kept"
        how = f", read as {each.reading}" if each.reading else ""
        size = f"{each.taken.size:,} bytes"
        lines.append(f"{verb}: {each.taken.name}, {size}, {each.looked.kind}{how}")
        lines += [f"  {printable(line, 300)}" for line in each.looked.said]
    if done.forecast is not None and done.new:
        lines.append(f"Forecast kept: {done.forecast}")
    lines.append(f"What people saw, heard and measured goes into {done.target / 'flight.toml'}")
    return lines
