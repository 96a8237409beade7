"""``loftwright tune``."""

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
    from typing import Any

    from loftwright.documents import Campaign
    from loftwright.rehearsal.flown_settings import SettingFlown
    from loftwright.rehearsal.tune import Setting, Tuned

__all__ = ["command"]


@click.command("tune")
@campaign_folder
@click.option(
    "--vary",
    "ranges",
    metavar="NAME=FROM..TO",
    multiple=True,
    help="A number of a program and its range, e.g. "
    "--vary 'board.climbing.climb=40 ft/s..60 ft/s'; several times if wanted. Without it, the "
    "names are listed.",
)
@click.option(
    "--aim",
    metavar="FIGURE",
    default="released_well",
    show_default=True,
    help="What to make best.",
)
@click.option(
    "--against",
    metavar="FIGURE",
    default="release_height",
    show_default=True,
    help="What it is traded against; decides among settings that are as good.",
)
@click.option(
    "--limit",
    "limits",
    metavar="PHRASE",
    multiple=True,
    help="What a choice must keep, e.g. --limit 'lost < 1 %'.",
)
@click.option(
    "--faults",
    metavar="all|none|LIST",
    default="none",
    show_default=True,
    help="Faults that count with how likely they are: names with commas between them.",
)
@click.option(
    "--flights",
    metavar="N",
    type=click.IntRange(min=2),
    default=400,
    show_default=True,
    help="Fly each setting this many times, all on the same draws.",
)
@click.option(
    "--points",
    metavar="N",
    type=click.IntRange(2, 1000),
    help="Settings to try: 17 along one range and 48 among several by default.",
)
@click.option("--write", is_flag=True, help="Write the setting that was chosen into the programs.")
@seed_option
@set_option
@csv_option
@report_option
@strips_option
@json_option
def command(
    folder: Path,
    ranges: tuple[str, ...],
    aim: str,
    against: str,
    limits: tuple[str, ...],
    faults: str,
    flights: int,
    points: int | None,
    write: bool,
    seed: int,
    settings: tuple[str, ...],
    csv: Path | None,
    report: Path | None,
    strips: Path | None,
    as_json: bool,
) -> int:
    """Choose thresholds, times and gains of the release programs of the campaign in DIR.

    A number is called CONTROLLER.STAGE.WHAT: a quantity that a condition of the stage compares, or
    hold, not_before, not_after, backup; or CONTROLLER.estimate.WHAT. Promises of the programs are
    kept.
    """
    from loftwright.cli.outputs import Outputs
    from loftwright.rehearsal.plan import see_that_it_rehearses

    campaign = read_with(folder, settings)
    see_that_it_rehearses(campaign)
    if not ranges:
        raise click.UsageError(f"--vary is missing; there are {', '.join(_names(campaign))}")
    outputs = Outputs({"--csv": csv, "--report": report}, campaign, folders={"--strips": strips})
    found = _tuned(campaign, ranges, aim, against, limits, faults, flights, points, seed)
    if write:
        _write(campaign, found)
    return tell_result(
        "tune",
        {"name": campaign.head.name, "set": settings},  # its settings are those that were tried
        outputs,
        as_json=as_json,
        files={"--csv": lambda: _csv(found)},
        page=lambda: _page(campaign, found, seed),
        answer=lambda: _answer(campaign, found),
        show=lambda: _show(campaign, found),
    )


def _names(campaign: Campaign) -> list[str]:
    from loftwright.rehearsal.knobs import knobs_of

    return [knob.path for knob in knobs_of(campaign.programs)]


def _tuned(
    campaign: Campaign,
    ranges: tuple[str, ...],
    aim: str,
    against: str,
    limits: tuple[str, ...],
    faults: str,
    flights: int,
    points: int | None,
    seed: int,
) -> Tuned:
    from loftwright.cli.progress import Progress, tell_compiling_rehearsal
    from loftwright.rehearsal.aims import figure_named, read_limit
    from loftwright.rehearsal.knobs import read_knobs
    from loftwright.rehearsal.tune import tune

    knobs = read_knobs(campaign.programs, ranges)
    held = [read_limit(each) for each in limits]
    names = figure_named(aim, "--aim").name, figure_named(against, "--against").name
    tell_compiling_rehearsal()
    progress = Progress("flights")
    try:
        return tune(
            campaign,
            knobs,
            aim=names[0],
            against=names[1],
            limits=held,
            faults=faults,
            flights=flights,
            seed=seed,
            points=points,
            progress=progress,
        )
    finally:
        progress.finish()


