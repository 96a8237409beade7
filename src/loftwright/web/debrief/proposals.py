"""What is proposed of files that came in, as pages show it; worked out once for each reading."""

from __future__ import annotations

import json
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from loftwright.errors import Problem, ProblemError
from loftwright.web.bench import Bench
from loftwright.web.debrief.takes import Item, Take
from loftwright.web.page_mends import on_the_page

if TYPE_CHECKING:
    from loftwright.evidence.proposal import Proposal

__all__ = ["Shown", "shown_file", "shown_files"]


@dataclass(frozen=True, slots=True)
class Shown:
    """A file of a take on the page: what is proposed of it, or what keeps it from being read."""

    place: int
    item: Item
    proposal: Proposal | None
    problems: tuple[Problem, ...]
    plots: tuple[Any, ...] = ()
    command: str = ""

    @property
    def ready(self) -> bool:
        """Whether it can be taken in."""
        return self.proposal is not None and not self.problems


def shown_files(bench: Bench, take: Take, flight: str) -> list[Shown]:
    """Return the files of a take; ``flight`` is the one that the command is shown for."""
    return [shown_file(bench, place, each, flight) for place, each in enumerate(take.items)]


def shown_file(
    bench: Bench, place: int, item: Item, flight: str, *, by_readings: bool = True
) -> Shown:
    """Return the file at ``place`` of a take; read by a reading of its shape that is kept, or not.

    A command that only reads a log knows of none.
    """
    command = _command(bench, item, flight)
    try:
        found = _proposal(bench, item, by_readings)
    except ProblemError as error:
        wrong = tuple(on_the_page(each, alone=not by_readings) for each in error.problems)
        return Shown(place, item, None, wrong, command=command)
    wrong = tuple(on_the_page(each, alone=not by_readings) for each in found.problems)
    return Shown(place, item, found, wrong, _plots(found), command)


def _proposal(bench: Bench, item: Item, by_readings: bool) -> Proposal:
    """Return what is proposed of a file. Raises ``ProblemError`` where it cannot be read."""
    from loftwright.cli.record_told import FileWords
    from loftwright.evidence.kept_reading import readings_of
    from loftwright.evidence.proposal import propose_file, where_kept

    def propose() -> Proposal:
        words = FileWords.of_told(item.path, item.told)
        readings = readings_of(bench.home) if by_readings else ()
        return propose_file(item.path, words.told(), readings)

    # The key has all in it that a proposal depends on.
    key = ("proposal", *_key(bench, item), by_readings)
    found = bench.memory.recall(key, propose, of={})
    return replace(found, kept=where_kept(bench.home, found.sha256))


def _key(bench: Bench, item: Item) -> tuple[Any, ...]:
    """Return what tells a file, what is said of it and the readings from others."""
    from loftwright.documents.readings import READINGS_FILE

    readings = bench.home / READINGS_FILE
    state = item.path.stat() if item.path.is_file() else None
    stamp = None if state is None else (state.st_mtime_ns, state.st_size)
    text = readings.read_bytes() if readings.is_file() else b""
    return item.path, stamp, json.dumps(dict(item.told), sort_keys=True), text


def _plots(found: Proposal) -> tuple[Any, ...]:
    """Draw every column of numbers, with what it goes from and to."""
    from markupsafe import Markup

    from loftwright.report.column_plot import draw_column

    if found.table is None:
        return ()
    plots = []
    for seen, read in zip(found.table.columns, found.columns, strict=False):
        used = read.role != "not used"
        words = f"column {seen.number}, {seen.name}, from the first row to the last"
        drawn = draw_column(seen.low.tolist(), seen.high.tolist(), words, used=used)
        plots.append((drawn, _range(seen.low, seen.high) if drawn else Markup("")))
    return tuple(plots)


def _range(low: Any, high: Any) -> str:
    from numpy import nanmax, nanmin

    return f"{nanmin(low):.6g} to {nanmax(high):.6g}"


def _command(bench: Bench, item: Item, flight: str) -> str:
    """Return the command that takes this file in as it is read here."""
    from loftwright.cli.record_told import FileWords
    from loftwright.report.shell import typed

    told = {word: each for word, each in item.told.items() if word != "name"}
    options = FileWords.of_told(item.path, told).options()
    return typed(["loftwright", "record", str(bench.home), flight, item.name, *options])
