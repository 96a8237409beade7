"""Values of the what-if into the documents, as one change that can be taken back."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from loftwright.errors import Problem, ProblemError, Where
from loftwright.web.whatif.shown import PROGRAM

if TYPE_CHECKING:
    from loftwright.documents import Campaign
    from loftwright.documents.change import Changed
    from loftwright.documents.edit import Value
    from loftwright.documents.journal import Made
    from loftwright.web.bench import Bench

__all__ = ["take_back", "write_values"]


def write_values(bench: Bench, values: Mapping[str, str], based_on: Mapping[str, str]) -> Changed:
    """Write values by path (``vehicle.fill.water_volume``) into the documents.

    ``based_on`` are the digests by file that the page was made of: what others changed since is
    kept, and a field that they changed comes back as a conflict, with nothing written.

    Raises ``ProblemError`` for a value that cannot be read, or that the documents would refuse.
    """
    from loftwright.documents.change import Edit, change
    from loftwright.documents.reading import MODELS, ROLES
    from loftwright.documents.written import as_written
    from loftwright.study.asked import asked_campaign

    campaign = bench.read_campaign()
    if not values:
        message, mend = "no value is another than in the documents", "move a slider first"
        raise ProblemError([Problem("whatif-nothing", message, Where(field="values"), mend)])
    fields = {path: text for path, text in values.items() if not path.startswith(PROGRAM)}
    asked_campaign(campaign, fields)  # all of it together must read
    by_file = _of_programs(campaign, {path: values[path] for path in values if path not in fields})
    models: dict[str, type] = dict.fromkeys(by_file, MODELS["program"])
    for path, text in fields.items():
        role, _, field = path.partition(".")
        file = getattr(campaign.head, role)
        models[file] = ROLES[role]
        by_file.setdefault(file, {})[field] = as_written(ROLES[role], field, text)
    edits = {file: Edit(each, based_on=based_on.get(file)) for file, each in by_file.items()}
    count = len(values)
    what = f"{count} value{'s' if count > 1 else ''} of a what-if"
    return change(bench.home, edits, models, what)


def _of_programs(campaign: Campaign, turns: Mapping[str, str]) -> dict[str, dict[str, Value]]:
    """Return what writes numbers of release programs, by file."""
    if not turns:
        return {}
    from loftwright.rehearsal.knobs import read_setting, writings_of

    settings = dict(
        read_setting(campaign.programs, f"{path.removeprefix(PROGRAM)}={text}")
        for path, text in turns.items()
    )
    return {each.file: dict(each.values) for each in writings_of(campaign, settings)}


def take_back(bench: Bench, key: str | None) -> Made:
    """Take back the last change of the documents, if it has this key; return it.

    Raises ``ProblemError`` where it is another, there is none, or a document was changed since.
    """
    from loftwright.documents.history import undo

    return undo(bench.home, key)
