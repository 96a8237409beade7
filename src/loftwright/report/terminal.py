"""The same answers in a terminal: short, quiet when all is well, plain when not on a screen.

Nothing heavy is imported for a check; ``rich`` comes in with the tables of a flight or a firing.
"""

from __future__ import annotations

import os
import shutil
import sys
import textwrap
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any, TextIO

from loftwright.report.facts import check_facts, warnings_of

if TYPE_CHECKING:
    from loftwright.documents.campaign import Campaign
    from loftwright.flight.results import Ensemble, Firing, Flight
    from loftwright.report.answer import Answer
    from loftwright.report.figures_table import FigureRow
    from loftwright.report.firing_lanes import ThrustRecord
    from loftwright.report.parting_words import HoldsTable
    from loftwright.report.reading import Reading

__all__ = [
    "can_show",
    "print_answer",
    "print_caution",
    "print_check",
    "print_firing",
    "print_forecast",
    "print_lead",
    "print_lines",
    "print_table",
    "print_text",
    "print_warnings",
    "sparkline",
]

SPARKS = 62  # columns of a curve, with its margin
NARROW = 72  # columns, below which a table of percentiles leaves out what it can

_EIGHTHS = " ▁▂▃▄▅▆▇█"
_WARNING = "\x1b[33;1m"
_BOLD = "\x1b[1m"
_PLAIN = "\x1b[0m"


def _coloured(stream: TextIO) -> bool:
    # https://no-color.org: set and not empty means no colour.
    return stream.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"


def can_show(stream: TextIO, words: str) -> bool:
    """Tell whether a stream takes these characters."""
    try:
        words.encode(stream.encoding or "utf-8")
    except (UnicodeEncodeError, LookupError):
        return False
    return True


