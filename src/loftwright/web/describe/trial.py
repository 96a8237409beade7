"""What a campaign would be with documents that are not saved yet: findings, figures, drawing."""

from __future__ import annotations

import tempfile
from collections.abc import Mapping
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING

from markupsafe import Markup

from loftwright.documents.history import content_of
from loftwright.documents.named import documents_named
from loftwright.errors import Problem, ProblemError
from loftwright.report.facts import Fact

if TYPE_CHECKING:
    from loftwright.web.bench import Bench

__all__ = ["Trial", "trial_of", "try_campaign"]


@dataclass(frozen=True, slots=True)
class Trial:
    """A campaign read as if: its problems in all documents, and where it reads what it is.

    ``drawing`` is the cutaway; None, as ``facts`` are empty, where there is an error.
    """

    problems: tuple[Problem, ...]
    facts: tuple[Fact, ...] = ()
    drawing: Markup | None = None
    ruled: str = ""

    @property
    def sound(self) -> bool:
        """Whether it reads."""
        return self.drawing is not None

    def of(self, file: str) -> list[Problem]:
        """Return what was found in one document."""
        return [each for each in self.problems if each.where.file == file]


def trial_of(bench: Bench, contents: Mapping[str, bytes]) -> Trial:
    """Return what `try_campaign` does, kept until a file changes: many pages ask for the same."""
    digests = (f"{file} {sha256(content).hexdigest()}" for file, content in contents.items())
    key = ("trial", *sorted(digests))
    return bench.memory.recall(key, lambda: try_campaign(bench.home, contents))


def try_campaign(home: Path, contents: Mapping[str, bytes]) -> Trial:
    """Read the campaign in ``home`` with other ``contents`` in some of its files.

    Raises ``ProblemError`` where there is no campaign at all.
    """
    files = {each.file for each in documents_named(home).values()}
    try:
        there = {file: content_of(home / file) for file in files - set(contents)} | dict(contents)
    except ProblemError as error:  # a folder, or far too large: nothing else can be told either
        return Trial(error.problems)
    with tempfile.TemporaryDirectory(prefix="loftwright-") as name:
        scratch = Path(name).resolve()
        for file, content in there.items():
            path = (scratch / file).resolve()
            if content is not None and path.is_relative_to(scratch):
                path.parent.mkdir(parents=True, exist_ok=True)
                path.write_bytes(content)
        return _looked_at(scratch)


def _looked_at(home: Path) -> Trial:
    from loftwright.rehearsal.checking import check_campaign
    from loftwright.report.cutaway import WIDTHS, draw_cutaway
    from loftwright.report.facts import check_facts

    checked = check_campaign(home)
    campaign = checked.campaign
    if campaign is None or checked.vehicle is None:
        return Trial(checked.problems)
    known = checked.vehicle.as_dict()
    # The drawing escapes its own words: what comes out is markup.
    drawing = Markup(draw_cutaway(campaign, known, WIDTHS["narrow"], "narrow"))
    ruled = "6 in" if campaign.head.units == "us" else "10 cm"
    return Trial(checked.problems, tuple(check_facts(known, campaign.head.units)), drawing, ruled)
