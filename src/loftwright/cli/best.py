"""``loftwright best``."""

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
from loftwright.cli.overrides import read_with, set_option
from loftwright.cli.telling import tell_result

if TYPE_CHECKING:
    from collections.abc import Sequence
    from typing import Any

    from loftwright.report.compare import Side
    from loftwright.study.best import Best

__all__ = ["command"]


@click.command("best")
@campaign_folder
@click.option(
    "--aim",
    "aims",
    metavar="PHRASE",
    multiple=True,
    required=True,
    help="A figure, with most or least before it, or near a value: 'apogee', 'least reach', "
    "'apogee near 60 m'. Two aims give the trade-off between them.",
)
@click.option(
    "--vary",
    "ranges",
    metavar="PATH=FROM..TO",
    multiple=True,
    required=True,
    help="A quantity that may be chosen, e.g. vehicle.fill.water_volume='0.4 L..1.4 L'.",
)
@click.option(
    "--limit",
    "limits",
    metavar="PHRASE",
    multiple=True,
    help="What must hold, e.g. 'max_acceleration < 60 g' or 'proof_margin > 1.3'.",
)
@click.option(
    "--flights",
    metavar="N",
    type=click.IntRange(2, 2000),
    help="Judge every point over this many flights, all points with the same draws: aims by the "
    "median, limits by their careful side, unless p05, median or p95 is said.",
)
@seed_option
@set_option
@report_option
@strips_option
@json_option
def command(
    folder: Path,
    aims: tuple[str, ...],
    ranges: tuple[str, ...],
    limits: tuple[str, ...],
    flights: int | None,
    seed: int,
    settings: tuple[str, ...],
    report: Path | None,
    strips: Path | None,
    as_json: bool,
) -> int:
    """Choose what may be varied in the campaign in DIR so that an aim is served best.

    Says what holds the best point back: which limits bind, and what loosening each by 1 % gains.
    The answer is a proposal to be flown with the usual care; nothing is written to the documents.
    """
    from loftwright.cli.outputs import Outputs

    if len(aims) > 2:
        raise click.UsageError("one aim or two can be served, not more; make the others limits")
    campaign = read_with(folder, settings)
    outputs = Outputs({"--report": report}, campaign, folders={"--strips": strips})
    found = _best(campaign, aims, ranges, limits, flights, seed)
    return tell_result(
        "best",
        {"name": campaign.head.name, "settings": settings},
        outputs,
        as_json=as_json,
        files={},
        page=lambda: _page(found, seed),
        answer=lambda: _answer(found),
        show=lambda: _show(found),
        stopped=found.stopped,
    )


def _best(
    campaign: Any,
    aims: tuple[str, ...],
    ranges: tuple[str, ...],
    limits: tuple[str, ...],
    flights: int | None,
    seed: int,
) -> Best:
    from loftwright.cli.progress import Progress, tell_compiling
    from loftwright.study.best import best
    from loftwright.study.evaluate import Draws
    from loftwright.study.phrases import read_aim, read_limit
    from loftwright.study.question import Question
    from loftwright.study.spans import read_spans

    many = flights is not None
    question = Question(
        campaign=campaign,
        spans=tuple(read_spans(campaign, ranges)),
        aims=tuple(read_aim(campaign, each, spread=many) for each in aims),
        limits=tuple(read_limit(campaign, each, spread=many) for each in limits),
        draws=None if flights is None else Draws(flights, seed),
    )
    tell_compiling()
    progress = Progress("generations, at most")
    try:
        return best(question, seed=seed, progress=progress)
    finally:
        progress.finish()


def _page(found: Best, seed: int) -> str:
    """Fly the point and what is written, and return the page that shows both."""
    from loftwright.report.study_page import best_page

    # Who breaks it off wants its answer now.
    return best_page(found, () if found.stopped else _sides(found, seed))


def _sides(found: Best, seed: int) -> Sequence[Side]:
    from loftwright.cli.sides import BAND, flown_sides
    from loftwright.study.spans import placed

    question = found.question
    flights = BAND if question.draws is None else question.draws.flights
    points = {
        "as written": question.campaign,
        "the best point": placed(question.campaign, found.values),
    }
    return flown_sides(points, flights, seed)


def _show(found: Best) -> None:
    from loftwright.report.study_terminal import print_best

    print_best(found)


def _answer(found: Best) -> dict[str, Any]:
    from loftwright.cli.answers import made_by
    from loftwright.flight.check import check
    from loftwright.study.evaluate import made_by as study_made_by
    from loftwright.study.spans import placed

    question, alike = found.question, found.alike
    return {
        "values": found.values,
        "values_now": found.values_now,
        "aims": [
            {
                "text": aim.text, "figure": aim.figure, "statistic": aim.statistic,
                "direction": aim.direction, "value": found.aims[aim.text],
                "now": found.aims_now[aim.text],
            }
            for aim in question.aims
        ],
        "limits": [
            {
                "text": each.limit.text, "figure": each.limit.figure,
                "statistic": each.limit.statistic, "bound": each.limit.bound,
                "value": each.value, "now": now, "room": each.room, "binds": each.binds,
                "gain_per_percent": each.gain,
            }
            for each, now in zip(found.bindings, found.limits_now, strict=True)
        ],
        "ends": [
            {"path": end.path, "at": "most" if end.at_most else "least", "why": end.why or None}
            for end in found.ends
        ],
        "figures": found.figures,
        "figures_now": found.figures_now,
        "alike": {
            "noise": alike.noise, "ranges": alike.ranges, "matter_little": alike.free,
            "solutions": alike.groups,
        },
        "trade_off": [{"values": each.values, "aims": each.aims} for each in found.trade],
        "points_looked_at": found.looked_at,
        "warnings": check(placed(question.campaign, found.values)).as_dict()["warnings"],
        "stopped": found.stopped,
        "provenance": made_by(study_made_by(question.campaign, question.draws)),
    }  # fmt: skip
