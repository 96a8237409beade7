"""``loftwright ledger verify``, ``export`` and ``import``."""

from __future__ import annotations

from pathlib import Path

import click

from loftwright.cli.ledger_take_in import ledger_of, opened
from loftwright.cli.options import campaign_folder, json_option

__all__ = ["export", "import_export", "verify"]

_folder = click.Path(path_type=Path, file_okay=False)


@click.command("verify")
@campaign_folder
@json_option
def verify(folder: Path, as_json: bool) -> int:
    """Read all evidence of DIR and every page of its ledger, and hold both to their digests.

    Exits with 1 when something is not what it was.
    """
    from loftwright.cli.answers import emit, tell_warnings
    from loftwright.cli.progress import Progress
    from loftwright.errors import as_dict
    from loftwright.ledger.verify import verify as looked_at

    progress = Progress("files of evidence")
    with opened(folder) as ledger:
        found = looked_at(ledger, progress)
    progress.finish()
    if as_json:
        answer = {
            "is_whole": found.is_whole,
            "flights": found.flights,
            "documents": found.documents,
            "files": found.files,
            "size_bytes": found.size,
            "amiss": [as_dict(problem) for problem in found.problems],
        }
        emit("ledger-verify", answer)
    else:
        tell_warnings(found.problems)
        state = "All is as it was" if found.is_whole else "Not all is as it was"
        click.echo(
            f"{state}: {found.flights} flights, {found.documents} documents in the ledger, "
            f"{found.files} files of evidence ({found.size / 1e6:.1f} MB)."
        )
    return 0 if found.is_whole else 1


@click.command("export")
@campaign_folder
@click.argument("to", metavar="FOLDER", type=_folder)
@json_option
def export(folder: Path, to: Path, as_json: bool) -> None:
    """Write the whole ledger of DIR as plain files (JSON, CSV, TOML) into a new FOLDER.

    The same ledger always makes the same files. The evidence itself stays in flights/.
    """
    from loftwright.ledger.exchange import export_to

    with opened(folder) as ledger:
        written = export_to(ledger, to)
    if as_json:
        from loftwright.cli.answers import emit

        emit("ledger-export", {"folder": to, "files": written})
    else:
        click.echo(f"Written: {len(written)} files in {to}")


@click.command("import")
@campaign_folder
@click.argument("source", metavar="FOLDER", type=_folder)
@json_option
def import_export(folder: Path, source: Path, as_json: bool) -> None:
    """Put the export in FOLDER into the ledger of DIR, which must be empty."""
    from loftwright.ledger.exchange import import_from

    with ledger_of(folder) as ledger:
        count = import_from(ledger, source)
    if as_json:
        from loftwright.cli.answers import emit

        emit("ledger-import", {"folder": folder, "entries": count})
    else:
        click.echo(f"Put in: {count} entries from {source}")
