"""What a search or a sweep found, in sentences and rows of a table, in the person's units."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from loftwright.report.answer import Answer, KeyFigure
from loftwright.report.quantities import amount
from loftwright.report.words import figure, input_words
from loftwright.study.best import Best, Binding
from loftwright.study.evaluate import Draws
from loftwright.study.explore import Explored
from loftwright.study.figures import is_chance, less_is_better, two_sided
from loftwright.study.phrases import CHANCE, Aim
from loftwright.study.spans import Span, shown

__all__ = [
    "LimitRow",
    "ValueRow",
    "best_answer",
    "best_words",
    "explore_answer",
    "figure_rows",
    "limit_rows",
    "sentence",
    "trade_rows",
    "value_rows",
]


def _amount(value: float, key: str, system: str) -> str:
    return amount(value, figure(key).kind, system)


def sentence(words: str) -> str:
    """Return words as a sentence of their own."""
    return f"{words[:1].upper()}{words[1:]}."


# ---------------------------------------------------------------- explore


def best_words(explored: Explored, key: str, system: str) -> str:
    """Say where a figure is best among the points, and what it is as things stand."""
    words = figure(key).words
    now = explored.now[key]
    stands = f"as written it is {_amount(now, key, system)}" if math.isfinite(now) else (
        "as written it does not happen"
    )  # fmt: skip
    if two_sided(key):
        known = explored.figures[key][explored.allowed & np.isfinite(explored.figures[key])]
        ends = [_amount(float(end(known)), key, system) for end in (np.min, np.max)] if (
            known.size) else ["–", "–"]  # fmt: skip
        return sentence(f"{words}: {ends[0]} to {ends[1]} over the points; {stands}")
    at = explored.best_at(key)
    if at is None:
        return sentence(f"{words}: no point keeps every limit; {stands}")
    place = ", ".join(
        f"{input_words(each.path)} {shown(each, float(grid[k]))}"
        for each, grid, k in zip(explored.spans, explored.grid, at, strict=True)
    )
    kind = "least" if less_is_better(key) else "most"
    value = _amount(float(explored.figures[key][at]), key, system)
    return sentence(f"{words}: {kind} {value} at {place}; {stands}")


def explore_answer(explored: Explored, system: str) -> Answer:
    """Return the answer of an exploration: where each figure is best, and what binds."""
    first, *others = (best_words(explored, key, system) for key in explored.shown)
    sentences = list(others)
    for crossing in explored.crossings():
        place = shown(explored.spans[0], crossing.at)
        sentences.append(sentence(
            f'the limit "{crossing.limit.text}" begins or ceases to hold at '
            f"{input_words(explored.spans[0].path)} {place}"
        ))  # fmt: skip
    refused = explored.refused[explored.refused != ""]
    if len(refused):
        sentences.append(sentence(
            f"{len(refused)} of {explored.refused.size} points are not flown. "
                f"{refused[-1][:1].upper()}{refused[-1][1:]}"
        ))  # fmt: skip
    if explored.draws:
        sentences.append(
            f"Each point is the median of {explored.draws.flights} flights, all points with the "
            "same draws and gusts; bands are 5 to 95 %."
        )
    chances = [key for key in explored.shown if is_chance(key)]
    if chances:
        sentences.append(_chance_words(explored.draws))
    if explored.stopped:
        sentences.append("Stopped by you: the rest was not flown.")
    return Answer(first, (), tuple(sentences), ())


def _chance_words(draws: Draws | None) -> str:
    if draws is None:
        return "A chance is 0 or 100 % of a single flight: count it with --flights."
    return (
        "Of a chance a point is the share of flights, and a band what it may be, with 95 % "
        "confidence in the count alone."
    )


# ---------------------------------------------------------------- best


@dataclass(frozen=True, slots=True)
class ValueRow:
    """Something as it is written, and at the best point."""

    words: str
    now: str
    best: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class LimitRow:
    """A limit at the best point, and whether it binds."""

    text: str
    value: str
    now: str
    room: str
    binds: bool
    gain: str


def _aim_words(aim: Aim, system: str, many: bool) -> str:
    words = figure(aim.figure).words
    taken = f"{aim.statistic} of the " if many and aim.statistic != CHANCE else ""
    taken = "chance that " if aim.statistic == CHANCE else taken
    if aim.direction == "near":
        return f"{taken}{words} nearest to {_amount(aim.target, aim.figure, system)}"
    return f"{taken}{words} at its {aim.direction}"


def best_answer(best: Best, system: str) -> Answer:
    """Return the answer of a search: the point, what it gains, and what holds it back."""
    question = best.question
    aim = question.aims[0]
    value = _amount(best.aims[aim.text], aim.figure, system)
    place = ", ".join(
        f"{input_words(span.path)} {shown(span, best.values[span.path])}" for span in question.spans
    )
    words = _aim_words(aim, system, question.draws is not None)
    lead = sentence(f"{words}: {value}, with {place}")
    keys = tuple(
        KeyFigure(
            input_words(span.path), shown(span, best.values[span.path]), _now_words(best, span)
        )
        for span in question.spans
    )
    return Answer(
        lead, keys, tuple(_best_sentences(best, system)), tuple(_binding_words(best, system))
    )


def _now_words(best: Best, span: Span) -> str:
    now = best.values_now[span.path]
    return "not given as written" if now is None else f"as written {shown(span, now)}"


def _best_sentences(best: Best, system: str) -> Iterator[str]:
    aim = best.question.aims[0]
    now = best.aims_now[aim.text]
    if math.isfinite(now):
        yield f"As written it is {_amount(now, aim.figure, system)}."
    if aim.statistic == CHANCE and best.aims[aim.text] == (1.0 if aim.direction == "most" else 0.0):
        other = ", or aim at field_margin" if aim.figure.endswith("inside_field") else ""
        yield f"No flight says otherwise, at many points perhaps: add flights{other}."
    broken = [row for row in limit_rows(best, system) if row.now.endswith("broken")]
    if broken:
        listed = ", ".join(f'"{row.text}"' for row in broken)
        yield f"As written, {'limits are' if len(broken) > 1 else 'a limit is'} broken: {listed}."
    yield from _alike_words(best, system)
    if best.trade and len(best.trade) > 1:
        yield (
            f"{len(best.trade)} points trade one aim against the other; this one is the end "
            "where the first is best."
        )
    if best.question.draws:
        yield (
            f"Every point is judged over {best.question.draws.flights} flights, all with the same "
            "draws and gusts."
        )
    if best.question.draws is None and any(is_chance(key) for key in best.question.wanted):
        yield _chance_words(None)
    yield f"{best.looked_at} points were looked at."
    if best.stopped:
        yield "Stopped by you: this is the best so far, not the end of the search."


def _alike_words(best: Best, system: str) -> Iterator[str]:
    alike, spans = best.alike, {span.path: span for span in best.question.spans}
    noise = _amount(alike.noise, best.question.aims[0].figure, system)
    if len(alike.groups) > 1:
        places = "; or ".join(
            ", ".join(f"{input_words(path)} {shown(spans[path], value)}"
                      for path, value in group.items())
            for group in alike.groups
        )  # fmt: skip
        yield f"{len(alike.groups)} separate solutions are as good within {noise}: {places}."
    for path in alike.free:
        low, high = alike.ranges[path]
        yield sentence(
            f"{input_words(path)} matters little here: points from "
            f"{shown(spans[path], low)} to {shown(spans[path], high)} are as good within {noise}"
        )


def _binding_words(best: Best, system: str) -> Iterator[str]:
    """Say what holds the best point back, and what loosening it would gain."""
    for each in best.bindings:
        if each.binds:
            gain = _gain_words(best, each, system)
            yield f'"{each.limit.text}" binds{f": {gain}" if gain else ""}.'
    for end in best.ends:
        span = next(one for one in best.question.spans if one.path == end.path)
        if end.why:
            yield sentence(
                f"{input_words(end.path)} is as {'high' if end.at_most else 'low'} as the "
                f"documents allow. {end.why[:1].upper()}{end.why[1:]}"
            )
        else:
            yield sentence(_end_words(span, end.at_most))
    if not best.ends and not any(each.binds for each in best.bindings):
        yield "Nothing binds: the best lies inside every limit and range."


def _end_words(span: Span, at_most: bool) -> str:
    end, words = (span.high if at_most else span.low), input_words(span.path)
    bound = span.rule.at_most if at_most else span.rule.at_least
    if bound is not None and end == bound:
        return f"{words} is {shown(span, end)}, which is all that the document may hold"
    return (
        f"{words} is at the end of the range given, {shown(span, end)}; a wider one may do better"
    )


def _gain_words(best: Best, each: Binding, system: str) -> str:
    if each.gain is None:
        return ""
    aim = best.question.aims[0]
    small = abs(each.gain) < 0.05 * best.alike.noise
    gain = "next to nothing" if small else _amount(max(each.gain, 0.0), aim.figure, system)
    return f"loosened by 1 % it gains {gain}"


def value_rows(best: Best) -> list[ValueRow]:
    """Return a row for each varied quantity."""
    rows = []
    for span in best.question.spans:
        now = best.values_now[span.path]
        rows.append(ValueRow(
            input_words(span.path), "–" if now is None else shown(span, now),
            shown(span, best.values[span.path]),
            f"{shown(span, span.low)} to {shown(span, span.high)}",
        ))  # fmt: skip
    return rows


# What a person wants to see of the best point, whatever was aimed at.
_ASKED = (
    "apogee_m", "max_acceleration_m_s2", "release_height_m", "release_climb_m_s",
    "release_energy_j", "time_aloft_s", "reach_m", "field_margin_m", "inside_field", "tree_risk",
    "ground_energy_j", "hold_load_n", "hold_margin", "torn_off", "recontact", "carry_trim_deg",
    "veer_m", "glide_ratio", "sink_m_s", "proof_margin", "stability_calibres", "stored_energy_j",
    "pressure_test_distance_m",
)  # fmt: skip


def figure_rows(best: Best, system: str) -> list[ValueRow]:
    """Return a row for each figure that tells what flying the best point means."""
    asked = [*best.question.wanted, *_ASKED]
    rows = []
    for key in dict.fromkeys(asked):
        now, there = best.figures_now.get(key, math.nan), best.figures.get(key, math.nan)
        if math.isfinite(now) or math.isfinite(there):
            rows.append(ValueRow(figure(key).words, _amount(now, key, system),
                                 _amount(there, key, system)))  # fmt: skip
    return rows


def _room_words(each: Binding, system: str) -> str:
    """Say what is left of a limit: a share of it, or of one at nothing how far it is."""
    if each.binds:
        return "binds"
    if each.limit.scale != abs(each.limit.bound):
        return f"{_amount(each.room, each.limit.figure, system)} left"
    share = f"{100.0 * each.room:.0f}" if each.room >= 0.01 else "under 1"
    return f"{share} % left"


def limit_rows(best: Best, system: str) -> list[LimitRow]:
    """Return a row for each limit."""
    rows = []
    for each, now in zip(best.bindings, best.limits_now, strict=True):
        limit, key = each.limit, each.limit.figure
        ok = now <= limit.bound if limit.at_most else now >= limit.bound
        kept = "" if not math.isfinite(now) or ok else ", broken"
        rows.append(LimitRow(
            limit.text, _amount(each.value, key, system), _amount(now, key, system) + kept,
            _room_words(each, system), each.binds,
            _gain_words(best, each, system),
        ))  # fmt: skip
    return rows


def trade_rows(best: Best, system: str) -> list[tuple[str, ...]]:
    """Return the cells of each point of the trade-off: both aims, then what is varied."""
    return [
        (
            *(_amount(value, aim.figure, system)
              for aim, value in zip(best.question.aims, trade.aims, strict=True)),
            *(shown(span, trade.values[span.path]) for span in best.question.spans),
        )
        for trade in best.trade
    ]  # fmt: skip
