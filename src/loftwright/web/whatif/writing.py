"""Values of the what-if into the documents, as one change that can be taken back."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from loftwright.errors import Problem, ProblemError, Where

if TYPE_CHECKING:
    from loftwright.documents.change import Changed
    from loftwright.web.bench import Bench

__all__ = ["take_back", "write_values"]


def write_values(bench: Bench, values: Mapping[str, str], based_on: Mapping[str, str]) -> Changed:
    """Write values by path (``vehicle.fill.water_volume``) into the documents.

    ``based_on`` are the digests by file that the page was made of: what others changed since is
    kept, and a field that they changed comes back as a conflict, with nothing written.

    Raises ``ProblemError`` for a value that cannot be read, or that the documents would refuse.
    """
    from loftwright.documents.change import Edit, change
    from loftwright.documents.reading import ROLES
    from loftwright.study.asked import asked_campaign

    campaign = bench.read_campaign()
    programs = [path for path in values if path.startswith("program.")]
    if programs:
        message = "numbers of a release program are changed in its document"
        mend = "change it there: see Describe; the other values can be written from here"
        raise ProblemError([Problem("whatif-program", message, Where(field=programs[0]), mend)])
    if not values:
        message, mend = "no value is another than in the documents", "move a slider first"
        raise ProblemError([Problem("whatif-nothing", message, Where(field="values"), mend)])
    asked_campaign(campaign, values)  # all of it together must read
    by_file: dict[str, dict[str, str | int]] = {}
    models: dict[str, type] = {}
    for path, text in values.items():
        role, _, field = path.partition(".")
        file = getattr(campaign.head, role)
        models[file] = ROLES[role]
        by_file.setdefault(file, {})[field] = int(text) if text.isdecimal() else text
    edits = {file: Edit(each, based_on=based_on.get(file)) for file, each in by_file.items()}
    count = len(values)
    what = f"{count} value{'s' if count > 1 else ''} of a what-if"
    return change(bench.home, edits, models, what)


def take_back(bench: Bench) -> str:
    """Take back the last change of the documents; return what it was.

    Raises ``ProblemError`` where there is none, or a document was changed since.
    """
    from loftwright.documents.history import undo

    return undo(bench.home).what