def _write(campaign: Campaign, found: Tuned) -> None:
    """Write what was chosen, where that is not what is written already."""
    from loftwright.rehearsal.adopting import adopt
    from loftwright.rehearsal.knobs import writings_of

    if found.chosen is None or found.chosen.is_written:
        return
    turned = {knob: found.chosen.values[knob.path] for knob in found.knobs}
    what = ", ".join(f"{knob.path} = {knob.shown(value)}" for knob, value in turned.items())
    adopt(campaign.folder, writings_of(campaign, turned), what, campaign.hashes)


def _show(campaign: Campaign, found: Tuned) -> None:
    from loftwright.report.tune_words import print_tuned

    print_tuned(found, campaign.head.units)


def _page(campaign: Campaign, found: Tuned, seed: int) -> str:
    """Fly what is written and what was chosen, and return the page that shows both."""
    from loftwright.cli.sides import unless_stopped
    from loftwright.report.tune_page import tune_page
    from loftwright.report.tune_words import trade_off_of
    from loftwright.report.tuned_lanes import setting_pairs

    labels, flown = unless_stopped(lambda: _flown(campaign, found, seed), ([], ()))
    pairs = list(setting_pairs(flown, labels, campaign.head.units))
    return tune_page(campaign, trade_off_of(found), found.provenance, pairs)


def _flown(
    campaign: Campaign, found: Tuned, seed: int
) -> tuple[list[str], tuple[SettingFlown, ...]]:
    """Fly what is written, and beside it what was chosen where that is something else."""
    from loftwright.rehearsal.flown_settings import fly_settings
    from loftwright.rehearsal.knobs import turned

    labels, programs = ["as written"], [campaign.programs]
    if found.chosen is not None and not found.chosen.is_written:
        values = {knob: found.chosen.values[knob.path] for knob in found.knobs}
        labels.append("chosen")
        programs.append(turned(campaign.programs, values, to_be_read=True))
    flights = found.provenance.flights or 1
    return labels, fly_settings(campaign, programs, flights=flights, seed=seed)


# ---------------------------------------------------------------- for programs


def _answer(campaign: Campaign, found: Tuned) -> dict[str, Any]:
    from loftwright.cli.answers import made_by

    return {
        "varied": [
            {"name": knob.path, "now": knob.now, "from": knob.low, "to": knob.high}
            for knob in found.knobs
        ],
        "aim": found.aims[0].name,
        "against": found.aims[1].name,
        "limits": [limit.words for limit in found.limits],
        "faults": found.faults,
        "confidence": 0.95,
        "chosen": None if found.chosen is None else _setting(campaign, found, found.chosen),
        "settings": [_setting(campaign, found, each) for each in found.settings],
        "notes": found.notes,
        "provenance": made_by(found.provenance),
    }


def _setting(campaign: Campaign, found: Tuned, setting: Setting) -> dict[str, Any]:
    from loftwright.cli.answers import written_as
    from loftwright.rehearsal.knobs import writings_of

    turned = {knob: setting.values[knob.path] for knob in found.knobs}
    return {
        "values": setting.values,
        "says": {knob.path: knob.shown(value) for knob, value in turned.items()},
        "writes": written_as(writings_of(campaign, turned)),
        "figures": {
            name: {"value": each.value, "interval": [each.low, each.high]}
            for name, each in setting.figures.items()
        },
        "breaks": setting.broken,
        "as_written": setting.is_written,
        "on_front": setting.is_on_front,
        "chosen": setting.is_chosen,
    }


def _csv(found: Tuned) -> str:
    """Return every setting, SI."""
    from csv import writer
    from io import StringIO

    from loftwright.documents.cells import cell, cells

    text = StringIO()
    rows = writer(text, lineterminator="\n")
    knobs = [knob.path for knob in found.knobs]
    names = list(found.settings[0].figures)
    ends = [f"{name} {end}" for name in names for end in ("value", "low", "high")]
    rows.writerow([*cells(knobs), *ends, "as written", "on front", "chosen", "breaks"])
    for each in found.settings:
        figures = [
            f"{number:.6g}"
            for name in names
            for number in (
                each.figures[name].value,
                each.figures[name].low,
                each.figures[name].high,
            )
        ]
        marks = [
            "yes" if mark else "no" for mark in (each.is_written, each.is_on_front, each.is_chosen)
        ]
        rows.writerow(
            [
                *(f"{each.values[path]:.6g}" for path in knobs),
                *figures,
                *marks,
                cell("; ".join(each.broken)),
            ]
        )
    return text.getvalue()
