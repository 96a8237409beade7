"""``loftwright debrief``."""

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
)
from loftwright.cli.telling import tell_result

if TYPE_CHECKING:
    from loftwright.cli.debriefed import Debriefed

__all__ = ["command"]


@click.command("debrief")
@campaign_folder
@click.argument("flight", metavar="FLIGHT")
@click.option(
    "--log",
    "log_name",
    metavar="NAME",
    help="Which of the flight's logs counts, by its name in evidence/.",
)
@click.option(
    "--causes",
    "wants_causes",
    is_flag=True,
    help="Also find what went wrong: fly every fault, and hold it against the record.",
)
@click.option(
    "--flights",
    metavar="N",
    type=click.IntRange(min=20),
    default=300,
    show_default=True,
    help="Of each cause, with --causes.",
)
@seed_option
@csv_option
@report_option
@json_option
def command(
    folder: Path,
    flight: str,
    log_name: str | None,
    wants_causes: bool,
    flights: int,
    seed: int,
    csv: Path | None,
    report: Path | None,
    as_json: bool,
) -> int:
    """Say what must have happened in FLIGHT of the campaign in DIR, and how sure that is.

    Takes its log, its forecast, what people saw and heard, and the ledger, as far as they are
    there; what the record does not show is said to be not visible.
    """
    from loftwright.cli.debriefed import Home, debrief, find_why
    from loftwright.cli.outputs import Outputs
    from loftwright.evidence.recorded_flight import read_recorded_flight

    kept = read_recorded_flight(folder, flight)
    outputs = Outputs({"--csv": csv, "--report": report}, Home(folder, kept))
    found = debrief(folder, kept, log_name)
    if wants_causes:
        found = find_why(found, flights, seed)
    return tell_result(
        "debrief",
        {"name": kept.campaign.head.name, "flight": flight},
        outputs,
        as_json=as_json,
        files={"--csv": lambda: _csv(found), "--report": lambda: _page(found)},
        answer=lambda: _answer(found),
        show=lambda: _show(found),
        stopped=found.report.causes is not None and found.report.causes.stopped,
    )


def _page(found: Debriefed) -> str:
    from loftwright.report.flight_report import flight_page

    return flight_page(found.report)


def _show(found: Debriefed) -> None:
    from loftwright.report.flight_terminal import print_flight_report

    print_flight_report(found.report)


def _csv(found: Debriefed) -> str:
    from loftwright.cli.debrief_answer import curve_csv

    return curve_csv(found.report.reconstruction)


def _answer(found: Debriefed) -> dict[str, object]:
    from loftwright.cli.debrief_answer import debrief_answer

    return debrief_answer(found.report)
