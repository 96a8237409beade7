"""``loftwright record``."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from loftwright.cli.log_options import LogWords, log_reading_options
from loftwright.cli.options import campaign_folder, json_option

if TYPE_CHECKING:
    from loftwright.cli.record_files import Asked, Prepared
    from loftwright.documents import Campaign
    from loftwright.documents.edit import Value
    from loftwright.errors import Problem
    from loftwright.evidence.keeping import TakenIn

__all__ = ["command"]

KINDS = ("log", "firing", "sound", "picture", "film", "other")
MOST_TOLD = 8  # differences that are told one by one


@dataclass(frozen=True, slots=True)
class _Kept:
    """A file that was taken in, with what was made of it and the name of its reading."""

    taken: TakenIn
    prepared: Prepared
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
@click.option("--yes", is_flag=True, help="Accept what is proposed of kinds and columns.")
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
    yes: bool,
    flights: int,
    no_forecast: bool,
    seed: int,
    as_json: bool,
    **words: Any,
) -> None:
    """Take FILEs that a flight left behind into DIR/flights/FLIGHT, where they are never changed.

    Begins the flight where it is not begun: the documents are kept as they are now, with a forecast
    of them; best before it is flown, without any FILE. What people saw, heard and measured goes
    into its flight.toml by hand. A file that cannot be read as what it is can be kept all the same:
    --as other.
    """
    from loftwright.cli.record_files import Asked, prepare
    from loftwright.evidence.kept_reading import readings_of

    if name is not None and len(files) != 1:
        raise click.UsageError("--name is for one FILE")
    log_words = LogWords(**words)
    asked = Asked(
        kind, log_words.options(), log_words.tells_layout, force, reading, source, accepts=yes
    )
    campaign, warnings = _campaign(folder, flight)
    _refuse_source(campaign, source)
    home, readings = _home(folder), readings_of(_home(folder))
    prepared = [prepare(each, asked, readings) for each in dict.fromkeys(files)]
    target, begun = _open(home, flight, campaign)
    told = {word: each for word, each in (("source", source), ("clock", clock)) if each}
    told |= {"said": said} if said else {}
    kept = [_keep(home, target, each, name, asked, told) for each in prepared]
    _write_settings(target, settings)
    forecast, failed = (None, []) if no_forecast else _forecast(target, seed, flights)
    _tell(home, flight, target, begun, forecast, kept, [*warnings, *failed], as_json=as_json)


def _home(folder: Path) -> Path:
    from loftwright.documents.flights import home_of

    return home_of(folder)


# ---------------------------------------------------------------- the flight and its documents


def _campaign(folder: Path, flight: str) -> tuple[Campaign, list[Problem]]:
    """Return the documents that count, as flown where they are kept, and what differs since."""
    from loftwright.documents import read_campaign
    from loftwright.documents.flights import BUILD, FLIGHT_FILE, flight_folder

    target = flight_folder(folder, flight)
    if not (target / FLIGHT_FILE).is_file():
        return read_campaign(folder), []
    flown = read_campaign(target / BUILD)
    return flown, _changes(flown, folder)


def _changes(flown: Campaign, folder: Path) -> list[Problem]:
    """Say in words what differs between the documents as flown and those of now."""
    from loftwright.documents import read_campaign
    from loftwright.documents.differences import differences, texts
    from loftwright.errors import Problem, ProblemError, Where

    mend = "nothing, where this came after the flight; else begin the flight under another name"
    where = Where(file=str(flown.folder))
    try:
        now = read_campaign(folder)
    except ProblemError:
        message = "the campaign's documents of now have errors; those as flown count"
        return [Problem("record-documents-differ", message, where, mend, "warning")]
    if now.hashes == flown.hashes:
        return []
    found = differences(flown, now, texts(flown), texts(now))
    words = [
        f"{each.path} {each.one or 'not there'} -> {each.other or 'not there'}" for each in found
    ]
    more = len(words) - MOST_TOLD
    shown = "; ".join(words[:MOST_TOLD]) + (f"; and {more} more" if more > 0 else "")
    changed = sorted(
        name for name in {*now.hashes, *flown.hashes}
        if now.hashes.get(name) != flown.hashes.get(name)
    )  # fmt: skip
    shown = shown or f"comments, programs or spelling in {', '.join(changed)}"
    message = f"the documents have been changed since the flight was begun: {shown}"
    return [Problem("record-documents-differ", message, where, mend, "warning")]


def _refuse_source(campaign: Campaign, source: str | None) -> None:
    if source is None:
        return
    from loftwright.errors import Problem, ProblemError, Where
    from loftwright.evidence.recorded_flight import source_fault

    if (fault := source_fault(campaign, source)) is not None:
        where = Where(field="--source", value=source)
        raise ProblemError([Problem("record-no-source", fault[0], where, fault[1])])


def _open(home: Path, flight: str, campaign: Campaign) -> tuple[Path, bool]:
    from loftwright.documents.flights import flight_folder
    from loftwright.evidence.keeping import open_flight

    target = flight_folder(home, flight)
    if campaign.folder.parent == target:  # its own snapshot: it is begun
        return target, False
    return open_flight(campaign, flight)


def _forecast(target: Path, seed: int, flights: int) -> tuple[Path | None, list[Problem]]:
    """Keep a forecast of the documents as flown where none is kept, or say why there is none."""
    from dataclasses import replace
    from datetime import UTC, datetime

    from loftwright.documents import read_campaign
    from loftwright.documents.flights import BUILD, FORECAST_FILE
    from loftwright.errors import ProblemError

    kept = target / FORECAST_FILE
    if kept.is_file():
        return kept, []
    if _is_on_the_stand(target):
        return None, []
    from loftwright.cli.progress import Progress, tell_compiling
    from loftwright.debrief.scoring.kept_forecast import keep_forecast

    tell_compiling()
    progress = Progress("flights")
    made = datetime.now(UTC).isoformat(timespec="seconds")
    try:
        campaign = read_campaign(target / BUILD)
        made_file = keep_forecast(
            campaign, target, seed=seed, flights=flights, made=made, progress=progress
        )
    except ProblemError as error:
        return None, [replace(each, severity="warning") for each in error.problems]
    finally:
        progress.finish()
    return made_file, []


def _is_on_the_stand(target: Path) -> bool:
    """Tell whether firings are kept and no log: nothing flew, so there is nothing to forecast."""
    from loftwright.documents.flight_record import FlightRecord
    from loftwright.documents.flights import FLIGHT_FILE
    from loftwright.documents.reading import read_document

    evidence = read_document(target / FLIGHT_FILE, FlightRecord).evidence
    kinds = {each.kind for each in evidence}
    return "firing" in kinds and "log" not in kinds


# ---------------------------------------------------------------- files and fields


def _keep(
    home: Path,
    target: Path,
    prepared: Prepared,
    name: str | None,
    asked: Asked,
    told: Mapping[str, Value],
) -> _Kept:
    """Take a file in, keep its reading, and write its entry last: then it counts."""
    from loftwright.cli.progress import Progress
    from loftwright.evidence.keeping import keep_file, note_entry
    from loftwright.evidence.shapes import add_reading

    progress = Progress("bytes")
    try:
        taken = keep_file(target, prepared.original, name, progress=progress)
    finally:
        progress.finish()
    reading = prepared.reading
    if prepared.fields is not None:
        wanted = asked.reading or asked.source or prepared.original.stem or prepared.kind
        reading = add_reading(home, prepared.fields, "".join(filter(str.isprintable, wanted)))
    fields: dict[str, Value] = {"kind": prepared.kind, **told}
    if reading is not None:
        fields["reading"] = reading
    if prepared.flight_number is not None:
        fields["flight_number"] = prepared.flight_number
    if taken.known and asked.kind is None and not asked.tells_layout:
        fields = {word: each for word, each in fields.items() if word != "kind"}
    note_entry(target, taken, fields)
    return _Kept(taken, prepared, reading)


def _write_settings(target: Path, settings: Sequence[str]) -> None:
    """Write fields of flight.toml, all or none."""
    if not settings:
        return
    from loftwright.cli.overrides import typed
    from loftwright.documents.alone import writing_alone
    from loftwright.documents.edit import set_values
    from loftwright.documents.flight_record import FlightRecord
    from loftwright.documents.flights import FLIGHT_FILE

    values: dict[str, Value] = {}
    for setting in settings:
        path, sign, text = setting.partition("=")
        if not sign or not path.strip() or path.strip().startswith(("evidence", "build")):
            raise click.UsageError(
                f"{setting!r} is not PATH=VALUE with a field of flight.toml that is written by hand"
            )
        values[path.strip()] = typed(text)
    with writing_alone(target / FLIGHT_FILE):
        set_values(target / FLIGHT_FILE, values, FlightRecord)


# ---------------------------------------------------------------- what is said


def _tell(
    home: Path,
    flight: str,
    target: Path,
    begun: bool,
    forecast: Path | None,
    kept: Sequence[_Kept],
    warnings: Sequence[Problem],
    *,
    as_json: bool,
) -> None:
    from loftwright.cli.answers import emit, tell_warnings
    from loftwright.errors import as_dict
    from loftwright.evidence.recorded_flight import read_recorded_flight

    recorded = read_recorded_flight(home, flight)
    said = [each for one in kept for each in one.prepared.warnings]
    found = [*warnings, *recorded.warnings, *said]
    if as_json:
        answer = {
            "flight": flight,
            "folder": target,
            "begun": begun,
            "documents_sha256": recorded.campaign.hashes,
            "forecast": forecast,
            "files": [_file_answer(each) for each in kept],
            "warnings": [as_dict(each) for each in found],
        }
        emit("record", answer)
        return
    tell_warnings(found)
    for line in _lines(flight, target, begun, forecast, kept):
        click.echo(line)


def _file_answer(kept: _Kept) -> dict[str, Any]:
    return {
        "file": kept.taken.path,
        "from": kept.prepared.original,
        "kind": kept.prepared.kind,
        "why": kept.prepared.why,
        "sha256": kept.taken.sha256,
        "bytes": kept.taken.size,
        "known": kept.taken.known,
        "reading": kept.reading,
        "flights_found": kept.prepared.flights,
        "flight_number": kept.prepared.flight_number,
        "notes": kept.prepared.said,
    }


def _lines(
    flight: str, target: Path, begun: bool, forecast: Path | None, kept: Sequence[_Kept]
) -> list[str]:
    from loftwright.errors.render import printable

    lines = [f"Begun: flight {flight}, with the documents as they are now."] if begun else []
    for each in kept:
        verb = "Kept already" if each.taken.known else "Kept"
        how = f", read as {each.reading}" if each.reading else ""
        size = f"{each.taken.size:,} bytes"
        lines.append(f"{verb}: {each.taken.name}, {size}, {each.prepared.kind}{how}")
        lines += [f"  {printable(line, 300)}" for line in each.prepared.said]
    if forecast is not None and begun:
        lines.append(f"Forecast kept: {forecast}")
    lines.append(f"What people saw, heard and measured goes into {target / 'flight.toml'}")
    return lines
