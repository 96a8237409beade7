"""``loftwright check``."""

from __future__ import annotations

from pathlib import Path

import click

from loftwright.cli.options import campaign_folder, json_option

__all__ = ["command"]


@click.command("check")
@campaign_folder
@json_option
def command(folder: Path, as_json: bool) -> None:
    """Read the campaign in DIR and say how the vehicle stands on the pad.

    Every problem of the folder is reported in one run, those of its release programs as well;
    warnings do not fail it.
    """
    from loftwright import __version__
    from loftwright.rehearsal.checking import check_campaign

    checked = check_campaign(folder)
    result, campaign = checked.result(), checked.campaign
    assert campaign is not None  # it has a result
    if as_json:
        from loftwright.cli.answers import emit

        made = {"documents_sha256": campaign.hashes, "model": f"loftwright {__version__}"}
        emit("check", {"name": campaign.head.name, **result.as_dict(), "provenance": made})
        return
    from loftwright.report.terminal import print_check

    print_check(campaign, result.as_dict())
