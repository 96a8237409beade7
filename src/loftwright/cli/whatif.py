"""``loftwright whatif``."""

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
    from collections.abc import Mapping, Sequence
    from typing import Any

    from loftwright.cli.progress import Progress
    from loftwright.documents import Campaign
    from loftwright.study.whatif import Question, WhatIf, WhatIfAnswer

__all__ = ["FLIGHTS", "command"]

FLIGHTS = 400  # as many as the page flies when the hand rests


@click.command("whatif")
@campaign_folder
@click.option(
    "--set",
    "settings",
    metavar="PATH=VALUE",
    multiple=True,
    help="Another value, of the documents or of a program: vehicle.fill.water_volume='0.8 L', "
    "program.board.climbing.climb='12 m/s'. May be given several times.",
)
@click.option(
    "--against",
    metavar="PATH=VALUE",
    multiple=True,
    help="A value of the baseline; without any, the baseline is the campaign as it is written.",
)
@click.option(
    "--programs",
    is_flag=True,
    help="Let the release programs decide when things go and open, on what they sense.",
)
@click.option(
    "--flights",
    metavar="N",
    type=click.IntRange(2, 10_000),
    default=FLIGHTS,
    show_default=True,
    help="Fly each side this many times, both with the same draws and gusts.",
)
@seed_option
@report_option
@strips_option
@json_option
def command(
    folder: Path,
    settings: tuple[str, ...],
    against: tuple[str, ...],
    programs: bool,
    flights: int,
    seed: int,
    report: Path | None,
    strips: Path | None,
    as_json: bool,
) -> int:
    """Say what would be with other values: figures now, and beside a baseline.

    What the sliders of the Forecast page show. Numbers of a release program can be set as well;
    then the programs decide, as with --programs. The documents stay as they are.
    """
    from loftwright.cli.outputs import Outputs
    from loftwright.documents import read_campaign

    campaign = read_campaign(folder)
    outputs = Outputs({"--report": report}, campaign, folders={"--strips": strips})
    values, other = _values(settings, "--set"), _values(against, "--against")
    decided_by = _decided_by(programs, [*values, *other])
    now, pinned = _flown(_engine(campaign, decided_by, seed), values, other, flights)
    called = "the baseline" if against else "as written"
    return tell_result(
        "whatif",
        {"name": campaign.head.name, "settings": settings, "against": against},
        outputs,
        as_json=as_json,
        files={},
        page=lambda: _page(now, pinned, called, decided_by),
        answer=lambda: {"decided_by": decided_by, **_answer(now, pinned)},
        show=lambda: _show(now, pinned, called),
    )


def _values(settings: Sequence[str], option: str) -> dict[str, str]:
    """Return what is set by its path; raises ``ProblemError`` for what is no PATH=VALUE."""
    from loftwright.cli.overrides import refused

    found = {}
    for setting in settings:
        path, sign, text = setting.partition("=")
        if not sign or not path.strip():
            message = "this is not PATH=VALUE"
            mend = f"write for example {option} vehicle.fill.water_volume='0.8 L'"
            raise refused(setting, message, mend, option)
        found[path.strip()] = text.strip()
    return found


def _decided_by(programs: bool, paths: Sequence[str]) -> str:
    """Return what decides when things go and open; who turns a program has it fly along."""
    from loftwright.debrief.scoring.kept_flights import DOCUMENTS, PROGRAMS
    from loftwright.debrief.whatif import PROGRAM

    return PROGRAMS if programs or any(path.startswith(PROGRAM) for path in paths) else DOCUMENTS


def _engine(campaign: Campaign, decided_by: str, seed: int) -> WhatIf:
    from loftwright.debrief.scoring.kept_flights import PROGRAMS
    from loftwright.debrief.whatif import WhatIfPrograms
    from loftwright.study.whatif import WhatIf

    return (WhatIfPrograms if decided_by == PROGRAMS else WhatIf)(campaign, seed)


def _flown(
    engine: WhatIf, values: Mapping[str, str], other: Mapping[str, str], flights: int
) -> tuple[WhatIfAnswer, WhatIfAnswer | None]:
    """Fly the values, and beside them the baseline where it is another."""
    from loftwright.cli.progress import Progress, tell_compiling

    questions = [engine.ask(each) for each in ([values] if values == other else [values, other])]
    tell_compiling()
    progress = Progress("flights")
    total = flights * len(questions)
    try:
        for place, question in enumerate(questions):
            _fly(question, flights, progress, place * flights, total)
    finally:
        progress.finish()
    answers = [question.answer() for question in questions]
    return answers[0], answers[1] if len(answers) > 1 else None


def _fly(question: Question, flights: int, progress: Progress, before: int, total: int) -> None:
    def told() -> bool:
        progress(before + question.done, total)
        return True

    question.fly(flights, told)
    told()


def _page(now: WhatIfAnswer, pinned: WhatIfAnswer | None, against: str, decided_by: str) -> str:
    from loftwright.report.whatif_report import whatif_report

    return whatif_report(now, pinned, against=against, decided_by=decided_by)


def _show(now: WhatIfAnswer, pinned: WhatIfAnswer | None, against: str) -> None:
    from loftwright.report.whatif_terminal import print_whatif

    print_whatif(now, pinned, against=against)


def _answer(now: WhatIfAnswer, pinned: WhatIfAnswer | None) -> dict[str, Any]:
    """Return p05, p50 and p95 of each figure on both sides, and what is another between them."""
    from loftwright.cli.answers import made_by
    from loftwright.flight.check import check
    from loftwright.flight.statistics import statistics
    from loftwright.report.whatif_figures import figure_groups, with_ground
    from loftwright.study.evaluate import Draws
    from loftwright.study.evaluate import made_by as study_made_by

    columns = with_ground(now)
    beside = None if pinned is None else with_ground(pinned)
    rows = [row for group in figure_groups(now, columns, beside) for row in group.rows]
    made = study_made_by(now.campaign, Draws(now.flights, now.seed))
    return {
        "figures": statistics(columns),
        "baseline": None if beside is None else statistics(beside),
        "differences": {
            row.key: {"median": row.difference, "told_apart": row.told_apart}
            for row in rows
            if row.difference is not None
        },
        "warnings": check(now.campaign).as_dict()["warnings"],
        "provenance": made_by(made),
    }
