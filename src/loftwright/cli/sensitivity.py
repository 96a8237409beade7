"""``loftwright sensitivity``."""

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
    from loftwright.study.sensitivity import Sensitivity

__all__ = ["command"]

FLIGHTS = 1024


@click.command("sensitivity")
@campaign_folder
@click.option(
    "--figure",
    "figures",
    metavar="FIGURE",
    multiple=True,
    default=("apogee",),
    show_default=True,
    help="A figure whose spread is to be explained, such as apogee or release_climb; several "
    "times if wanted.",
)
@click.option(
    "--flights",
    metavar="N",
    type=click.IntRange(8, 65_536),
    default=FLIGHTS,
    show_default=True,
    help="Flights in each of two plain samples, rounded to a power of two; as many again are "
    "flown for every input.",
)
@seed_option
@set_option
@report_option
@strips_option
@json_option
def command(
    folder: Path,
    figures: tuple[str, ...],
    flights: int,
    seed: int,
    settings: tuple[str, ...],
    report: Path | None,
    strips: Path | None,
    as_json: bool,
) -> int:
    """Share out a figure's variance among the uncertain fields of the campaign in DIR.

    Each share comes with its 95 % interval: alone, and with all that it does together with
    others. Measure the largest first.
    """
    from loftwright.cli.outputs import Outputs

    campaign = read_with(folder, settings)
    outputs = Outputs({"--report": report}, campaign, folders={"--strips": strips})
    found = _found(campaign, figures, flights, seed)
    return tell_result(
        "sensitivity",
        {"name": campaign.head.name, "settings": settings},
        outputs,
        as_json=as_json,
        files={},
        page=lambda: _page(found),
        answer=lambda: _answer(found),
        show=lambda: _show(found),
    )


def _page(found: list[Sensitivity]) -> str:
    """Fly what counts most at both its ends, and return the page."""
    from loftwright.report.study_page import sensitivity_page

    return sensitivity_page(found, _sides(found[0]))


def _sides(found: Sensitivity) -> Sequence[Side]:
    """Fly the field with the largest share at both ends of what it may be.

    Gusts have no ends, and of where something lands a strip shows nothing.
    """
    from loftwright.cli.sides import BAND, flown_sides
    from loftwright.report.drivers import input_stated
    from loftwright.report.words import figure
    from loftwright.study.ends import ends_of
    from loftwright.study.uncertain import GUSTS

    path = found.indices[0].path if found.indices else GUSTS
    if path == GUSTS or figure(found.figure).kind == "distance":
        return []
    points = {
        input_stated(found.campaign, path, end.value): end.campaign
        for end in ends_of(found.campaign, path)
    }
    return flown_sides(points, BAND, found.seed)


def _show(found: list[Sensitivity]) -> None:
    from loftwright.report.study_terminal import print_sensitivity

    print_sensitivity(found)


def _found(campaign: Any, figures: tuple[str, ...], flights: int, seed: int) -> list[Sensitivity]:
    from loftwright.cli.progress import Progress, tell_compiling
    from loftwright.study.figures import figure_key, known_keys
    from loftwright.study.sensitivity import sensitivity

    keys = [figure_key(each, known_keys(campaign), "--figure") for each in figures]
    tell_compiling()
    progress = Progress("flights")
    try:
        return sensitivity(
            campaign, list(dict.fromkeys(keys)), flights=flights, seed=seed, progress=progress
        )
    finally:
        progress.finish()


def _answer(found: list[Sensitivity]) -> dict[str, Any]:
    from loftwright.cli.answers import made_by
    from loftwright.study.evaluate import Draws
    from loftwright.study.evaluate import made_by as study_made_by

    first = found[0]
    return {
        "figures": {
            each.figure: {
                "mean": each.mean,
                "sd": each.sd,
                "explained_alone": each.alone,
                "happened": each.happened,
                "inputs": [
                    {
                        "path": index.path,
                        "first": index.first,
                        "first_interval": [index.first_low, index.first_high],
                        "first_told_from_zero": index.alone_from_zero,
                        "total": index.total,
                        "total_interval": [index.total_low, index.total_high],
                    }
                    for index in each.indices
                ],
            }
            for each in found
        },
        "flights_asked": first.asked,
        "flights_in_each_sample": first.base,
        "flights": first.flights,
        "confidence": 0.95,
        "provenance": made_by(study_made_by(first.campaign, Draws(first.flights, first.seed))),
    }
