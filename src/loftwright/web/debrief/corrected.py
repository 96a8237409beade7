"""Columns of a file as a person corrects them on a page, and what such a page asks for."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from loftwright.errors import ProblemError
from loftwright.web.bench import Bench
from loftwright.web.debrief.proposals import shown_file
from loftwright.web.debrief.takes import Take, Takes
from loftwright.web.posting import Form

__all__ = ["for_files", "with_form"]


def with_form(bench: Bench, take: Take, form: Form) -> Take:
    """Return the take with what the form says of its files, written down.

    Raises ``ProblemError`` where that cannot be.
    """
    from loftwright.cli.record_told import FileWords
    from loftwright.web.debrief.told_form import told_of

    items = []
    for place, item in enumerate(take.items):
        fields = form.below(f"file-{place}:")
        if not fields:
            items.append(item)
            continue
        shown = shown_file(bench, place, item, "", by_readings=not take.for_replay).proposal
        columns, kind = ((), "other") if shown is None else (shown.columns, shown.kind)
        told = told_of(fields, item.told, columns, kind)
        FileWords.of_told(item.path, told).told()  # what cannot be read is not put down
        items.append(replace(item, told=told))
    return Takes(bench.home).save(replace(take, items=tuple(items)))


def for_files(bench: Bench) -> dict[str, Any]:
    """Return what the templates of files ask for."""
    from loftwright.evidence.proposal import units_offered
    from loftwright.web.debrief.told_form import ROLES, scale_of
    from loftwright.web.said import height_words, units_of

    units = units_of(bench)
    return {
        "alone": False,  # they are kept, and not only read
        "readings": _readings(bench),
        "units_offered": units_offered,
        "roles": ROLES,
        "scale_of": scale_of,
        "height_words": lambda height_m: height_words(height_m, units),
    }


def _readings(bench: Bench) -> list[str]:
    """Return the names of the readings that are kept."""
    from loftwright.evidence.kept_reading import readings_of

    try:
        return [each.name for each in readings_of(bench.home)]
    except ProblemError:  # said with every file that is looked into
        return []
