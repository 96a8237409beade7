"""``loftwright firing``."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from loftwright.cli.options import campaign_folder, json_option, out_file
from loftwright.cli.overrides import read_with, set_option
from loftwright.cli.records import FIT, CommandWithRecords, Reading, read_records, reading_options

if TYPE_CHECKING:
    from loftwright.debrief.firing_fit import FiringFit
    from loftwright.documents import Campaign
    from loftwright.evidence.thrust import MeasuredFiring
    from loftwright.flight.results import Firing

__all__ = ["command"]

# Field of a firing -> column of its CSV file.
COLUMNS = {
    "time": "time_s",
    "thrust": "thrust_n",
    "gauge_pressure": "gauge_pressure_pa",
    "gas_temperature": "gas_temperature_k",
    "water_mass": "water_mass_kg",
    "gas_mass": "gas_mass_kg",
}


@click.command("firing", cls=CommandWithRecords)
@campaign_folder
@click.option(
    FIT,
    "records",
    metavar="FILE...",
    type=click.Path(path_type=Path),
    multiple=True,
    help="Records of firings of this vehicle: measure them, and fit the nozzle's losses to them.",
)
@click.option(
    "--write", is_flag=True, help="Write the fitted coefficients into the vehicle's document."
)
@click.option(
    "--seed",
    metavar="S",
    type=click.IntRange(min=0),
    default=1,
    show_default=True,
    help="Of the fit's draws.",
)
@reading_options
@set_option
@click.option("--csv", metavar="FILE", type=out_file, help="Write the computed firing to a CSV.")
@click.option("--report", metavar="FILE", type=out_file, help="Write a report, one HTML file.")
@json_option
def command(
    folder: Path,
    records: tuple[Path, ...],
    write: bool,
    seed: int,
    settings: tuple[str, ...],
    csv: Path | None,
    report: Path | None,
    as_json: bool,
    **reading: Any,
) -> None:
    """Fire the vehicle in DIR on the stand, held fast; with --fit, learn from recorded firings.

    Records are read as the recorder left them and never changed. What a record does not settle
    itself is asked for by name, with the option that settles it.
    """
    from loftwright.cli.progress import tell_compiling
    from loftwright.flight.firing import static_firing

    if write and not records:
        raise click.UsageError(f"--write needs records: give them with {FIT}")
    campaign = read_with(folder, settings)
    measured = read_records(records, Reading(**reading))
    tell_compiling()
    firing = static_firing(campaign)
    fit = _fit(campaign, measured, seed) if measured else None
    written = []
    if csv is not None:
        _write_csv(csv, firing)
        written.append(csv)
    if report is not None:
        _write_report(report, campaign, firing, measured, fit)
        written.append(report)
    if write and fit is not None:
        written.append(_write_back(campaign, fit))
    if as_json:
        _emit(campaign, settings, firing, measured, fit, written)
        return
    from loftwright.report.terminal import print_firing

    print_firing(campaign, firing, _drawn(measured))
    for note in fit.notes if fit is not None else ():
        click.echo(f"  {note}")
    for path in written:
        click.echo(f"Written: {path}")


def _fit(campaign: Campaign, measured: Mapping[str, MeasuredFiring], seed: int) -> FiringFit:
    from loftwright.debrief.firing_engine import fit_campaign

    click.echo("Fitting the nozzle to the records ...", err=True)
    return fit_campaign(campaign, list(measured.values()), seed=seed)


def _write_csv(path: Path, firing: Firing) -> None:
    from loftwright.documents.files import write_atomically

    rows = zip(*(getattr(firing, field).tolist() for field in COLUMNS), strict=True)
    lines = [",".join(COLUMNS.values()), *(",".join(map(repr, row)) for row in rows)]
    write_atomically(path, "\n".join(lines) + "\n")


def _drawn(measured: Mapping[str, MeasuredFiring]) -> list[Any]:
    from loftwright.cli.records import DrawnRecord

    return [DrawnRecord.of(name, firing) for name, firing in measured.items()]


def _write_report(
    path: Path,
    campaign: Campaign,
    firing: Firing,
    measured: Mapping[str, MeasuredFiring],
    fit: FiringFit | None,
) -> None:
    from loftwright.cli.records import fitted_answer
    from loftwright.documents.files import write_atomically
    from loftwright.flight.check import check
    from loftwright.report.page import firing_page

    found = {"fitted": fitted_answer(fit)} if fit is not None else None
    checked = check(campaign).as_dict()
    write_atomically(path, firing_page(campaign, firing, _drawn(measured), found, checked))


def _write_back(campaign: Campaign, fit: FiringFit) -> Path:
    from loftwright.debrief.firing_write import write_fit

    path = campaign.folder / campaign.head.vehicle
    write_fit(path, fit)
    return path


def _emit(
    campaign: Campaign,
    settings: tuple[str, ...],
    firing: Firing,
    measured: Mapping[str, MeasuredFiring],
    fit: FiringFit | None,
    written: list[Path],
) -> None:
    from loftwright.cli.answers import emit, made_by
    from loftwright.cli.records import fitted_answer, records_answer

    answer: dict[str, Any] = {
        "name": campaign.head.name,
        "settings": settings,
        "files": written,
        **firing.figures,
    }
    if fit is not None:
        answer["records"] = records_answer(measured)
        answer["fitted"] = fitted_answer(fit)
        answer["fit_notes"] = fit.notes
        answer["is_settled"] = fit.settled
    emit("firing", {**answer, "provenance": made_by(firing.provenance)})
