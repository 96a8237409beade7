"""``loftwright explore``."""

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
    from typing import Any

    from loftwright.report.compare import Side
    from loftwright.study.explore import Explored

__all__ = ["command"]

ROW, SIDE = 41, 21  # points along one range, and along each of two


@click.command("explore")
@campaign_folder
@click.argument("ranges", metavar="PATH=FROM..TO [PATH=FROM..TO]", nargs=-1, required=True)
@click.option(
    "--points",
    metavar="N",
    type=click.IntRange(2, 401),
    help=f"Points along each range; {ROW} along one and {SIDE} along each of two by default.",
)
@click.option(
    "--show",
    "shows",
    metavar="FIGURE",
    multiple=True,
    help="A figure to show, such as apogee (the default) or max_acceleration; several times if "
    "wanted.",
)
@click.option(
    "--limit",
    "limits",
    metavar="PHRASE",
    multiple=True,
    help="Mark where this is broken, e.g. --limit 'max_acceleration < 60 g'.",
)
@click.option(
    "--flights",
    metavar="N",
    type=click.IntRange(2, 10_000),
    help="Fly each point this many times, all points with the same draws and gusts.",
)
@seed_option
@set_option
@csv_option
@report_option
@strips_option
@json_option
def command(
    folder: Path,
    ranges: tuple[str, ...],
    points: int | None,
    shows: tuple[str, ...],
    limits: tuple[str, ...],
    flights: int | None,
    seed: int,
    settings: tuple[str, ...],
    csv: Path | None,
    report: Path | None,
    strips: Path | None,
    as_json: bool,
) -> int:
    """Vary one quantity of the campaign in DIR, or two together, and see what that changes.

    A range is a path of the documents and two values with their units, the lesser first:
    vehicle.fill.water_volume='0.4 L..1.4 L'. Whole numbers, such as vehicle.fins.0.count=3..6,
    are taken one by one.
    """
    from loftwright.cli.outputs import Outputs

    if len(ranges) > 2:
        raise click.UsageError("one range or two can be shown, not more")
    campaign = read_with(folder, settings)
    outputs = Outputs({"--csv": csv, "--report": report}, campaign, folders={"--strips": strips})
    explored = _explored(campaign, ranges, points, shows, limits, flights, seed)
    return tell_result(
        "explore",
        {"name": campaign.head.name, "settings": settings},
        outputs,
        as_json=as_json,
        files={"--csv": lambda: _csv(explored)},
        page=lambda: _page(explored, seed),
        answer=lambda: _answer(explored),
        show=lambda: _show(explored),
        stopped=explored.stopped,
    )


def _explored(
    campaign: Any,
    ranges: tuple[str, ...],
    points: int | None,
    shows: tuple[str, ...],
    limits: tuple[str, ...],
    flights: int | None,
    seed: int,
) -> Explored:
    from loftwright.cli.progress import Progress, tell_compiling
    from loftwright.study.evaluate import Draws
    from loftwright.study.explore import explore
    from loftwright.study.figures import figure_key, known_keys
    from loftwright.study.phrases import read_limit
    from loftwright.study.spans import read_spans

    spans = read_spans(campaign, ranges)
    keys = [figure_key(each, known_keys(campaign), "--show") for each in shows or ("apogee",)]
    held = [read_limit(campaign, each, spread=flights is not None) for each in limits]
    tell_compiling()
    progress = Progress("flights")
    try:
        return explore(
            campaign,
            spans,
            list(dict.fromkeys(keys)),
            points=points or (ROW if len(spans) == 1 else SIDE),
            limits=held,
            draws=None if flights is None else Draws(flights, seed),
            progress=progress,
        )
    finally:
        progress.finish()


def _page(explored: Explored, seed: int) -> str:
    """Fly the point where the first figure is best, and what is written; return the page."""
    from loftwright.report.study_page import explore_page

    return explore_page(explored, _sides(explored, seed))


def _sides(explored: Explored, seed: int) -> Sequence[Side]:
    from loftwright.cli.sides import BAND, flown_sides
    from loftwright.report.words import figure
    from loftwright.study.figures import less_is_better
    from loftwright.study.spans import placed

    key = explored.shown[0]
    at = explored.best_at(key)
    if at is None or explored.stopped:  # who breaks it off wants its answer now
        return []
    pairs = zip(explored.spans, explored.grid, at, strict=True)
    there = placed(explored.campaign, {span.path: float(grid[k]) for span, grid, k in pairs})
    flights = BAND if explored.draws is None else explored.draws.flights
    label = f"where {figure(key).words} is {'least' if less_is_better(key) else 'most'}"
    return flown_sides({"as written": explored.campaign, label: there}, flights, seed)


def _show(explored: Explored) -> None:
    from loftwright.report.study_terminal import print_explored

    print_explored(explored)


def _answer(explored: Explored) -> dict[str, Any]:
    """Return ranges, points and figures; arrays have one dimension a range."""
    from loftwright.cli.answers import made_by
    from loftwright.flight.check import check
    from loftwright.study.evaluate import made_by as study_made_by

    figures = {}
    for key in explored.shown:
        at = explored.best_at(key)
        best = None
        if at is not None:
            there = [float(grid[k]) for grid, k in zip(explored.grid, at, strict=True)]
            best = {"values": there, "figure": float(explored.figures[key][at])}
        figures[key] = {
            "values": explored.figures[key],
            "now": explored.now[key],
            "best": best,
            **({"p05": explored.bands[key][..., 0], "p95": explored.bands[key][..., 1]}
               if explored.bands else {}),
        }  # fmt: skip
    return {
        "varied": [
            {"path": span.path, "now": span.now, "values": grid}
            for span, grid in zip(explored.spans, explored.grid, strict=True)
        ],
        "figures": figures,
        "limits": [
            {"text": limit.text, "figure": limit.figure, "bound": limit.bound, "kept": kept}
            for limit, kept in zip(explored.limits, explored.kept, strict=True)
        ],
        "crossings": [{"limit": each.limit.text, "at": each.at} for each in explored.crossings()],
        "refused": [
            {"at": list(map(int, at)), "why": explored.refused[tuple(at)]}
            for at in zip(*(explored.refused != "").nonzero(), strict=True)
        ],
        "warnings": check(explored.campaign).as_dict()["warnings"],
        "stopped": explored.stopped,
        "provenance": made_by(study_made_by(explored.campaign, explored.draws)),
    }


def _csv(explored: Explored) -> str:
    """Return one row a point: what is varied, each figure, whether all limits are kept."""
    import csv
    import io
    from itertools import product
    from math import isfinite

    from loftwright.documents.cells import cell, cells

    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    ends = ("", "_p05", "_p95") if explored.bands else ("",)
    heads = [f"{key}{end}" for key in explored.shown for end in ends]
    writer.writerow(
        [*cells(span.path for span in explored.spans), *heads, "limits_kept", "refused"]
    )
    for at in product(*(range(len(grid)) for grid in explored.grid)):
        row: list[object] = [
            repr(float(grid[k])) for grid, k in zip(explored.grid, at, strict=True)
        ]
        for key in explored.shown:
            values = [float(explored.figures[key][at])]
            if explored.bands:
                values += explored.bands[key][at].tolist()
            row += [repr(value) if isfinite(value) else "" for value in values]
        kept = all(bool(each[at]) for each in explored.kept)
        writer.writerow([*row, "yes" if kept else "no", cell(explored.refused[at])])
    return text.getvalue()
