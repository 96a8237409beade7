"""``loftwright firing``."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from loftwright.cli.options import (
    campaign_folder,
    json_option,
    out_file,
    report_option,
    strips_option,
)
from loftwright.cli.overrides import read_with, set_option
from loftwright.cli.records import (
    FIT,
    CommandWithRecords,
    Reading,
    kept_firings,
    read_records,
    reading_options,
)

if TYPE_CHECKING:
    from loftwright.cli.fitting import Learnt
    from loftwright.cli.outputs import Outputs
    from loftwright.debrief.firings.fit import FiringFit
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
    "--flight",
    "flights",
    metavar="NAME",
    multiple=True,
    help="Fit to the firings that are kept under DIR/flights/NAME; see loftwright record.",
)
@click.option(
    "--write", is_flag=True, help="Write the fitted coefficients into the vehicle's document."
)
@click.option(
    "--again",
    is_flag=True,
    help="Fit records anew that the document's values were fitted to already.",
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
@report_option
@strips_option
@json_option
def command(
    folder: Path,
    records: tuple[Path, ...],
    flights: tuple[str, ...],
    write: bool,
    again: bool,
    seed: int,
    settings: tuple[str, ...],
    csv: Path | None,
    report: Path | None,
    strips: Path | None,
    as_json: bool,
    **reading: Any,
) -> None:
    """Fire the vehicle in DIR on the stand, held fast; with --fit, learn from recorded firings.

    Records are read as the recorder left them and never changed. What a record does not settle
    itself is asked for by name, with the option that settles it.
    """
    from loftwright.cli.fitting import learn
    from loftwright.cli.outputs import Outputs
    from loftwright.cli.progress import tell_compiling
    from loftwright.cli.strips import write_page
    from loftwright.flight.firing import static_firing

    if write and not records and not flights:
        raise click.UsageError(f"--write needs records: give them with {FIT}")
    kept = kept_firings(folder, flights)
    records = (*records, *kept)
    campaign = read_with(folder, settings)
    outputs = Outputs(
        {"--csv": csv, "--report": report}, campaign, records, folders={"--strips": strips}
    )
    measured = read_records(records, Reading(**reading), kept)
    tell_compiling()
    firing = static_firing(campaign)
    learnt = learn(campaign, measured, seed=seed, writes=write, again=again)
    if csv is not None:
        _write_csv(outputs, firing)
    write_page(outputs, lambda: _page(campaign, firing, measured, learnt))
    if write and learnt.fit is not None:
        outputs.written.append(_write_back(campaign, learnt.fit))
    if not settings:
        _note(campaign, firing)
    if as_json:
        _emit(campaign, settings, firing, measured, learnt, outputs.written)
        return
    _show(campaign, firing, measured, learnt)
    for path in outputs.written:
        click.echo(f"Written: {path}")


def _note(campaign: Campaign, firing: Firing) -> None:
    """Note that this vehicle was fired on the stand, with the answer in a sentence."""
    from loftwright.cli.noting import note_documents

    def says() -> str:
        from loftwright.report.firing_answer import firing_answer

        return firing_answer(firing, [], campaign.head.units).lead

    note_documents("firing", campaign, says)


def _show(
    campaign: Campaign,
    firing: Firing,
    measured: Mapping[str, MeasuredFiring],
    learnt: Learnt,
) -> None:
    from loftwright.cli.answers import tell_warnings
    from loftwright.cli.firing_words import fit_lines, record_lines
    from loftwright.report.terminal import print_firing

    tell_warnings(learnt.warnings)
    if measured:
        system = campaign.head.units
        lines = [*record_lines(measured, system), "", *fit_lines(learnt, system), ""]
        lines.append("The model as written in the documents, before the fit:")
        click.echo("\n".join(lines))
    # Records of another fill are not held against a firing of this one.
    print_firing(campaign, firing, [] if learnt.foreign else _drawn(measured))


def _write_csv(outputs: Outputs, firing: Firing) -> None:
    rows = zip(*(getattr(firing, field).tolist() for field in COLUMNS), strict=True)
    lines = [",".join(COLUMNS.values()), *(",".join(map(repr, row)) for row in rows)]
    outputs.write("--csv", "\n".join(lines) + "\n")


def _drawn(measured: Mapping[str, MeasuredFiring]) -> list[Any]:
    from loftwright.cli.records import DrawnRecord

    return [DrawnRecord.of(name, firing) for name, firing in measured.items()]


def _page(
    campaign: Campaign,
    firing: Firing,
    measured: Mapping[str, MeasuredFiring],
    learnt: Learnt,
) -> str:
    from loftwright.flight.check import check
    from loftwright.report.page import firing_page

    found = _found(campaign, learnt.fit, learnt) if learnt.fit is not None else None
    checked = _on_the_stand(check(campaign).as_dict())
    return firing_page(campaign, firing, _drawn(measured), found, checked)


def _on_the_stand(checked: dict[str, Any]) -> dict[str, Any]:
    """Return what the check found without what matters to flights only."""
    warnings = [each for each in checked["warnings"] if each["code"] != "check-no-fins"]
    return {**checked, "warnings": warnings}


def _found(campaign: Campaign, fit: FiringFit, learnt: Learnt) -> dict[str, Any]:
    """Gather what the report shows of a fit."""
    from loftwright.cli.records import fitted_answer
    from loftwright.debrief.firings.band import firing_band
    from loftwright.debrief.firings.engine import simulator

    return {
        "fitted": fitted_answer(learnt.fitted),
        "band": firing_band(fit, simulator(campaign)),
        "impulse_n_s": fit.predict().interval("impulse"),
        "notes": (*(warning.message for warning in learnt.warnings), *learnt.notes),
    }


def _write_back(campaign: Campaign, fit: FiringFit) -> Path:
    from loftwright.debrief.firings.write import write_fit

    path = campaign.folder / campaign.head.vehicle
    write_fit(path, fit, home=campaign.folder)
    return path


def _emit(
    campaign: Campaign,
    settings: tuple[str, ...],
    firing: Firing,
    measured: Mapping[str, MeasuredFiring],
    learnt: Learnt,
    written: list[Path],
) -> None:
    from loftwright.cli.answers import emit, made_by
    from loftwright.cli.records import fitted_answer, records_answer
    from loftwright.errors import as_dict

    answer: dict[str, Any] = {
        "name": campaign.head.name,
        "settings": settings,
        "files": written,
        **firing.figures,
    }
    if learnt.fit is not None:
        answer["records"] = records_answer(measured)
        answer["fitted"] = fitted_answer(learnt.fitted)
        answer["fit_notes"] = learnt.notes
        answer["is_settled"] = learnt.fit.settled
        answer["warnings"] = [as_dict(warning) for warning in learnt.warnings]
    emit("firing", {**answer, "provenance": made_by(firing.provenance)})
