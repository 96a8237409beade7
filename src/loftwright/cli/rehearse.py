"""``loftwright rehearse``."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from loftwright.cli.options import (
    campaign_folder,
    csv_option,
    json_option,
    report_option,
    seed_option,
    strips_option,
)
from loftwright.cli.overrides import read_with, set_option
from loftwright.cli.telling import tell_result

if TYPE_CHECKING:
    from collections.abc import Sequence

    from loftwright.cli.outputs import Outputs
    from loftwright.documents import Campaign
    from loftwright.rehearsal.mends import Change
    from loftwright.rehearsal.recorded import PressureTruth
    from loftwright.rehearsal.results import Rehearsal

__all__ = ["command", "recorded_truth"]


@click.command("rehearse")
@campaign_folder
@click.option(
    "--flights",
    metavar="N",
    type=click.IntRange(min=2),
    default=1000,
    show_default=True,
    help="Fly each case this many times; all cases meet the same wind, draws and noise.",
)
@seed_option
@click.option(
    "--faults",
    metavar="all|none|LIST",
    default="all",
    show_default=True,
    help="Which faults of the library to try, each alone: names with commas between them.",
)
@click.option("--pairs", is_flag=True, help="Try every two faults together as well.")
@click.option(
    "--level",
    metavar="SHARE",
    type=click.FloatRange(0.0, 1.0, max_open=True),
    default=0.1,
    show_default=True,
    help="A fault that loses the vehicle or endangers people in more than this share of the "
    "flights in which it happens is a single point of failure.",
)
@click.option("--no-mends", is_flag=True, help="Do not try what would mend single points.")
@click.option(
    "--try",
    "tries",
    metavar="CHANGE",
    multiple=True,
    help="Try a change on the same flights: PATH=VALUE of a document, NAME=VALUE of a program's "
    "number (see tune), or the folder of another campaign; several times if wanted.",
)
@click.option(
    "--truth",
    metavar="LOG",
    type=click.Path(path_type=Path, dir_okay=False),
    help="Let the controllers sense a recorded flight in place of a forecast one.",
)
@click.option(
    "--watch",
    metavar="CASE:FLIGHT",
    help="Fly nothing but this flight of a case again and tell what happened in it, e.g. "
    "'battery flat: cell:17' or 'no fault:0'; several numbers with commas between them.",
)
@click.option(
    "--beside",
    metavar="ANSWER",
    type=click.Path(path_type=Path, dir_okay=False),
    help="Hold it against an earlier rehearsal: a file that --json wrote.",
)
@set_option
@csv_option
@report_option
@strips_option
@json_option
def command(
    folder: Path,
    flights: int,
    seed: int,
    faults: str,
    pairs: bool,
    level: float,
    no_mends: bool,
    tries: tuple[str, ...],
    truth: Path | None,
    watch: str | None,
    beside: Path | None,
    settings: tuple[str, ...],
    csv: Path | None,
    report: Path | None,
    strips: Path | None,
    as_json: bool,
) -> int:
    """Fly the campaign in DIR with its release programs at work, and with every fault.

    Says how reliable it is when nothing fails, what each fault does, which of them alone lose the
    vehicle or endanger people, and what would mend that.
    """
    from loftwright.cli.outputs import Outputs
    from loftwright.cli.rehearse_answer import beside_answer, cases_csv, rehearsal_answer

    if watch is not None and (csv is not None or tries or pairs or beside is not None):
        others = "--csv, --try, --pairs and --beside"
        raise click.UsageError(f"--watch flies single flights: without {others}")
    campaign = read_with(folder, settings)
    earlier = None if beside is None else _earlier(beside)
    records = [each for each in (truth, beside) if each is not None]
    outputs = Outputs(
        {"--csv": csv, "--report": report}, campaign, records, folders={"--strips": strips}
    )
    if watch is not None:
        return _watched(campaign, watch, seed, truth, settings, outputs, as_json=as_json)
    from loftwright.cli.tried import changes_of

    tried = changes_of(folder, settings, campaign, tries)
    found = _rehearsed(campaign, flights, seed, faults, pairs, level, not no_mends, tried, truth)
    if not settings and truth is None:
        _note(campaign, found, is_whole=faults == "all")
    return tell_result(
        "rehearse",
        {"name": campaign.head.name, "settings": settings},
        outputs,
        as_json=as_json,
        files={"--csv": lambda: cases_csv(found)},
        page=lambda: _page(campaign, found),
        answer=lambda: rehearsal_answer(found) | beside_answer(earlier, found),
        show=lambda: _show(campaign, found, earlier),
    )


def _watched(
    campaign: Campaign,
    watch: str,
    seed: int,
    truth: Path | None,
    settings: tuple[str, ...],
    outputs: Outputs,
    *,
    as_json: bool,
) -> int:
    from loftwright.cli.rehearse_watch import read_watch, tell_flights
    from loftwright.rehearsal.plan import plan_of

    asked = read_watch(watch)
    plan = plan_of(campaign, seed, None if truth is None else recorded_truth(truth))
    return tell_flights(campaign, plan, asked, settings, outputs, as_json=as_json)


def _rehearsed(
    campaign: Campaign,
    flights: int,
    seed: int,
    faults: str,
    pairs: bool,
    level: float,
    mends: bool,
    tries: Sequence[Change],
    truth: Path | None,
) -> Rehearsal:
    from loftwright.cli.progress import Progress, tell_compiling_rehearsal
    from loftwright.rehearsal.rehearse import rehearse

    recorded = None if truth is None else recorded_truth(truth)
    tell_compiling_rehearsal()
    progress = Progress("flights")
    try:
        return rehearse(
            campaign,
            flights=flights,
            seed=seed,
            faults=faults,
            pairs=pairs,
            level=level,
            mends=mends,
            tries=tries,
            recorded=recorded,
            recorded_in="" if truth is None else truth.name,
            progress=progress,
        )
    finally:
        progress.finish()


def recorded_truth(log: Path) -> PressureTruth:
    """Return a recorded flight that stands in for what controllers sense."""
    from loftwright.evidence.flight_log import read_flight_log
    from loftwright.evidence.kept_reading import kept_entry, log_options
    from loftwright.rehearsal.recorded import pressure_truth

    kept = kept_entry(log)
    options = None if kept is None else log_options(kept[1], kept[0])
    return pressure_truth(read_flight_log(log, options))


def _earlier(answer: Path) -> Rehearsal:
    from loftwright.cli.adopt import read_answer
    from loftwright.rehearsal.kept import rehearsal_of

    return rehearsal_of(read_answer(answer), str(answer))


def _note(campaign: Campaign, found: Rehearsal, *, is_whole: bool) -> None:
    """Note that these documents were rehearsed, with the answer in a sentence."""
    from loftwright.cli.noting import note_documents

    def says() -> str:
        from loftwright.report.rehearse_words import rehearse_answer

        return rehearse_answer(found, campaign.head.units).lead

    note_documents("rehearse", campaign, says, flights=found.flights, is_whole=is_whole)


def _show(campaign: Campaign, found: Rehearsal, earlier: Rehearsal | None) -> None:
    from loftwright.report.rehearse_terminal import print_beside, print_rehearsal

    print_rehearsal(found, campaign.head.units)
    if earlier is not None:
        from loftwright.rehearsal.beside import beside

        print_beside(beside(earlier, found))


def _page(campaign: Campaign, found: Rehearsal) -> str:
    from loftwright.report.program_pictures import program_pictures
    from loftwright.report.rehearse_page import Pictures, rehearse_page
    from loftwright.report.wiring_picture import picture_of

    assert campaign.avionics is not None
    wiring = picture_of(campaign.avionics, campaign.head.units)
    pictures = program_pictures(campaign.programs, campaign.head.units)
    return rehearse_page(campaign, found, Pictures(wiring, pictures))
