"""A tuned program in words, for its page and for a terminal."""

from __future__ import annotations

import sys
from typing import TextIO

from loftwright.rehearsal.tune import Setting, Tuned
from loftwright.report.reading import listed
from loftwright.report.terminal import print_caution, print_lines, print_table
from loftwright.report.tune_page import Aim, TradeOff, TradePoint, trade_rows

__all__ = ["print_tuned", "trade_off_of"]

SHOWN = 12  # rows in a terminal


def trade_off_of(found: Tuned) -> TradeOff:
    """Return what is drawn of a tuned program."""
    first, second = (Aim(each.words, each.kind, each.most) for each in found.aims)
    points = tuple(_point(found, each) for each in found.settings)
    return TradeOff((first, second), points, _lead(found), tuple(_sentences(found)))


def _point(found: Tuned, setting: Setting) -> TradePoint:
    one, other = (setting.figures[each.name] for each in found.aims)
    return TradePoint(
        settings={knob.path: knob.shown(setting.values[knob.path]) for knob in found.knobs},
        aims=(one.value, other.value),
        low=(one.low, other.low),
        high=(one.high, other.high),
        is_on_front=setting.is_on_front,
        is_chosen=setting.is_chosen,
        is_written=setting.is_written,
        words="; ".join(f"breaks {each}" for each in setting.broken),
    )


def _lead(found: Tuned) -> str:
    """Say what was chosen, and against what."""
    if found.chosen is None:
        return "No setting keeps every promise and limit."
    aim, against = found.aims
    if found.chosen.is_written:
        return f"What is written serves best: {_values(found, found.chosen)}."
    better = "most" if against.most else "least"
    return (
        f"Take {_values(found, found.chosen)}: of the settings whose “{aim.words}” cannot be told "
        f"from the best, the one with the {better} {against.words}."
    )


def _values(found: Tuned, setting: Setting) -> str:
    return listed(
        [f"{knob.path} = {knob.shown(setting.values[knob.path])}" for knob in found.knobs]
    )


def _sentences(found: Tuned) -> list[str]:
    said = [f"Each setting was flown {found.provenance.flights} times, all on the same draws."]
    if found.faults:
        said.append(
            f"Chances count {listed(list(dict.fromkeys(found.faults)))} with how likely they are."
        )
    said += [f"Held to {limit.words}." for limit in found.limits]
    if edges := _at_the_edge(found):
        said.append(f"The choice lies at an end of the range of {listed(edges)}: look beyond it.")
    return [*said, *found.notes]


def _at_the_edge(found: Tuned) -> list[str]:
    """Names of what was turned as far as its range goes."""
    if found.chosen is None or found.chosen.is_written:
        return []
    return [
        knob.path for knob in found.knobs if found.chosen.values[knob.path] in (knob.low, knob.high)
    ]


def print_tuned(found: Tuned, system: str, stream: TextIO | None = None) -> None:
    """Print the choice and the best settings, in the units of ``system``."""
    out = stream if stream is not None else sys.stdout
    trade = trade_off_of(found)
    print_lines([trade.lead, *trade.sentences], out)
    heads, rows = trade_rows(trade, system)
    kept = [row for row in rows if not row["rest"] or row["chosen"]]
    kept += [row for row in rows if row not in kept]
    print_table(tuple(heads), [tuple(row["cells"]) for row in kept[:SHOWN]], out)
    if len(kept) > SHOWN:
        print_lines([f"{len(kept) - SHOWN} more settings: see --csv or --report."], out)
    print_caution(out)
