"""Checks of conditions: contradictions, what holds without measurement, what precision loses."""

from __future__ import annotations

import re
from collections.abc import Iterator
from math import copysign, sqrt

from loftwright.documents.finding import Finding
from loftwright.documents.spans import Path
from loftwright.program.checks import Subject
from loftwright.program.estimates import climb_noise, height_noise
from loftwright.program.logic import truths
from loftwright.program.phrases import DIMENSIONS, Compare, Node, comparisons, words
from loftwright.program.single import single, spacing
from loftwright.program.table import NO_TIME, SIGNS, Estimator, Op, Seen
from loftwright.units import format_quantity, read_quantity

__all__ = ["CONDITION_CHECKS"]

_NUMBER = re.compile(r"[+-]?[0-9]+(?:\.([0-9]+))?(?:[eE]([+-]?[0-9]+))?")
_SPREADS = 3.0  # noise alone goes beyond so many standard deviations once in 700 samples


def _each(subject: Subject) -> Iterator[tuple[Path, Node]]:
    yield from subject.read.conditions.items()


def conditions_can_hold(subject: Subject) -> Iterator[Finding]:
    """Report conditions that contradict themselves, and those that always hold."""
    for path, node in _each(subject):
        stage, way = int(path[1]), int(path[3])
        if (stage, way) in subject.never:
            backup = subject.read.table.stages[stage].exits[way].backup_ms != NO_TIME
            message = "this condition contradicts itself; it can never hold"
            if backup:
                message += ", and the way is taken by its backup alone"
            mend = "correct a number or a sign, or write or in place of and"
            yield Finding("program-contradiction", path, message, mend)
        elif False not in truths(node, unmeasured=False):
            message = "this condition holds whatever is measured"
            mend = "correct a number or a sign, or take when out and give a time"
            yield Finding("program-always", path, message, mend, severity="warning")


def conditions_need_measurement(subject: Subject) -> Iterator[Finding]:
    """Report comparisons behind not, which hold also where nothing is measured."""
    for path, node in _each(subject):
        for each, refused in comparisons(node):
            if not refused or not isinstance(each, Compare):
                continue
            name = each.seen.name.lower()
            turned = words(Compare(each.seen, _CONTRARY[each.op], each.value, each.written))
            message = f"not ({words(each)}) holds also while {_UNMEASURED[each.seen]}"
            mend = f"write {turned} in its place: it holds only where {name} is known"
            yield Finding("program-true-unmeasured", path, message, mend, severity="warning")


_CONTRARY = {
    Op.LESS: Op.AT_LEAST,
    Op.AT_MOST: Op.MORE,
    Op.MORE: Op.AT_MOST,
    Op.AT_LEAST: Op.LESS,
}
_UNMEASURED = {
    Seen.PUSH: "nothing measures the push",
    Seen.PRESSURE: "the barometer says nothing",
    Seen.HEIGHT: "there has been no good reading",
    Seen.CLIMB: "there has been no good reading",
    Seen.DROP: "there has been no good reading",
}


def conditions_hold_in_flight(subject: Subject) -> Iterator[Finding]:
    """Report conditions that hold in no flight of the forecast, as far as its ranges are given."""
    ranges = subject.facts.seen()
    for path, node in _each(subject):
        seen = {each.seen: each for each, _ in comparisons(node) if isinstance(each, Compare)}
        if not seen.keys() & set(ranges) or (int(path[1]), int(path[3])) in subject.never:
            continue
        if True not in truths(node, ranges, unmeasured=False):
            spans = ", ".join(_span(subject, seen[each]) for each in sorted(seen.keys() & ranges))
            message = f"in no flight of the forecast does this hold: {spans}"
            mend = "correct the number; a way that needs this is taken by its backup alone"
            yield Finding("program-never-in-forecast", path, message, mend, severity="warning")


def _span(subject: Subject, each: Compare) -> str:
    """Return between what a quantity lies, in the unit that it is compared in."""
    name = each.seen.name.lower()
    low, high = (_shown(value, each) for value in subject.facts.ranges[name])
    return f"{name} runs from {low} to {high}"


