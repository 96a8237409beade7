"""What must hold between the fields of one release program."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from typing import Any

from loftwright.documents.build import Partial, UnreadError, closest
from loftwright.documents.finding import Finding, listed, such_as
from loftwright.documents.program import Estimate, Program, Way
from loftwright.documents.spans import Path
from loftwright.units import Quantity

__all__ = ["LONGEST", "MOST", "RULES"]

# What the table form has room for, and what a person can still read.
MOST = {"stage": 32, "way": 8, "output": 16, "do": 16, "promise": 32}
LONGEST = 24 * 3600.0  # s; far below what 32 bits hold in milliseconds


def _all_listed(word: str, holder: Any, path: Path = ()) -> Iterator[tuple[Path, Any]]:
    """Yield path and element of a list of tables, as far as it was read."""
    try:
        elements = getattr(holder, word)
    except UnreadError:
        return
    for (name, index), element in listed(word, elements):
        yield (*path, name, index), element


def _name(element: Any, word: str = "name") -> str | None:
    """Return a name that may not have been read."""
    try:
        name: str = getattr(element, word)
    except UnreadError:
        return None
    return name


def names_are_unique(program: Program) -> Iterator[Finding]:
    """See that no two stages, and no two outputs, have one name."""
    for word in ("stage", "output"):
        first: dict[str, int] = {}
        for path, element in _all_listed(word, program):
            name = _name(element)
            if name is None:
                continue
            if name in first:
                message = f'{word} {first[name] + 1} is called "{name}" already'
                mend = f"give each {word} a name of its own"
                yield Finding("program-name-twice", (*path, "name"), message, mend)
            first.setdefault(name, len(first))


def has_room(program: Program) -> Iterator[Finding]:
    """See that there is a stage, and no more of anything than the table form has room for."""
    if not program.stage:
        mend = 'begin with [[stage]], name = "pad", ground = true'
        yield Finding("program-no-stage", ("stage",), "there is no stage", mend, key=True)
    for word in ("stage", "output", "promise"):
        yield from _crowded(word, program, ())
    for path, stage in _all_listed("stage", program):
        for word in ("way", "do"):
            yield from _crowded(word, stage, path)


def _crowded(word: str, holder: Any, above: Path) -> Iterator[Finding]:
    for number, (path, _) in enumerate(_all_listed(word, holder, above)):
        if number == MOST[word]:
            message = f"there are more than {MOST[word]} of [[{_header(path)}]] here"
            mend = "join what does the same, or leave some out"
            yield Finding("program-too-many", path, message, mend, key=True)


def _header(path: Path) -> str:
    return ".".join(part for part in path if isinstance(part, str))


def _unknown(
    code: str, path: Path, name: str | None, known: list[str], what: str
) -> Iterator[Finding]:
    if name is None or name in known:
        return
    near = closest(name, known, 0.6)
    quoted = ", ".join(f'"{each}"' for each in known[:8])
    mend = f'did you mean "{near}"?' if near else f"use one of {quoted}" if known else ""
    mend = mend or f'declare it: [[{what}]], name = "{name}"'
    yield Finding(code, path, f'there is no {what} "{name[:40]}"', mend)


def ways_lead_somewhere(program: Program) -> Iterator[Finding]:
    """See that each way leads to a stage that there is."""
    known = [name for _, each in _all_listed("stage", program) if (name := _name(each))]
    for above, stage in _all_listed("stage", program):
        for path, way in _all_listed("way", stage, above):
            yield from _unknown(
                "program-no-such-stage", (*path, "to"), _name(way, "to"), known, "stage"
            )


def outputs_are_declared(program: Program) -> Iterator[Finding]:
    """See that what is done, and what is promised, names an output that there is."""
    known = [name for _, each in _all_listed("output", program) if (name := _name(each))]
    named = list(_all_listed("promise", program))
    for above, stage in _all_listed("stage", program):
        named += _all_listed("do", stage, above)
    for path, each in named:
        name = _name(each, "output")
        yield from _unknown("program-no-such-output", (*path, "output"), name, known, "output")


def lasting_acts_have_their_time(program: Program) -> Iterator[Finding]:
    """See that a pulse and a sound say for how long, and that nothing else does."""
    for above, stage in _all_listed("stage", program):
        done: set[str] = set()
        for path, each in _all_listed("do", stage, above):
            if isinstance(each, Partial):
                continue
            if each.does in ("pulse", "sound") and each.time is None:
                mend = 'add for = "0.5 s"'
                message = f'does = "{each.does}" needs for: how long it lasts'
                yield Finding("program-needs-for", (*path, "does"), message, mend)
            elif each.does in ("open", "close") and each.time is not None:
                message = f'for is not used with does = "{each.does}", which stays'
                mend = 'write does = "pulse", or take for out'
                yield Finding("program-for-not-used", (*path, "for"), message, mend)
            if each.output in done:
                message = f'this stage does something to "{each.output}" already'
                mend = "keep one of the two, or put one into a stage of its own"
                yield Finding("program-act-twice", (*path, "output"), message, mend)
            done.add(each.output)


# What each kind of estimate may be told, in groups of which one must be whole.
_TOLD = {
    "tracking": (("unsteadiness", "noise"), ("height_gain", "climb_gain")),
    "filter": (("height_time", "climb_time"), ("height_gain", "climb_gain")),
    "raw": ((),),
}
_EXAMPLES = {
    "unsteadiness": ("5 m/s^2", "acceleration"),
    "noise": ("0.3 m", "length"),
    "height_time": ("0.1 s", "time"),
    "climb_time": ("0.2 s", "time"),
    "height_gain": ("0.4", "number"),
    "climb_gain": ("0.08", "number"),
}


def estimate_is_told_once(program: Program) -> Iterator[Finding]:
    """See that the estimate has the fields of its kind, one whole group of them and no others."""
    estimate = program.estimate
    given = [name for name in _EXAMPLES if getattr(estimate, name) is not None]
    groups = _TOLD[estimate.kind]
    fitting = {name for group in groups for name in group}
    for name in given:
        if name not in fitting:
            message = f'{name} is not used with kind = "{estimate.kind}"'
            mend = "take it out, or choose another kind"
            yield Finding("program-estimate-fields", ("estimate", name), message, mend)
    told = [group for group in groups if any(name in given for name in group)]
    if len(told) > 1:
        message = f"{' and '.join(told[0])} stand beside {' and '.join(told[1])}"
        mend = "keep one of the two pairs"
        yield Finding("program-estimate-fields", ("estimate",), message, mend, key=True)
    missing = [name for name in (told[0] if told else groups[0]) if name not in given]
    if missing:
        lines = ", ".join(f'{name} = "{such_as(*_EXAMPLES[name])}"' for name in missing)
        message = f'kind = "{estimate.kind}" needs {" and ".join(missing)}'
        yield Finding("program-estimate-fields", ("estimate", "kind"), message, f"add {lines}")
    elif len(told) == 1:
        yield from _settles(estimate)


def _settles(estimate: Estimate) -> Iterator[Finding]:
    """See that gains given outright settle: 0 < beta < 4 - 2 alpha for a tracking filter."""
    height, climb = estimate.height_gain, estimate.climb_gain
    if height is None or climb is None:
        return
    most = 4.0 - 2.0 * height.value if estimate.kind == "tracking" else 1.0
    if climb.value >= most and not (estimate.kind == "filter" and climb.value == 1.0):
        message = f"with this climb_gain the estimate swings without end; it must be below {most:g}"
        mend = "give unsteadiness and noise instead, or a smaller gain"
        yield Finding("program-estimate-unstable", ("estimate", "climb_gain"), message, mend)


def readings_have_a_range(program: Program) -> Iterator[Finding]:
    """See that some readings are taken."""
    if program.least.value >= program.most.value:
        message, mend = "no reading is above least and below most", "swap or correct them"
        yield Finding("program-no-readings", ("least",), message, mend)


def samples_are_whole_milliseconds(program: Program) -> Iterator[Finding]:
    """See that the controller's clock can count the samples."""
    ms = program.sample_every.value * 1000.0
    if abs(ms - round(ms)) > 1e-6:
        message = "the controller counts whole milliseconds; this is none"
        mend = f'write sample_every = "{max(1, round(ms))} ms"'
        yield Finding("program-sample-time", ("sample_every",), message, mend)