def sparkline(values: Sequence[float], width: int = 60) -> str:
    """Return a curve as a row of blocks, from zero to its greatest value.

    Each block shows the greatest value of its share of the curve, so that no peak is lost. NaN
    and negative values are blank; nothing at all gives an empty string.
    """
    finite = [v for v in values if v > 0]
    if not finite or width < 1:
        return ""
    top, count = max(finite), len(values)
    blocks = []
    for k in range(min(width, count)):
        first = k * count // min(width, count)
        last = max((k + 1) * count // min(width, count), first + 1)
        here = max((v for v in values[first:last] if v > 0), default=0.0)
        blocks.append(_EIGHTHS[max(1, round(8 * here / top)) if here > 0 else 0])
    return "".join(blocks)


def print_check(campaign: Campaign, check: Mapping[str, Any], stream: TextIO | None = None) -> None:
    """Print what the check found: warnings first, then figures, then one line of caution.

    ``check`` is ``CheckResult.as_dict()``.
    """
    out = stream if stream is not None else sys.stdout
    bold, end = (_BOLD, _PLAIN) if _coloured(out) else ("", "")
    print(f"{bold}{_clean(_fit(campaign.vehicle.name, out))}{end}", file=out)
    print_warnings(check, out)
    facts = check_facts(check, campaign.head.units)
    wide = max((len(fact.words) for fact in facts), default=0)
    longest, columns = max((len(fact.value) for fact in facts), default=0), _width(out)
    if columns is not None:
        wide = min(wide, max(columns - longest - 4, 20))
    for fact in facts:
        *over, last = textwrap.wrap(_clean(_fit(fact.words, out)), wide, break_on_hyphens=False)
        for line in over:
            print(f"  {line}", file=out)
        print(f"  {last:<{wide}}  {_fit(fact.value, out)}", file=out)
    print_caution(out)


def _clean(words: str) -> str:
    # A name out of a file must not move the cursor.
    return "".join(c if c.isprintable() else "?" for c in words)


def _fit(words: str, stream: TextIO) -> str:
    """Fall back to plain characters where the terminal has no others."""
    plain = words.replace("\u00a0", " ").replace("\u202f", " ")
    if can_show(stream, plain):
        return plain
    for sign, ascii_sign in (("−", "-"), ("–", "-"), ("±", "+/-")):
        plain = plain.replace(sign, ascii_sign)
    return plain.encode("ascii", "replace").decode()


def print_warnings(check: Mapping[str, Any] | None, stream: TextIO) -> None:
    """Print what the check warns of, with where and how to mend it."""
    start, end = (_WARNING, _PLAIN) if _coloured(stream) else ("", "")
    for warning in warnings_of(check):
        _print_folded(warning.what, stream, first="! ", then="  ", marks=(start, end))
        if warning.where:
            _print_folded(warning.where, stream, first="    ", then="    ")
        if warning.mend:
            _print_folded(f"mend: {warning.mend}", stream, first="    ", then="    ")
        if warning.code:
            print(f"    more: loftwright explain {_clean(warning.code)}", file=stream)


def _width(stream: TextIO) -> int | None:
    """Columns of the terminal; None where lines go elsewhere and keep their own length."""
    return shutil.get_terminal_size().columns if stream.isatty() else None


def _print_folded(
    words: str,
    stream: TextIO,
    *,
    first: str = "",
    then: str = "",
    marks: tuple[str, str] = ("", ""),
) -> None:
    """Print words, folded between words where somebody sees the lines."""
    width, line = _width(stream), _clean(_fit(words, stream))
    if width is not None:
        line = textwrap.fill(
            line, max(width, 30), initial_indent=first, subsequent_indent=then,
            break_on_hyphens=False,
        )  # fmt: skip
    else:
        line = first + line
    print(f"{marks[0]}{line}{marks[1]}", file=stream)


def print_caution(stream: TextIO) -> None:
    """Print the one line of caution that ends every answer."""
    from loftwright.report.cautions import SHORT

    print(file=stream)
    width = _width(stream)
    if width is None or max(map(len, SHORT.splitlines())) <= width:
        print(SHORT, file=stream)
    else:
        print(textwrap.fill(" ".join(SHORT.split()), width), file=stream)


def print_forecast(
    campaign: Campaign,
    flight: Flight,
    ensemble: Ensemble | None = None,
    check: Mapping[str, Any] | None = None,
    stream: TextIO | None = None,
) -> None:
    """Print the answer of a forecast, its height over time and its figures."""
    from loftwright.report.answer import forecast_answer
    from loftwright.report.bodies import body_names
    from loftwright.report.figures_table import flight_rows
    from loftwright.report.reading import Reading

    out = stream if stream is not None else sys.stdout
    system = campaign.head.units
    read = Reading(campaign, flight, ensemble)
    print_answer(forecast_answer(campaign, flight, ensemble), out)
    if warnings_of(check):
        print(file=out)
    print_warnings(check, out)
    _print_carried(read, out)
    vehicle = flight.tracks["vehicle"]
    _print_curve("height", vehicle.time.tolist(), vehicle.position[:, 2].tolist(), out)
    _print_rows(
        flight_rows(flight, ensemble, system, body_names(campaign)),
        out,
        spread=ensemble is not None,
    )
    print_caution(out)


def _print_carried(read: Reading, stream: TextIO) -> None:
    """Print holds and partings, what turns the climb, and how gliders glide."""
    from loftwright.report.carrying_words import causes
    from loftwright.report.glider_words import glides
    from loftwright.report.parting_words import holds_table

    holds, turns = holds_table(read), causes(read)
    if holds is not None:
        _print_holds(holds, stream)
    if turns is not None and turns.veer:
        print_table(("what turns it aside", ""), turns.veer, stream)
    if turns is not None and turns.trim:
        print_table(("what holds it at an angle to the flow", ""), turns.trim, stream)
    for glide in glides(read):
        print(file=stream)
        for sentence in glide.sentences:
            _print_folded(sentence, stream, first="  ", then="    ")


def _print_holds(holds: HoldsTable, stream: TextIO) -> None:
    """Print payloads side by side, or one after the other where that is too wide."""
    width = _width(stream)
    if width is None or width >= NARROW or len(holds.names) == 1:
        rows = [(words, *cells) for words, cells in holds.rows]
        print_table(("hold and parting", *holds.names), rows, stream)
        return
    for number, name in enumerate(holds.names):
        rows = [(words, cells[number]) for words, cells in holds.rows if cells[number] != "–"]
        print_table((f"hold and parting of {name}", ""), rows, stream)


def print_firing(
    campaign: Campaign,
    firing: Firing,
    records: Sequence[ThrustRecord] | None = None,
    stream: TextIO | None = None,
) -> None:
    """Print the answer of a static firing, its thrust over time and its figures."""
    from loftwright.report.figures_table import firing_rows
    from loftwright.report.firing_answer import firing_answer

    out = stream if stream is not None else sys.stdout
    system = campaign.head.units
    print_answer(firing_answer(firing, list(records or ()), system), out)
    _print_curve("thrust", firing.time.tolist(), firing.thrust.tolist(), out)
    _print_rows(firing_rows(firing, system), out, spread=False)
    print_caution(out)


def print_answer(answer: Answer, stream: TextIO) -> None:
    """Print the lead, the questions with their answers, then what follows from it."""
    coloured = _coloured(stream)
    bold, end = (_BOLD, _PLAIN) if coloured else ("", "")
    _print_folded(answer.lead, stream, marks=(bold, end))
    for verdict in answer.verdicts:
        start = _WARNING if coloured and verdict.warn else bold
        print(file=stream)
        mark = "! " if verdict.warn else ""
        print(f"{start}{mark}{verdict.question}{end}", file=stream)
        for sentence in verdict.sentences:
            _print_folded(sentence, stream, first="  ", then="    ")
    if answer.verdicts and (answer.sentences or answer.chances):
        print(file=stream)
    for sentence in (*answer.sentences, *answer.chances):
        _print_folded(sentence, stream, first="  ", then="    ")


def print_lead(words: str, stream: TextIO, *, warns: bool = False) -> None:
    """Print what stands at the head of an answer, or of a part of it."""
    start = _WARNING if warns else _BOLD
    marks = (start, _PLAIN) if _coloured(stream) else ("", "")
    _print_folded(f"! {words}" if warns else words, stream, marks=marks)


def print_lines(lines: Sequence[str], stream: TextIO, *, hang: int = 0) -> None:
    """Print sentences, each wrapped at the width of the terminal, all but its first row hanging."""
    from shutil import get_terminal_size
    from textwrap import wrap

    wide = min(get_terminal_size().columns, 100)
    for line in lines:
        for row in wrap(_clean(_fit(line, stream)), wide - 2, subsequent_indent=" " * hang):
            print(f"  {row}", file=stream)


def print_text(text: str, stream: TextIO) -> None:
    """Print lines of a document as they are, to be copied; only a narrow screen folds them."""
    width = _width(stream)
    for line in text.splitlines():
        rows = [_clean(_fit(line, stream))]
        if width is not None and len(rows[0]) > width - 2:
            rows = textwrap.wrap(rows[0], max(width - 2, 30), subsequent_indent="    ")
        for row in rows:
            print(f"  {row}".rstrip(), file=stream)


def _print_curve(words: str, time: Sequence[float], value: Sequence[float], stream: TextIO) -> None:
    import numpy as np

    if len(time) < 2 or not time[-1] > time[0]:
        return
    # Samples stand close together in the boost: a clock with even steps shows the true shape.
    even = np.interp(np.linspace(time[0], time[-1], 240), time, value)
    line = sparkline(even.tolist(), min(SPARKS, _width(stream) or SPARKS) - 2)
    if line and can_show(stream, line):
        print(file=stream)
        print(f"  {words} over {time[-1] - time[0]:.2g} s", file=stream)
        print(f"  {line}", file=stream)


def _print_rows(rows: Sequence[FigureRow], stream: TextIO, *, spread: bool) -> None:
    width = _width(stream)
    if spread and width is not None and width < NARROW:
        cells = [
            (f"{row.words}, {row.unit}" if row.unit else row.words, row.low, row.median, row.high)
            for row in rows
        ]
        print_table(("figure", "5 %", "median", "95 %"), cells, stream)
        return
    heads = ("as written", "5 %", "median", "95 %") if spread else ("value",)
    cells = [
        (row.words, *((row.nominal, row.low, row.median, row.high) if spread else (row.nominal,)))
        for row in rows
    ]
    units = [row.unit for row in rows]
    print_table(("figure", *heads), cells, stream, units)


def print_table(
    heads: Sequence[str],
    rows: Sequence[Sequence[str]],
    stream: TextIO,
    units: Sequence[str] | None = None,
) -> None:
    """Print rows of words under their heads; ``units`` make a last column of their own."""
    from rich.console import Console
    from rich.padding import Padding
    from rich.table import Table
    from rich.text import Text

    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), header_style="dim")
    table.add_column(heads[0])
    for head in heads[1:]:
        table.add_column(head, justify="right", no_wrap=units is not None)
    if units is not None:
        table.add_column("unit")
    for number, (first, *cells) in enumerate(rows):
        words = (first, *cells, *(() if units is None else (units[number],)))
        table.add_row(*(Text(_clean(_fit(each, stream))) for each in words))
    # Where nobody measures the width, lines keep their own.
    width = None if stream.isatty() else 100
    console = Console(
        file=stream, width=width, no_color=not _coloured(stream), highlight=False, markup=False
    )
    console.print()
    console.print(Padding(table, (0, 0, 0, 2), expand=False))
