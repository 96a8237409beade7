"""A release program in plain language, and its stages as a diagram of text."""

from __future__ import annotations

from collections.abc import Iterator

from loftwright.documents.program import Do, Estimate, Program, ProgramStage, Way
from loftwright.documents.spans import Path
from loftwright.program.phrases import Node, words
from loftwright.program.reading import ReadProgram
from loftwright.units import Quantity, format_quantity

__all__ = ["diagram", "duration", "program_words", "stage_words", "way_words"]


def duration(time: Quantity) -> str:
    """Return a time as a person says it."""
    if time.value >= 120.0:
        return f"{time.value / 60.0:g} min"
    if time.value < 0.1:
        return f"{time.value * 1000.0:g} ms"
    return f"{time.value:g} s"


def program_words(read: ReadProgram) -> list[tuple[str, list[str]]]:
    """Return the whole program as headings with sentences under each."""
    program = read.program
    parts = [("How it senses", [*_sensing(program), *_estimate(program.estimate)])]
    for number, stage in enumerate(program.stage):
        parts.append((f"{number + 1}. {stage.name}", stage_words(read, number)))
    if program.promise:
        parts.append(("What it promises", list(_promises(program))))
    return parts


def _sensing(program: Program) -> Iterator[str]:
    least, most = (
        format_quantity(each.value, "absolute_pressure") for each in (program.least, program.most)
    )
    yield (
        f"A sample is taken every {duration(program.sample_every)}. Pressures below {least} or "
        f"above {most} are refused."
    )
    warmth = format_quantity(program.pad_temperature.value, "temperature")
    yield (
        f"Heights are reckoned from the pad's pressure with {warmth} there; on the ground that "
        f"pressure is followed with a time constant of {duration(program.ground_follow)}."
    )


def _estimate(estimate: Estimate) -> Iterator[str]:
    height, climb = estimate.height_gain, estimate.climb_gain
    if estimate.kind == "raw":
        yield "Height is taken as read, climb from one reading to the next."
    elif height is not None and climb is not None:
        yield (
            f"A {'tracking' if estimate.kind == 'tracking' else 'low-pass'} filter with the gains "
            f"{height.value:g} and {climb.value:g} gives height and climb."
        )
    elif estimate.unsteadiness is not None and estimate.noise is not None:
        strays = format_quantity(estimate.unsteadiness.value, "acceleration")
        noise = format_quantity(estimate.noise.value, "length")
        yield (
            f"A tracking filter gives height and climb: it expects accelerations of {strays} that "
            f"it does not know of, and noise of {noise} in each height."
        )
    elif estimate.height_time is not None and estimate.climb_time is not None:
        yield (
            f"A low-pass filter gives height ({duration(estimate.height_time)}) and climb "
            f"({duration(estimate.climb_time)})."
        )


# ---------------------------------------------------------------- stages


def stage_words(read: ReadProgram, number: int) -> list[str]:
    """Return what one stage is, does and waits for, a sentence each."""
    stage = read.program.stage[number]
    said = list(_entering(stage, number))
    said += [_act(each) for each in stage.do]
    for way_number, way in enumerate(stage.way):
        path = ("stage", number, "way", way_number, "when")
        first = "Then" if way_number == 0 else "Or else"
        said.append(f"{first} {way_words(way, read.conditions.get(path))}.")
    if not stage.way:
        said.append("Here it ends: there is no way on.")
    return said


def _entering(stage: ProgramStage, number: int) -> Iterator[str]:
    if number == 0:
        yield "Entered at power-up."
    if stage.launch:
        yield "Entering it is when launch is sensed."
    if stage.ground:
        yield "On the ground: the pad's pressure is followed, so that height stays zero."


def _act(each: Do) -> str:
    if each.does in ("pulse", "sound") and each.time is not None:
        verb = "switched on" if each.does == "pulse" else "sounded"
        return f"{_capital(each.output)} is {verb} for {duration(each.time)}."
    return f"{_capital(each.output)} is {'opened' if each.does == 'open' else 'closed'}."


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def way_words(way: Way, condition: Node | None) -> str:
    """Return when a way is taken and where it leads, without a capital and a stop."""
    since = "after launch" if way.clock == "launch" else "after it was entered"
    if condition is None:
        moment = way.not_before if way.not_before is not None else way.backup
        assert moment is not None
        return f'to "{way.to}" {duration(moment)} {since}, whatever is sensed'
    said = f'to "{way.to}" when {words(condition)}'
    if way.hold is not None and way.hold.value > 0.0:
        said += f", kept up for {duration(way.hold)}"
    if way.not_before is not None:
        said += f", not before {duration(way.not_before)} {since}"
    if way.not_after is not None:
        said += f", not after {duration(way.not_after)} {since}"
    if way.backup is not None:
        said += f"; and {duration(way.backup)} {since} at the latest, whatever is sensed"
    return said


def _promises(program: Program) -> Iterator[str]:
    for each in program.promise:
        since = "launch is sensed" if each.since == "launch" else "power-up"
        times = []
        if each.not_before is not None:
            times.append(f"not before {duration(each.not_before)}")
        if each.no_later_than is not None:
            times.append(f"no later than {duration(each.no_later_than)}")
        verb = "opens" if each.does == "open" else "closes"
        yield f"{_capital(each.output)} {verb} {' and '.join(times)} after {since}."


# ---------------------------------------------------------------- diagram


def diagram(read: ReadProgram, *, plain: bool = False) -> list[str]:
    """Return the stages as lines of text: a box each, with what it does, and its ways out.

    ``plain`` keeps to ASCII, for terminals that have no other signs.
    """
    down, branch, last, arrow = "|", "+-", "+-", "->"
    if not plain:
        down, branch, last, arrow = "│", "├─", "└─", "─▶"
    lines: list[str] = []
    for number, stage in enumerate(read.program.stage):
        given = (("launch", stage.launch), ("ground", stage.ground))
        marks = [mark for mark, is_set in given if is_set]
        note = f"  ({', '.join(marks)})" if marks else ""
        lines.append(f"[{stage.name}]{note}")
        lines += [f"  {down if stage.way else ' '}  {_short_act(each)}" for each in stage.do]
        for way_number, way in enumerate(stage.way):
            sign = last if way_number == len(stage.way) - 1 else branch
            path: Path = ("stage", number, "way", way_number, "when")
            label = _label(way, read.conditions.get(path))
            lines.append(f"  {sign} {label} {arrow} [{way.to}]")
        lines.append("")
    return lines[:-1]


def _short_act(each: Do) -> str:
    lasts = f" for {duration(each.time)}" if each.time is not None else ""
    return f"{each.does} {each.output}{lasts}"


def _label(way: Way, condition: Node | None) -> str:
    clock = " after launch" if way.clock == "launch" else ""
    if condition is None:
        moment = way.not_before if way.not_before is not None else way.backup
        assert moment is not None
        return f"{duration(moment)}{clock}"
    said = words(condition)
    if way.hold is not None and way.hold.value > 0.0:
        said += f" for {duration(way.hold)}"
    for word, time in (("from", way.not_before), ("until", way.not_after), ("or at", way.backup)):
        if time is not None:
            said += f", {word} {duration(time)}"
    return said + (clock if way.not_before or way.not_after or way.backup else "")