def times_are_in_order(program: Program) -> Iterator[Finding]:
    """See that each way's window has a place for its hold, and that its backup comes last."""
    for above, stage in _all_listed("stage", program):
        for path, way in _all_listed("way", stage, above):
            if not isinstance(way, Partial):
                yield from _way_in_order(path, way)


def _way_in_order(path: Path, way: Way) -> Iterator[Finding]:
    before, after, backup = way.not_before, way.not_after, way.backup
    begins = 0.0 if before is None else before.value
    hold = 0.0 if way.hold is None else way.hold.value
    if after is not None and after.value < begins:
        message, mend = "the window ends before it begins", "swap not_before and not_after"
        yield Finding("program-window", (*path, "not_after"), message, mend)
    elif after is not None and hold > after.value - begins:
        message = "the hold is longer than the window, so that it can never be kept"
        mend = "make the hold shorter or the window longer"
        yield Finding("program-hold-window", (*path, "hold"), message, mend)
    if backup is not None and before is not None and backup.value <= before.value:
        message = "the backup comes before the window begins, so that the window counts for nothing"
        mend = "give the backup a later time than not_before"
        yield Finding("program-backup-first", (*path, "backup"), message, mend)
    if way.when is None:
        yield from _by_time_alone(path, way)


def _by_time_alone(path: Path, way: Way) -> Iterator[Finding]:
    if way.not_before is None and way.backup is None:
        message = "this way has neither when nor a time, so that it is taken at once"
        height = such_as("12 m", "length")
        mend = f'add when = "height > {height}", or not_before = "2 s"'
        yield Finding("program-way-at-once", path, message, mend, key=True)
    for word in ("hold", "not_after"):
        if getattr(way, word) is not None:
            message, mend = f"without when, {word} is not used", "take it out, or add when"
            yield Finding("program-needs-when", (*path, word), message, mend)
    if way.not_before is not None and way.backup is not None:
        message = "without when, not_before and backup say the same thing"
        yield Finding("program-needs-when", (*path, "backup"), message, "keep one of the two")