def _shown(value: float, each: Compare) -> str:
    dimension = DIMENSIONS[each.seen.name.lower()]
    unit = read_quantity(each.written, dimension)[1]
    return str(format_quantity(value, dimension, unit=unit))


# ---------------------------------------------------------------- precision


def thresholds_survive_rounding(subject: Subject) -> Iterator[Finding]:
    """Report thresholds whose last digits single precision does not hold."""
    for path, each in _thresholds(subject):
        digit = _last_digit(each)
        if digit is None or spacing(each.value) <= digit or single(each.value) == each.value:
            continue
        name = each.seen.name.lower()
        dimension = DIMENSIONS[name]
        unit = read_quantity(each.written, dimension)[1]
        kept = format_quantity(single(each.value), dimension, unit=unit, digits=9)
        message = f"the controller holds seven digits: {each.written} becomes {kept}"
        mend = "leave out the digits that are not kept"
        yield Finding("program-threshold-rounded", path, message, mend, severity="warning")


def _thresholds(subject: Subject) -> Iterator[tuple[Path, Compare]]:
    for path, node in _each(subject):
        for each, _ in comparisons(node):
            if isinstance(each, Compare):
                yield path, each


def _last_digit(each: Compare) -> float | None:
    """Return what one unit of the last written digit is worth, SI."""
    found = _NUMBER.match(each.written)
    if found is None or each.value == 0.0:
        return None
    number = float(found.group())
    decimals, exponent = len(found.group(1) or ""), int(found.group(2) or 0)
    return abs(each.value / number) * 10.0 ** (exponent - decimals)


def thresholds_are_felt(subject: Subject) -> Iterator[Finding]:
    """Report thresholds of height, drop or climb below the step in which these come."""
    table, step = subject.read.table, subject.facts.height_step
    if step is None:
        # What single precision keeps of a pressure near 1013 hPa, as a height.
        step = spacing(101325.0) * table.height_series[0] / 101325.0
    gain = 1000.0 / table.step_ms if table.estimator == Estimator.RAW else table.climb_gain
    steps = {Seen.HEIGHT: step, Seen.DROP: step, Seen.CLIMB: step * gain}
    for path, each in _thresholds(subject):
        name = each.seen.name.lower()
        if 0.0 < abs(each.value) < steps.get(each.seen, 0.0):
            shown = _shown(steps[each.seen], each)
            message = f"{each.written} is finer than the steps of {shown} in which {name} comes"
            least = _shown(copysign(steps[each.seen], each.value), each)
            mend = f"write one further from zero, e.g. {name} {SIGNS[each.op]} {least}"
            yield Finding("program-threshold-fine", path, message, mend, severity="warning")


def thresholds_stand_out_of_noise(subject: Subject) -> Iterator[Finding]:
    """Report thresholds that noise alone goes beyond."""
    sample = subject.facts.height_noise
    noise = subject.read.program.estimate.noise
    if sample is None and noise is not None:
        sample = noise.value
    if sample is None:
        return
    table = subject.read.table
    height = height_noise(table, sample)
    spreads = {
        Seen.HEIGHT: height,
        Seen.DROP: sqrt(2.0) * height,  # a difference of two heights
        Seen.CLIMB: climb_noise(table, sample),
    }
    for path, each in _thresholds(subject):
        reach = _SPREADS * spreads.get(each.seen, 0.0)
        if each.op in (Op.MORE, Op.AT_LEAST) and 0.0 < each.value < reach:
            name = each.seen.name.lower()
            message = f"noise alone goes beyond {each.written}: it reaches {_shown(reach, each)}"
            mend = f"write a larger number, e.g. {name} > {_shown(1.5 * reach, each)}"
            yield Finding("program-threshold-in-noise", path, message, mend, severity="warning")


CONDITION_CHECKS = (
    conditions_can_hold,
    conditions_need_measurement,
    conditions_hold_in_flight,
    thresholds_survive_rounding,
    thresholds_are_felt,
    thresholds_stand_out_of_noise,
)
