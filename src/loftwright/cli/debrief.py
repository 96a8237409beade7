"""``loftwright debrief``."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from loftwright.cli.ledger_write import FUNCTIONS, SURE
from loftwright.cli.log_options import LogWords, log_reading_options
from loftwright.cli.options import (
    csv_option,
    json_option,
    report_option,
    seed_option,
    strips_option,
)
from loftwright.cli.telling import tell_result

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from loftwright.cli.debrief_keep import InWords
    from loftwright.cli.outputs import Outputs
    from loftwright.report.flight_told import FlightReport

__all__ = ["command"]


@click.command("debrief")
@click.argument("folder", metavar="[DIR", required=False, type=click.Path(path_type=Path))
@click.argument("flight", metavar="FLIGHT]", required=False)
@click.option(
    "--log",
    "log_name",
    metavar="FILE",
    help="A log that belongs to no campaign; or, with DIR and FLIGHT, the one of the flight's "
    "logs that counts, by its name in evidence/.",
)
@click.option(
    "--causes",
    "wants_causes",
    is_flag=True,
    help="Also find what went wrong: fly every fault, and hold it against the record.",
)
@click.option(
    "--campaign",
    "whole",
    is_flag=True,
    help="Also score the forecasts of the campaign's other flights: is the model biased?",
)
@click.option(
    "--keep",
    is_flag=True,
    help="Put the figures, and with --causes the cause, into the campaign's ledger.",
)
@click.option(
    "--finding",
    metavar="WORDS",
    help="With --keep: what was found, in your words, in place of the cause that --causes finds.",
)
@click.option(
    "--sure",
    type=click.Choice(SURE),
    default="likely",
    show_default=True,
    help="How sure the finding is.",
)
@click.option(
    "--explains",
    type=click.Choice(FUNCTIONS),
    help="The function of the flight whose failure the finding explains.",
)
@click.option("--unsettled", is_flag=True, help="The finding has to be answered or mended yet.")
@click.option("--by", "who", metavar="NAME", help="Who found it.")
@click.option(
    "--flights",
    metavar="N",
    type=click.IntRange(min=20),
    default=300,
    show_default=True,
    help="Of each cause, with --causes.",
)
@click.option(
    "--pad-temperature",
    metavar="T",
    help="Of a log alone: air temperature at the pad, e.g. '17 degC ± 2 degC'.",
)
@click.option(
    "--liftoff",
    metavar="TIME",
    help="About when first motion is, by the log's clock; found from it when left out.",
)
@click.option(
    "--answer-in",
    "system",
    type=click.Choice(["metric", "us"]),
    default="metric",
    show_default=True,
    help="Of a log alone: the units of the answer.",
)
@log_reading_options
@seed_option
@csv_option
@report_option
@strips_option
@json_option
def command(
    folder: Path | None,
    flight: str | None,
    log_name: str | None,
    wants_causes: bool,
    whole: bool,
    keep: bool,
    finding: str | None,
    sure: str,
    explains: str | None,
    unsettled: bool,
    who: str | None,
    flights: int,
    pad_temperature: str | None,
    liftoff: str | None,
    system: str,
    seed: int,
    csv: Path | None,
    report: Path | None,
    strips: Path | None,
    as_json: bool,
    **reading: Any,
) -> int:
    """Say what must have happened in FLIGHT of the campaign in DIR, and how sure that is.

    Takes its log, its forecast, what people saw and heard, and the ledger, as far as they are
    there; what the record does not show is said to be not visible. With --log alone, says what a
    log that belongs to no campaign shows.
    """
    words = _finding(keep, finding, sure, explains, unsettled, who)
    files = _Files({"--csv": csv, "--report": report}, {"--strips": strips}, as_json)
    if folder is None:
        if log_name is None or wants_causes or whole or keep:
            raise click.UsageError("give DIR and FLIGHT, or a log alone with --log FILE")
        return _log_alone(
            Path(log_name), LogWords(**reading), pad_temperature, liftoff, system, files
        )
    if flight is None:
        raise click.UsageError("which flight? Give its name after DIR")
    _refuse_alone(pad_temperature=pad_temperature, **reading)
    wanted = _Wanted((flights, seed) if wants_causes else None, whole, keep, words)
    return _of_flight(folder, flight, log_name, liftoff, wanted, files)


@dataclass(frozen=True, slots=True)
class _Files:
    """What is to be written: files and folders by option, and whether the answer is JSON."""

    asked: Mapping[str, Path | None]
    folders: Mapping[str, Path | None]
    as_json: bool


@dataclass(frozen=True, slots=True)
class _Wanted:
    """What is wanted as well; ``causes`` by so many flights of each, and a seed."""

    causes: tuple[int, int] | None
    whole: bool
    keep: bool
    words: InWords | None


def _finding(
    keep: bool,
    finding: str | None,
    sure: str,
    explains: str | None,
    unsettled: bool,
    who: str | None,
) -> InWords | None:
    """Return the finding that is to be kept. Raises ``click.UsageError`` for half of one."""
    from loftwright.cli.debrief_keep import InWords

    about = explains is not None or unsettled or who is not None
    if not keep and (finding is not None or about):
        raise click.UsageError("a finding is kept with --keep")
    if finding is None and about:
        raise click.UsageError("say what was found: --finding WORDS")
    return None if finding is None else InWords(finding, sure, explains, unsettled, who)


def _log_alone(
    path: Path,
    words: LogWords,
    temperature: str | None,
    liftoff: str | None,
    system: str,
    files: _Files,
) -> int:
    from loftwright.cli.debrief_log import Alone, debrief_log
    from loftwright.cli.outputs import Outputs

    outputs = Outputs(files.asked, Alone(path.parent, {}), [path], files.folders)
    told = debrief_log(
        path, words.options(), temperature=temperature, liftoff=liftoff, units=system
    )
    return _tell({"name": None, "flight": None}, outputs, told, files.as_json)


def _of_flight(
    folder: Path,
    flight: str,
    log_name: str | None,
    liftoff: str | None,
    wanted: _Wanted,
    files: _Files,
) -> int:
    from loftwright.cli.debriefed import Home, debrief, find_why, over_campaign, with_ledger
    from loftwright.cli.outputs import Outputs
    from loftwright.evidence.recorded_flight import read_recorded_flight

    # What must not be written is refused before anything is read.
    Outputs(files.asked, Home(folder, {}), (), files.folders)
    kept = read_recorded_flight(folder, flight)
    outputs = Outputs(files.asked, Home(folder, kept.campaign.hashes), (), files.folders)
    found = debrief(folder, kept, log_name, liftoff)
    if wanted.causes is not None:
        found = find_why(found, *wanted.causes)
    if wanted.whole:
        found = over_campaign(folder, found)
    said: list[str] = []
    if wanted.keep:
        from loftwright.cli.debrief_keep import keep_found

        said = keep_found(folder, found, wanted.words)
        found = with_ledger(folder, found)
    _note(folder, flight, found.report, wanted.keep)
    about = {"name": kept.campaign.head.name, "flight": flight, "kept": said}
    return _tell(about, outputs, found.report, files.as_json)


def _note(folder: Path, flight: str, report: FlightReport, kept: bool) -> None:
    """Note that this flight was debriefed, and whether causes were looked for."""
    from loftwright.cli.noting import note_flight
    from loftwright.report.flight_answer import flight_answer

    note_flight("debrief", folder, flight, lambda: flight_answer(report).lead, is_kept=kept)
    causes = report.causes
    if causes is not None and not causes.stopped:
        note_flight("causes", folder, flight, lambda: causes.fits_says, flights=causes.flights)


def _refuse_alone(**told: Any) -> None:
    """Refuse what is said of a log alone: a flight's logs are read as it says."""
    given = [name for name, value in told.items() if value not in (None, (), [])]
    if given:
        option = "--" + given[0].rstrip("s").replace("_", "-")
        raise click.UsageError(
            f"{option} is for a log alone; a flight's logs are read as its flight.toml says"
        )


def _tell(about: dict[str, Any], outputs: Outputs, report: FlightReport, as_json: bool) -> int:
    return tell_result(
        "debrief",
        about,
        outputs,
        as_json=as_json,
        files={"--csv": lambda: _csv(report)},
        page=lambda: _page(report),
        answer=lambda: _answer(report),
        show=lambda: _show(report, about.get("kept", ())),
        stopped=report.causes is not None and report.causes.stopped,
    )


def _page(report: FlightReport) -> str:
    from loftwright.report.flight_report import flight_page

    return flight_page(report)


def _show(report: FlightReport, kept: Sequence[str]) -> None:
    from loftwright.report.flight_terminal import print_flight_report

    print_flight_report(report)
    for line in kept:
        click.echo(line)


def _csv(report: FlightReport) -> str:
    from loftwright.cli.debrief_answer import curve_csv

    return curve_csv(report.reconstruction)


def _answer(report: FlightReport) -> dict[str, object]:
    from loftwright.cli.debrief_answer import debrief_answer

    return debrief_answer(report)
