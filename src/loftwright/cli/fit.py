"""``loftwright fit``."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from loftwright.cli.log_options import LogWords, log_reading_options
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

    from loftwright.cli.flights import Flights
    from loftwright.debrief.fitting.fit import Fitting
    from loftwright.debrief.fitting.results import FlightFit
    from loftwright.documents import Campaign

__all__ = ["command"]


@click.command("fit")
@campaign_folder
@click.argument("flights", metavar="[FLIGHT...]", nargs=-1)
@click.option(
    "--field",
    "fields",
    metavar="PATH",
    multiple=True,
    help="A field to learn, such as vehicle.nozzle.flow_coefficient; several times if wanted. "
    "Every uncertain field when left out.",
)
@click.option(
    "--log",
    metavar="FILE",
    type=click.Path(path_type=Path, dir_okay=False),
    help="Learn from a log that no flight keeps, flown with the documents as they stand.",
)
@click.option(
    "--controller", metavar="NAME", help="The controller whose barometer wrote the log of --log."
)
@click.option(
    "--liftoff", metavar="TIME", help="When the vehicle began to move, by the clock of --log."
)
@click.option("--write", is_flag=True, help="Write what was learnt into the documents.")
@click.option("--again", is_flag=True, help="Learn again from flights that were learnt from.")
@seed_option
@log_reading_options
@set_option
@report_option
@strips_option
@json_option
def command(
    folder: Path,
    flights: tuple[str, ...],
    fields: tuple[str, ...],
    log: Path | None,
    controller: str | None,
    liftoff: str | None,
    write: bool,
    again: bool,
    seed: int,
    settings: tuple[str, ...],
    report: Path | None,
    strips: Path | None,
    as_json: bool,
    **reading: Any,
) -> int:
    """Learn uncertain fields of the campaign in DIR from its recorded flights.

    All flights with a log count when none is named. Says of each field what it was, what it is,
    and how much of that the records taught; several fields that act alike stay known together.
    """
    from loftwright.cli.outputs import Outputs

    if write and settings:
        raise click.UsageError("--write and --set do not go together: write the value yourself")
    campaign = read_with(folder, settings)
    outputs = Outputs(
        {"--report": report},
        campaign,
        [log] if log is not None else [],
        folders={"--strips": strips},
    )
    if log is None:
        given = _kept(folder, campaign, flights, settings, controller or liftoff)
    else:
        given = _alone(campaign, flights, log, controller, liftoff, LogWords(**reading))
    fitting = _fitted(given, fields, seed)
    fit = fitting.fit
    warnings = [*given.warnings, *_used(campaign, fit, write, again)]
    written: list[Any] = []
    if write:
        written, notes = _write(campaign, given, fit, fields)
        outputs.written += list(dict.fromkeys(campaign.folder / each.file for each in written))
        warnings += notes
    return tell_result(
        "fit",
        {"name": campaign.head.name, "settings": settings},
        outputs,
        as_json=as_json,
        files={},
        page=lambda: _page(campaign, fitting, warnings),
        answer=lambda: {**_answer(fit, warnings, written), "provenance": _made(campaign, fit)},
        show=lambda: _show(campaign, fit, warnings, written),
    )


def _kept(
    folder: Path,
    campaign: Campaign,
    names: Sequence[str],
    settings: Sequence[str],
    of_a_log: str | None,
) -> Flights:
    from loftwright.cli.flights import kept_flights

    if of_a_log is not None:
        raise click.UsageError("--controller and --liftoff belong to --log")
    return kept_flights(folder, campaign, names, settings)


def _alone(
    campaign: Campaign,
    names: Sequence[str],
    log: Path,
    controller: str | None,
    liftoff: str | None,
    words: LogWords,
) -> Flights:
    from loftwright.cli.flights import bare_log
    from loftwright.cli.log_options import read_time

    if names:
        raise click.UsageError("--log is a flight by itself: name no FLIGHT beside it")
    began = None if liftoff is None else read_time("--liftoff", liftoff, "12.3s")
    return bare_log(campaign, log, controller, began, words.options())


def _fitted(given: Flights, fields: Sequence[str], seed: int) -> Fitting:
    from loftwright.cli.progress import Progress, tell_compiling
    from loftwright.debrief.fitting.fit import fitting_of

    tell_compiling()
    progress = Progress("flights")
    try:
        return fitting_of(given.inputs, fields=fields or None, seed=seed, progress=progress)
    finally:
        progress.finish()


def _used(campaign: Campaign, fit: FlightFit, write: bool, again: bool) -> list[str]:
    """Return warnings that flights were learnt from before. Raises ``ProblemError`` on writing."""
    from loftwright.debrief.fitting.write import used_before
    from loftwright.errors import ProblemError

    found = list(used_before(campaign, fit))
    if found and write and not again:
        raise ProblemError(found)
    return [] if again else [each.message for each in found]


def _write(
    campaign: Campaign, given: Flights, fit: FlightFit, fields: Sequence[str]
) -> tuple[list[Any], list[str]]:
    from datetime import date

    from loftwright.debrief.fitting.write import write_flight_fit

    return write_flight_fit(
        campaign, fit, day=date.today().isoformat(), asked=fields, flown=given.builds
    )


def _page(campaign: Campaign, fitting: Fitting, warnings: Sequence[str]) -> str:
    """Fly the last flights again, before the fit and after it, and return the page."""
    from loftwright.cli.sides import unless_stopped
    from loftwright.debrief.fitting.before_after import before_and_after
    from loftwright.report.fit_lanes import fit_pairs
    from loftwright.report.fit_page import fit_page

    flown = unless_stopped(lambda: list(before_and_after(fitting)), ())
    pairs = list(fit_pairs(flown, campaign.head.units))
    return fit_page(campaign, fitting.fit, warnings, pairs)


def _show(
    campaign: Campaign, fit: FlightFit, warnings: Sequence[str], written: Sequence[Any]
) -> None:
    from loftwright.report.fit_words import print_fit

    print_fit(campaign, fit, warnings, written)


def _made(campaign: Campaign, fit: FlightFit) -> dict[str, Any]:
    """Return what made the fit: the documents before anything of it was written into them."""
    from dataclasses import replace

    from loftwright.cli.answers import made_by
    from loftwright.study.evaluate import made_by as study_made_by

    return made_by(replace(study_made_by(campaign), seed=fit.seed))


def _answer(fit: FlightFit, warnings: Sequence[str], written: Sequence[Any]) -> dict[str, Any]:
    return {
        "flights": fit.flights,
        "logs_sha256": fit.logs,
        "fields": [
            {
                "path": each.path,
                "flight": each.flight or None,
                "prior": _estimate(each.prior),
                "posterior": _estimate(each.posterior),
                "learnt": each.learnt,
                "overlap": each.overlap,
                "informed": each.informed,
                "goes_with": [
                    {"path": path, "correlation": value} for path, value in each.goes_with
                ],
                "says": each.says,
            }
            for each in fit.fields
        ],
        "units": "SI: m, kg, s, Pa, K, rad, m3",
        "correlation": fit.correlation,
        "known_together": [
            {"plus": each.plus, "minus": each.minus, "spread_left": each.left}
            for each in fit.together
        ],
        "reduced_chi_square": fit.misfit,
        "used": fit.used,
        "warnings": [*warnings, *fit.warnings],
        "written": [
            {"path": each.path, "file": each.file, "before": each.before, "now": each.now}
            for each in written
        ],
        "seed": fit.seed,
    }


def _estimate(each: Any) -> dict[str, float]:
    return {"value": each.value, "sd": each.sd, "p05": each.low, "p95": each.high}
