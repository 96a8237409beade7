"""A release program in plain language, and its stages as a diagram of text.

Both are ours, so their quantities are in the units of the person; the text of the program itself is
shown elsewhere, as it was written.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from loftwright.documents.build import shown_bound
from loftwright.documents.fields import rules
from loftwright.documents.program import Program, ProgramStage
from loftwright.documents.spans import Path
from loftwright.program.phrases import in_units, words
from loftwright.program.reading import ReadProgram
from loftwright.units import read_quantity, said_in

__all__ = ["as_written", "diagram", "program_words"]


@dataclass(frozen=True, slots=True)
class _Reader:
    """A program, and the units in which it is read out; None: as they were written."""

    read: ReadProgram
    system: str | None

    @property
    def program(self) -> Program:
        return self.read.program

    def quantity(self, *path: str | int) -> str:
        return as_written(self.read, *path, system=self.system)

    def condition(self, *path: str | int) -> str | None:
        """Return the condition of a way; None where it needs none."""
        found = self.read.conditions.get((*path, "when"))
        return None if found is None else words(in_units(found, self.system))


def as_written(read: ReadProgram, *path: str | int, system: str | None = None) -> str:
    """Return the quantity at ``path`` as its document has it.

    A default, or a value whose uncertainty is not used, is shown in the unit of its field. What is
    in units that somebody of ``system`` does not think in is said in theirs.
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
        return str(text) if dimension == "number" else said_in(system, str(text), dimension)
    unit = read_quantity(unit_of if text is None else text, dimension)[1]
    return said_in(system, shown_bound(part.value, dimension, unit), dimension)


def program_words(program: ReadProgram, system: str | None = None) -> list[tuple[str, list[str]]]:
    """Return the whole program as headings with sentences under each, in the units of ``system``.

    None: in those that it was written in.
    """
    read = _Reader(program, system)
    parts = [("How it senses", [*_sensing(read), *_estimate(read)])]
    for number, stage in enumerate(read.program.stage):
        parts.append((f"{number + 1}. {stage.name}", _stage_words(read, number)))
    if read.program.promise:
        parts.append(("What it promises", list(_promises(read))))
    return parts


def _sensing(read: _Reader) -> Iterator[str]:
    yield (
        f"A sample is taken every {read.quantity('sample_every')}. Pressures below "
        f"{read.quantity('least')} or above {read.quantity('most')} are refused."
    )
    yield (
        f"Heights are reckoned from the pad's pressure with {read.quantity('pad_temperature')} "
        "there; on the ground that pressure is followed with a time constant of "
        f"{read.quantity('ground_follow')}."
    )


def _estimate(read: _Reader) -> Iterator[str]:
    estimate = read.program.estimate
    if estimate.kind == "raw":
        yield "Height is taken as read, climb from one reading to the next."
    elif estimate.height_gain is not None:
        height, climb = (read.quantity("estimate", f"{of}_gain") for of in ("height", "climb"))
        yield (
            f"A {'tracking' if estimate.kind == 'tracking' else 'low-pass'} filter with the gains "
            f"{height} and {climb} gives height and climb."
        )
    elif estimate.kind == "tracking":
        strays, noise = (read.quantity("estimate", word) for word in ("unsteadiness", "noise"))
        yield (
            f"A tracking filter gives height and climb: it expects accelerations of {strays} that "
            f"it does not know of, and noise of {noise} in each height."
        )
    else:
        height, climb = (read.quantity("estimate", f"{of}_time") for of in ("height", "climb"))
        yield f"A low-pass filter gives height ({height}) and climb ({climb})."


# ---------------------------------------------------------------- stages


def _stage_words(read: _Reader, number: int) -> list[str]:
    """Return what one stage is, does and waits for, a sentence each."""
    stage = read.program.stage[number]
    said = list(_entering(stage, number))
    said += [_act(read, number, act) for act in range(len(stage.do))]
    for way in range(len(stage.way)):
        first = "Then" if way == 0 else "Or else"
        said.append(f"{first} {_way_words(read, number, way)}.")
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


def _act(read: _Reader, stage: int, number: int) -> str:
    each = read.program.stage[stage].do[number]
    if each.does in ("pulse", "sound"):
        verb = "switched on" if each.does == "pulse" else "sounded"
        lasts = read.quantity("stage", stage, "do", number, "for")
        return f"{_capital(each.output)} is {verb} for {lasts}."
    return f"{_capital(each.output)} is {'opened' if each.does == 'open' else 'closed'}."


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _way_words(read: _Reader, stage: int, number: int) -> str:
    """Return when a way is taken and where it leads, without a capital and a stop."""
    way, path = read.program.stage[stage].way[number], ("stage", stage, "way", number)
    condition = read.condition(*path)
    since = "after launch" if way.clock == "launch" else "after it was entered"
    if condition is None:
        moment = read.quantity(*path, "backup" if way.not_before is None else "not_before")
        return f'to "{way.to}" {moment} {since}, whatever is sensed'
    said = f'to "{way.to}" when {condition}'
    if way.hold is not None and way.hold.value > 0.0:
        said += f", kept up for {read.quantity(*path, 'hold')}"
    if way.not_before is not None:
        said += f", not before {read.quantity(*path, 'not_before')} {since}"
    if way.not_after is not None:
        said += f", not after {read.quantity(*path, 'not_after')} {since}"
    if way.backup is not None:
        latest = read.quantity(*path, "backup")
        said += f"; and {latest} {since} at the latest, whatever is sensed"
    return said


def _promises(read: _Reader) -> Iterator[str]:
    for number, each in enumerate(read.program.promise):
        since = "launch is sensed" if each.since == "launch" else "power-up"
        times = []
        if each.not_before is not None:
            times.append(f"not before {read.quantity('promise', number, 'not_before')}")
        if each.no_later_than is not None:
            times.append(f"no later than {read.quantity('promise', number, 'no_later_than')}")
        verb = "opens" if each.does == "open" else "closes"
        yield f"{_capital(each.output)} {verb} {' and '.join(times)} after {since}."


# ---------------------------------------------------------------- diagram


def diagram(program: ReadProgram, system: str | None = None, *, plain: bool = False) -> list[str]:
    """Return the stages as lines of text: a box each, with what it does, and its ways out.

    Quantities are in the units of ``system``, as in `program_words`. ``plain`` keeps to ASCII, for
    terminals that have no other signs.
    """
    read = _Reader(program, system)
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


def _short_act(read: _Reader, stage: int, number: int) -> str:
    each = read.program.stage[stage].do[number]
    is_lasting = each.time is not None
    lasts = f" for {read.quantity('stage', stage, 'do', number, 'for')}" if is_lasting else ""
    return f"{each.does} {each.output}{lasts}"


def _label(read: _Reader, path: Path) -> str:
    way = read.program.stage[int(path[1])].way[int(path[3])]
    condition = read.condition(*path)
    clock = " after launch" if way.clock == "launch" else ""
    if condition is None:
        moment = read.quantity(*path, "backup" if way.not_before is None else "not_before")
        return f"{moment}{clock}"
    said = condition
    if way.hold is not None and way.hold.value > 0.0:
        said += f" for {read.quantity(*path, 'hold')}"
    for word, field in (("from", "not_before"), ("until", "not_after"), ("or at", "backup")):
        if getattr(way, field) is not None:
            said += f", {word} {read.quantity(*path, field)}"
    return said + (clock if way.not_before or way.not_after or way.backup else "")
