"""A release program in plain language, and its stages as a diagram of text."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from loftwright.documents.build import shown_bound
from loftwright.documents.fields import rules
from loftwright.documents.program import ProgramStage
from loftwright.documents.spans import Path
from loftwright.program.phrases import words
from loftwright.program.reading import ReadProgram
from loftwright.units import read_quantity

__all__ = ["as_written", "diagram", "program_words", "stage_words", "way_words"]


def as_written(read: ReadProgram, *path: str | int) -> str:
    """Return the quantity at ``path`` as its document has it.

    A default, or a value whose uncertainty is not used, is shown in the unit of its field.
    """
    part: Any = read.program
    text: Any = read.source.data
    dimension = unit_of = ""
    for step in path:
        if isinstance(step, str):
            declared = rules(type(part))[step]
            dimension, unit_of = declared.rule.dimension or "number", declared.rule.example
            part = getattr(part, declared.name)
            text = text.get(step)
        else:
            part, text = part[step], text[step]
    if text is not None and not part.sd:
        return " ".join(str(text).split())
    unit = read_quantity(unit_of if text is None else text, dimension)[1]
    return shown_bound(part.value, dimension, unit)


def program_words(read: ReadProgram) -> list[tuple[str, list[str]]]:
    """Return the whole program as headings with sentences under each."""
    program = read.program
    parts = [("How it senses", [*_sensing(read), *_estimate(read)])]
    for number, stage in enumerate(program.stage):
        parts.append((f"{number + 1}. {stage.name}", stage_words(read, number)))
    if program.promise:
        parts.append(("What it promises", list(_promises(read))))
    return parts


def _sensing(read: ReadProgram) -> Iterator[str]:
    yield (
        f"A sample is taken every {as_written(read, 'sample_every')}. Pressures below "
        f"{as_written(read, 'least')} or above {as_written(read, 'most')} are refused."
    )
    yield (
        f"Heights are reckoned from the pad's pressure with {as_written(read, 'pad_temperature')} "
        "there; on the ground that pressure is followed with a time constant of "
        f"{as_written(read, 'ground_follow')}."
    )


def _estimate(read: ReadProgram) -> Iterator[str]:
    estimate = read.program.estimate
    if estimate.kind == "raw":
        yield "Height is taken as read, climb from one reading to the next."
    elif estimate.height_gain is not None:
        height, climb = (as_written(read, "estimate", f"{of}_gain") for of in ("height", "climb"))
        yield (
            f"A {'tracking' if estimate.kind == 'tracking' else 'low-pass'} filter with the gains "
            f"{height} and {climb} gives height and climb."
        )
    elif estimate.kind == "tracking":
        strays, noise = (as_written(read, "estimate", word) for word in ("unsteadiness", "noise"))
        yield (
            f"A tracking filter gives height and climb: it expects accelerations of {strays} that "
            f"it does not know of, and noise of {noise} in each height."
        )
    else:
        height, climb = (as_written(read, "estimate", f"{of}_time") for of in ("height", "climb"))
        yield f"A low-pass filter gives height ({height}) and climb ({climb})."


# ---------------------------------------------------------------- stages


def stage_words(read: ReadProgram, number: int) -> list[str]:
    """Return what one stage is, does and waits for, a sentence each."""
    stage = read.program.stage[number]
    said = list(_entering(stage, number))
    said += [_act(read, number, act) for act in range(len(stage.do))]
    for way in range(len(stage.way)):
        first = "Then" if way == 0 else "Or else"
        said.append(f"{first} {way_words(read, number, way)}.")
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


def _act(read: ReadProgram, stage: int, number: int) -> str:
    each = read.program.stage[stage].do[number]
    if each.does in ("pulse", "sound"):
        verb = "switched on" if each.does == "pulse" else "sounded"
        lasts = as_written(read, "stage", stage, "do", number, "for")
        return f"{_capital(each.output)} is {verb} for {lasts}."
    return f"{_capital(each.output)} is {'opened' if each.does == 'open' else 'closed'}."


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def way_words(read: ReadProgram, stage: int, number: int) -> str:
    """Return when a way is taken and where it leads, without a capital and a stop."""
    way, path = read.program.stage[stage].way[number], ("stage", stage, "way", number)
    condition = read.conditions.get((*path, "when"))
    since = "after launch" if way.clock == "launch" else "after it was entered"
    if condition is None:
        moment = as_written(read, *path, "backup" if way.not_before is None else "not_before")
        return f'to "{way.to}" {moment} {since}, whatever is sensed'
    said = f'to "{way.to}" when {words(condition)}'
    if way.hold is not None and way.hold.value > 0.0:
        said += f", kept up for {as_written(read, *path, 'hold')}"
    if way.not_before is not None:
        said += f", not before {as_written(read, *path, 'not_before')} {since}"
    if way.not_after is not None:
        said += f", not after {as_written(read, *path, 'not_after')} {since}"
    if way.backup is not None:
        latest = as_written(read, *path, "backup")
        said += f"; and {latest} {since} at the latest, whatever is sensed"
    return said


def _promises(read: ReadProgram) -> Iterator[str]:
    for number, each in enumerate(read.program.promise):
        since = "launch is sensed" if each.since == "launch" else "power-up"
        times = []
        if each.not_before is not None:
            times.append(f"not before {as_written(read, 'promise', number, 'not_before')}")
        if each.no_later_than is not None:
            times.append(f"no later than {as_written(read, 'promise', number, 'no_later_than')}")
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
        for act in range(len(stage.do)):
            lines.append(f"  {down if stage.way else ' '}  {_short_act(read, number, act)}")
        for way_number, way in enumerate(stage.way):
            sign = last if way_number == len(stage.way) - 1 else branch
            label = _label(read, ("stage", number, "way", way_number))
            lines.append(f"  {sign} {label} {arrow} [{way.to}]")
        lines.append("")
    return lines[:-1]


def _short_act(read: ReadProgram, stage: int, number: int) -> str:
    each = read.program.stage[stage].do[number]
    is_lasting = each.time is not None
    lasts = f" for {as_written(read, 'stage', stage, 'do', number, 'for')}" if is_lasting else ""
    return f"{each.does} {each.output}{lasts}"


def _label(read: ReadProgram, path: Path) -> str:
    way = read.program.stage[int(path[1])].way[int(path[3])]
    condition = read.conditions.get((*path, "when"))
    clock = " after launch" if way.clock == "launch" else ""
    if condition is None:
        moment = as_written(read, *path, "backup" if way.not_before is None else "not_before")
        return f"{moment}{clock}"
    said = words(condition)
    if way.hold is not None and way.hold.value > 0.0:
        said += f" for {as_written(read, *path, 'hold')}"
    for word, field in (("from", "not_before"), ("until", "not_after"), ("or at", "backup")):
        if getattr(way, field) is not None:
            said += f", {word} {as_written(read, *path, field)}"
    return said + (clock if way.not_before or way.not_after or way.backup else "")
