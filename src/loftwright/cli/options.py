"""Arguments and options that several commands share."""

from __future__ import annotations

from pathlib import Path

import click

__all__ = ["campaign_folder", "json_option", "out_file"]

campaign_folder = click.argument("folder", metavar="DIR", type=click.Path(path_type=Path))

json_option = click.option(
    "--json", "as_json", is_flag=True, help="Answer with one JSON object, SI units in its keys."
)

out_file = click.Path(path_type=Path, dir_okay=False)
