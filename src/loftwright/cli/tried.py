"""Changes that are tried beside a campaign: a value, a number of a program, another folder."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from loftwright.cli.overrides import ROLES, read_other, read_with, typed

if TYPE_CHECKING:
    from loftwright.documents import Campaign
    from loftwright.rehearsal.mends import Change

__all__ = ["changes_of"]


def changes_of(
    folder: Path, settings: Sequence[str], campaign: Campaign, texts: Sequence[str]
) -> list[Change]:
    """Read what ``--try`` asks for, one change a text.

    Raises ``ProblemError`` for what names nothing, and for a campaign that does not read.
    """
    return [_change(folder, settings, campaign, text) for text in texts]


def _change(folder: Path, settings: Sequence[str], campaign: Campaign, text: str) -> Change:
    import json

    from loftwright.rehearsal.mends import Change
    from loftwright.rehearsal.results import Writing

    path, sign, value = (part.strip() for part in text.partition("="))
    if not sign:
        other = read_other(Path(text))
        return Change(f"as in {other.head.name}", f"# the documents of {text}\n", other)
    if path.partition(".")[0] in ROLES:
        changed = read_with(folder, (*settings, text))
        written = json.dumps(typed(value), ensure_ascii=False)
        how = f"# {path}\n{path.split('.')[-1]} = {written}\n"
        role, _, field = path.partition(".")
        file = "campaign.toml" if role == "campaign" else str(getattr(campaign.head, role))
        writing = Writing(file, {field: typed(value)})
        return Change(f"{path} = {value}", how, changed, writings=(writing,))
    return _turned(campaign, text)


def _turned(campaign: Campaign, text: str) -> Change:
    """Turn a number of a program."""
    from dataclasses import replace

    from loftwright.rehearsal.knobs import read_setting, turned, writings_of
    from loftwright.rehearsal.mends import Change

    knob, value = read_setting(campaign.programs, text)
    programs = turned(campaign.programs, {knob: value})
    words = f"{knob.path} = {knob.shown(value)}"
    writings = writings_of(campaign, {knob: value})
    return Change(words, f"# {words}\n", replace(campaign, programs=programs), writings=writings)