def promises_promise(program: Program) -> Iterator[Finding]:
    """See that each promise has a time, and that its two times are in order."""
    for path, each in _all_listed("promise", program):
        if isinstance(each, Partial):
            continue
        early, late = each.not_before, each.no_later_than
        if early is None and late is None:
            message = "this promise has no time"
            mend = 'add not_before = "0.8 s", or no_later_than = "9 s"'
            yield Finding("program-promise-empty", path, message, mend, key=True)
        elif early is not None and late is not None and late.value < early.value:
            message, mend = "no_later_than is earlier than not_before", "swap or correct them"
            yield Finding("program-promise-order", (*path, "no_later_than"), message, mend)


def numbers_are_plain(program: Program) -> Iterator[Finding]:
    """See that times fit the controller's clock, and that no uncertainty is given."""
    for path, each in _quantities(program, ()):
        if each.sd:
            message = "a program takes its numbers as they stand; the uncertainty is not used"
            mend = "take ± and what follows it out"
            yield Finding("doc-not-used", path, message, mend, "warning")
    for path, each in _quantities(program, ()):
        if path[-1] in _TIMES and each.value > LONGEST:
            message, mend = "this is longer than a day", "see whether its unit is the one you meant"
            yield Finding("program-time-long", path, message, mend)


_TIMES = (
    "hold", "not_before", "not_after", "backup", "for", "no_later_than", "ground_follow",
    "height_time", "climb_time",
)  # fmt: skip


def _quantities(part: Any, path: Path) -> Iterator[tuple[Path, Quantity]]:
    """Yield every quantity below ``part`` that was read, with its path."""
    names = list(vars(part)["_values"]) if isinstance(part, Partial) else []
    if is_dataclass(part):
        names = [each.name for each in fields(part)]
    for name in names:
        value = getattr(part, name)
        here = (*path, "for" if name == "time" else name)
        if isinstance(value, Quantity):
            yield here, value
        elif isinstance(value, tuple):
            for index, element in enumerate(value):
                yield from _quantities(element, (*here, index))
        elif isinstance(value, Partial) or is_dataclass(value):
            yield from _quantities(value, here)


RULES = (
    names_are_unique,
    has_room,
    ways_lead_somewhere,
    outputs_are_declared,
    lasting_acts_have_their_time,
    estimate_is_told_once,
    readings_have_a_range,
    samples_are_whole_milliseconds,
    times_are_in_order,
    promises_promise,
    numbers_are_plain,
)
