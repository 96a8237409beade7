"""Reading a campaign with some of its values replaced for one run; its files stay as they are."""

from __future__ import annotations

import re
import shutil
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from loftwright.documents import Campaign

__all__ = ["BALLISTIC", "ROLES", "read_other", "read_with", "refused", "set_option", "typed"]

BALLISTIC = "vehicle.canopy.opens=never"
STAGES = ("vehicle", "payload", "payload2", "payload3", "boosters", "upper")
ROLES = ("campaign", *STAGES, "avionics", "site")
_WHOLE = re.compile(r"[0-9]{1,9}")

set_option = click.option(
    "--set",
    "settings",
    metavar="PATH=VALUE",
    multiple=True,
    help="Take another value for this run, e.g. --set vehicle.fill.water_volume='0.8 L'. "
    "May be given several times; the documents stay as they are.",
)


def read_with(folder: Path, settings: Sequence[str]) -> Campaign:
    """Read the campaign in ``folder`` as if its documents said what ``settings`` say.

    Raises ``ProblemError`` like ``read_campaign``, and for a setting that names no document.
    What is wrong or doubtful only with the settings names the setting as its place.
    """
    from loftwright.cli.blame import Blame
    from loftwright.documents import read_campaign
    from loftwright.errors import ProblemError

    home = folder.parent if folder.name == "campaign.toml" else folder
    if not settings or not (home / "campaign.toml").is_file():
        return read_campaign(folder)
    wanted = _by_role(settings)
    names = _names(home)
    if not all((home / name).is_file() for name in names.values()):
        return read_campaign(folder)  # which says what is missing
    blame = Blame(home, settings, names)
    with TemporaryDirectory(prefix="loftwright-") as scratch:
        _copy(home, Path(scratch), names)
        try:
            for role, values in wanted.items():
                _set(Path(scratch), role, names, values)
            campaign = read_campaign(Path(scratch))
        except ProblemError as error:
            raise ProblemError(blame.placed(error.problems)) from error
    return replace(campaign, folder=home, warnings=blame.placed(campaign.warnings))


def _by_role(settings: Sequence[str]) -> dict[str, dict[str, str | int]]:
    wanted: dict[str, dict[str, str | int]] = defaultdict(dict)
    for setting in settings:
        path, sign, text = setting.partition("=")
        role, _, field = path.strip().partition(".")
        if not sign or not field or role not in ROLES:
            message = "this is not PATH=VALUE with a path that begins with a document"
            mend = f"begin with {', '.join(ROLES)}: vehicle.fill.water_volume='0.8 L'"
            raise refused(setting, message, mend)
        wanted[role][field] = typed(text)
    return wanted


def typed(text: str) -> str | int:
    """Return a value of ``--set`` as a document has it: whole numbers bare, all else as text."""
    return int(text) if _WHOLE.fullmatch(text.strip()) else text.strip()


def read_other(other: Path) -> Campaign:
    """Read a second campaign; what is wrong with it is placed in its folder."""
    from loftwright.errors import ProblemError

    try:
        return read_with(other, ())
    except ProblemError as error:
        home = other.parent if other.name == "campaign.toml" else other
        problems = [
            replace(each, where=replace(each.where, file=_inside(home, each.where.file)))
            for each in error.problems
        ]
        raise ProblemError(problems) from error


def _inside(home: Path, file: str | None) -> str | None:
    """Return a document's name with its folder, where it is not there yet."""
    if file is None or Path(file).is_relative_to(home):
        return file
    return str(home / file)


def refused(value: str, message: str, mend: str, option: str = "--set") -> Exception:
    """Return the error of a setting that cannot be taken."""
    from loftwright.errors import Problem, ProblemError, Where

    where = Where(field=option, value=value)
    return ProblemError([Problem("command-setting", message, where, mend)])


def _names(home: Path) -> dict[str, str]:
    """Return the file name of each role."""
    from loftwright.documents import read_document
    from loftwright.documents.campaign import CampaignFile

    head = read_document(home / "campaign.toml", CampaignFile)
    names = {role: getattr(head, role) for role in (*STAGES, "avionics", "site")}
    named = {role: name for role, name in names.items() if name is not None}
    return {"campaign": "campaign.toml", **named}


def _copy(home: Path, scratch: Path, names: dict[str, str]) -> None:
    """Copy the documents of a campaign, and the programs that its avionics name."""
    from loftwright.documents.reading import programs_named

    programs = programs_named(home, names["avionics"]) if "avionics" in names else []
    for name in (*names.values(), *(each for each in programs if (home / each).is_file())):
        copy = scratch / name
        inside = copy.resolve().is_relative_to(scratch.resolve())
        if inside:
            copy.parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(home / name, copy)


def _set(scratch: Path, role: str, names: dict[str, str], values: dict[str, str | int]) -> None:
    from loftwright.documents.edit import set_values

    if role not in names:
        mend = f"it has {', '.join(names)}"
        given = "; ".join(f"{role}.{field}={value}" for field, value in values.items())
        raise refused(given, f"this campaign has no {role}", mend)
    set_values(scratch / names[role], values)
