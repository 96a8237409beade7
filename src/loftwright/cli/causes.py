"""``loftwright causes``."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from loftwright.cli.options import (
    campaign_folder,
    json_option,
    report_option,
    seed_option,
    strips_option,
)
from loftwright.cli.telling import tell_result

if TYPE_CHECKING:
    from typing import Any

    from loftwright.debrief.causes.results import Argument, Cause, Causes
    from loftwright.documents import Campaign
    from loftwright.evidence.recorded_flight import RecordedFlight

__all__ = ["command"]


@click.command("causes")
@campaign_folder
@click.argument("flight", metavar="FLIGHT")
@click.option(
    "--flights",
    metavar="N",
    type=click.IntRange(min=20),
    default=300,
    show_default=True,
    help="Fly each cause this many times.",
)
@click.option(
    "--pairs",
    is_flag=True,
    help="Try the most probable causes together with every other one as well.",
)
@seed_option
@report_option
@strips_option
@json_option
def command(
    folder: Path,
    flight: str,
    flights: int,
    pairs: bool,
    seed: int,
    report: Path | None,
    strips: Path | None,
    as_json: bool,
) -> int:
    """Say why FLIGHT of the campaign in DIR went wrong: causes by their probability.

    Every fault of the library is flown at every part, as documented and in the conditions of the
    day. What each would have left in the logs, and what people would have seen and heard, is held
    against what there is, and against what is missing. Breaking off answers with what was flown.
    """
    from loftwright.cli.answers import tell_warnings
    from loftwright.cli.debriefed import Home
    from loftwright.cli.outputs import Outputs
    from loftwright.cli.why import causes_of
    from loftwright.debrief.flown import flown_campaign
    from loftwright.debrief.kept_logs import logs_of_controllers
    from loftwright.evidence.recorded_flight import read_recorded_flight

    asked, folders = {"--report": report}, {"--strips": strips}
    Outputs(asked, Home(folder, {}), (), folders)  # refused before anything is read
    kept = read_recorded_flight(folder, flight)
    if not as_json:
        tell_warnings(kept.warnings)
    outputs = Outputs(asked, Home(folder, kept.campaign.hashes), (), folders)
    campaign = flown_campaign(kept)
    logs, left = logs_of_controllers(kept)
    found = causes_of(campaign, kept.record, logs, flights=flights, seed=seed, pairs=pairs)
    if not found.stopped:
        from loftwright.cli.noting import note_flight

        note_flight("causes", folder, flight, lambda: found.fits_says, flights=flights)
    return tell_result(
        "causes",
        {"name": kept.campaign.head.name, "flight": flight},
        outputs,
        as_json=as_json,
        files={},
        page=lambda: _page(kept, found, left),
        answer=lambda: {**_answer(found), "left_out": left, "provenance": _made(campaign, found)},
        show=lambda: _show(kept, found, left),
        stopped=found.stopped,
    )


def _page(kept: RecordedFlight, found: Causes, left: list[str]) -> str:
    from loftwright.report.causes_page import causes_page

    return causes_page(kept.campaign, kept.record.name, found, left)


def _show(kept: RecordedFlight, found: Causes, left: list[str]) -> None:
    from loftwright.report.cause_terminal import print_causes

    print_causes(found, kept.record.name, left)


# ---------------------------------------------------------------- for programs


def _made(campaign: Campaign, found: Causes) -> dict[str, Any]:
    """Return what made the answer: the documents as flown, and the flights of each cause."""
    from loftwright.cli.answers import made_by
    from loftwright.study.evaluate import Draws
    from loftwright.study.evaluate import made_by as study_made_by

    return made_by(study_made_by(campaign, Draws(found.flights, found.seed)))


def _answer(found: Causes) -> dict[str, Any]:
    return {
        "flights_of_each": found.flights,
        "cases": found.cases,
        "seed": found.seed,
        "stopped": found.stopped,
        "confidence": 0.9,
        "fits": found.fits,
        "fits_says": found.fits_says,
        "in_set": found.in_set,
        "evidence": found.evidence,
        "causes": [_cause(each) for each in found.causes],
        "tellings": [
            {"says": each.says, "between": each.between, "resolved": each.resolved}
            for each in found.tellings
        ],
    }


def _cause(cause: Cause) -> dict[str, Any]:
    return {
        "faults": cause.faults,
        "parts": cause.parts,
        "says": cause.says,
        "prior": cause.prior,
        "probability": cause.probability,
        "interval": [cause.low, cause.high],
        "alike": cause.alike,
        "speaks_for": [_argument(each) for each in cause.speaks_for],
        "speaks_against": [_argument(each) for each in cause.speaks_against],
    }


def _argument(argument: Argument) -> dict[str, Any]:
    return {
        "says": argument.says,
        "weight_log10_odds": argument.weight,
        "lane": argument.lane,
        "time_s": argument.time_s,
    }
