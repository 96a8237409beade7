"""Arguments and options that several commands share."""

from __future__ import annotations

from pathlib import Path

import click

__all__ = [
    "campaign_folder",
    "csv_option",
    "json_option",
    "out_file",
    "out_folder",
    "report_option",
    "seed_option",
    "strips_option",
]

campaign_folder = click.argument("folder", metavar="DIR", type=click.Path(path_type=Path))

json_option = click.option(
    "--json", "as_json", is_flag=True, help="Answer with one JSON object, SI units in its keys."
)

out_file = click.Path(path_type=Path, dir_okay=False)
out_folder = click.Path(path_type=Path, file_okay=False)

report_option = click.option(
    "--report", metavar="FILE", type=out_file, help="Write a report, one HTML file."
)

strips_option = click.option(
    "--strips",
    metavar="FOLDER",
    type=out_folder,
    help="Keep each strip of the report by itself, to be drawn and read again.",
)

csv_option = click.option(
    "--csv", metavar="FILE", type=out_file, help="Write every point to a CSV file, SI units."
)

seed_option = click.option(
    "--seed",
    metavar="S",
    type=click.IntRange(min=0),
    default=1,
    show_default=True,
    help="Of the draws and of the search; the same seed gives the same answer.",
)
