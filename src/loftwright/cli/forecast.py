"""``loftwright forecast``."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from loftwright.cli.options import campaign_folder, json_option, report_option, strips_option
from loftwright.cli.overrides import BALLISTIC, read_with, set_option
from loftwright.cli.tracks import track_options

if TYPE_CHECKING:
    from typing import Any

    from loftwright.documents import Campaign
    from loftwright.flight.results import Ensemble, Flight

__all__ = ["command"]


@click.command("forecast")
@campaign_folder
@click.option(
    "--flights",
    metavar="N",
    type=click.IntRange(min=2),
    help="Fly this many times with uncertain fields, wind and gusts drawn anew each time.",
)
@click.option(
    "--seed",
    metavar="S",
    type=click.IntRange(min=0),
    default=1,
    show_default=True,
    help="Of the draws; the same seed gives the same flights on any number of threads.",
)
@click.option(
    "--tolerance",
    metavar="X",
    type=click.FloatRange(min=1e-12, max=1e-2),
    default=1e-6,
    show_default=True,
    help="Relative tolerance of the integrator.",
)
@click.option("--ballistic", is_flag=True, help="Fly with a canopy that never opens.")
@set_option
@track_options
@report_option
@strips_option
@click.option(
    "--resume",
    is_flag=True,
    help="Go on from the flights that an earlier run left for --parquet, stopped or complete.",
)
@click.option(
    "--cluster",
    metavar="ADDRESS",
    help="Fly --flights on the workers of the Dask scheduler there, e.g. tcp://192.0.2.7:8786.",
)
@json_option
def command(
    folder: Path,
    flights: int | None,
    seed: int,
    tolerance: float,
    ballistic: bool,
    settings: tuple[str, ...],
    csv: Path | None,
    npz: Path | None,
    parquet: Path | None,
    report: Path | None,
    strips: Path | None,
    resume: bool,
    cluster: str | None,
    as_json: bool,
) -> None:
    """Fly the campaign in DIR from boost to the ground.

    Once with the values as they are written, or with --flights many times with what is uncertain
    drawn. Files that are named are replaced if they exist, but never a document or other evidence.
    """
    from loftwright.cli.outputs import Outputs
    from loftwright.cli.strips import write_page
    from loftwright.cli.tracks import write_tracks

    _refuse_alone(flights, parquet, resume, cluster)
    campaign = read_with(folder, settings)
    if ballistic and campaign.vehicle.canopy is not None:
        settings = (*settings, BALLISTIC)
        campaign = read_with(folder, settings)
    asked = {"--csv": csv, "--npz": npz, "--parquet": parquet, "--report": report}
    outputs = Outputs(asked, campaign, folders={"--strips": strips})
    result = _fly(campaign, flights, seed, tolerance, parquet, resume, cluster)
    if flights is not None and parquet is not None:
        outputs.written.append(parquet)
    write_tracks(result, outputs)
    write_page(outputs, lambda: _page(campaign, result))
    if not settings:
        _note(campaign, result, flights)
    if as_json:
        from loftwright.cli.answers import emit
        from loftwright.cli.forecast_answer import forecast_answer

        about = {"name": campaign.head.name, "settings": settings, "files": outputs.written}
        answer = forecast_answer(campaign, *_parts(result))
        emit("forecast", {**about, **answer, "warnings": _warnings(campaign)})
        return
    _show(campaign, result)
    for path in outputs.written:
        click.echo(f"Written: {path}")


def _refuse_alone(
    flights: int | None, parquet: Path | None, resume: bool, cluster: str | None
) -> None:
    """Refuse options that would do nothing by themselves."""
    if resume and (flights is None or parquet is None):
        raise click.UsageError("--resume needs --flights and --parquet")
    if cluster is not None and flights is None:
        raise click.UsageError("--cluster needs --flights")


def _fly(
    campaign: Campaign,
    flights: int | None,
    seed: int,
    tolerance: float,
    parquet: Path | None,
    resume: bool,
    cluster: str | None,
) -> Flight | Ensemble:
    from loftwright.cli.progress import Progress, tell_compiling
    from loftwright.flight.forecast import forecast

    tell_compiling()
    progress = Progress("flights")
    try:
        if flights is None:
            return forecast(campaign, seed=seed, tolerance=tolerance, progress=progress)
        return forecast(
            campaign,
            flights=flights,
            seed=seed,
            tolerance=tolerance,
            progress=progress,
            parquet=parquet,
            resume=resume,
            cluster=cluster,
        )
    except BaseException:
        progress.finish()
        if parquet is not None and progress.done:
            _tell_partial(parquet)
        raise
    finally:
        progress.finish()


def _tell_partial(parquet: Path) -> None:
    """Say where the flights of a run stand that ended before its time."""
    from loftwright.flight.flights_file import partial_path

    partial = partial_path(parquet)
    if partial.is_file():
        click.echo(f"Flights so far stand in {partial}; --resume goes on from there.", err=True)


def _show(campaign: Campaign, result: Flight | Ensemble) -> None:
    from loftwright.flight.check import check
    from loftwright.report.terminal import print_forecast

    print_forecast(campaign, *_parts(result), check(campaign).as_dict())


def _note(campaign: Campaign, result: Flight | Ensemble, flights: int | None) -> None:
    """Note that these documents were forecast, with the answer in a sentence."""
    from loftwright.cli.noting import note_documents

    def says() -> str:
        from loftwright.report.answer import forecast_answer

        return forecast_answer(campaign, *_parts(result)).lead

    note_documents("forecast", campaign, says, flights=flights)


def _page(campaign: Campaign, result: Flight | Ensemble) -> str:
    from loftwright.flight.check import check
    from loftwright.report.page import forecast_page

    flight, ensemble = _parts(result)
    return forecast_page(campaign, flight, ensemble, check(campaign).as_dict())


def _parts(result: Flight | Ensemble) -> tuple[Flight, Ensemble | None]:
    """Return the flight with the values as they are written, and the ensemble around it."""
    from loftwright.flight.results import Ensemble

    return (result.nominal, result) if isinstance(result, Ensemble) else (result, None)


def _warnings(campaign: Campaign) -> Any:
    """Return what is doubtful about documents and vehicle, as ``check --json`` has it.

    Programs are left to `check`: a forecast is flown without them.
    """
    from loftwright.flight.check import check

    return check(campaign).as_dict()["warnings"]
