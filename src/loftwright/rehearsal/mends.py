"""What would mend a single point of failure: changes to the documents, ready to be tried.

A proposal is a campaign with one change, the words for it, and what to write where. Which faults it
is meant to mend follows from what those faults do: those that leave the canopy shut are met by a
way down that shares nothing with the first, those that blind a sensor by windows of time that do
not ask it, and those of the air in a bay by larger vents.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from dataclasses import field as dataclass_field
from itertools import chain, count
from math import ceil, floor

from loftwright.documents.avionics import Avionics
from loftwright.documents.avionics import parts as parts_of
from loftwright.documents.campaign import Campaign
from loftwright.documents.program import Program, Way
from loftwright.documents.reading import read_text
from loftwright.rehearsal.results import Case, Writing
from loftwright.units import Quantity, said_in

__all__ = ["Change", "Proposal", "Timings", "proposals"]

MARGIN = 0.3  # s between the latest that a program does by itself and a backup (judgement)
VENT_GROWTH = 1.6  # diameter of a larger vent over that of the old one (judgement)
TIMER = "backup timer"
TIMER_NAMES = (TIMER, "timer cell", "timer line", "timer latch")


@dataclass(frozen=True, slots=True)
class Timings:
    """When many flights without a fault do things, s.

    ``canopy`` is the latest moment at which one is opened, after first motion. ``leaves`` maps a
    controller, a stage and the number of a way out to the earliest and the latest moment at which
    that way is taken, by that way's own clock.
    """

    canopy: float | None
    leaves: Mapping[tuple[str, str, int], tuple[float, float]]


@dataclass(frozen=True, slots=True)
class Change:
    """A campaign with something changed: words for it, and what to write where.

    ``writings`` is the same as ``how``, for a machine; none where nobody but a person can do it.
    """

    words: str
    how: str
    campaign: Campaign
    writings: tuple[Writing, ...] = dataclass_field(default=(), kw_only=True)


@dataclass(frozen=True, slots=True)
class Proposal(Change):
    """A change to try, and the cases that it is meant to mend."""

    meant_for: tuple[Case, ...]


def proposals(
    campaign: Campaign, weak: Sequence[Case], groups: Mapping[str, str], timings: Timings
) -> Iterator[Proposal]:
    """Yield changes that may mend what is weak.

    Parameters
    ----------
    weak : sequence of Case
        Single points of failure.
    groups : mapping
        Group of each fault by its name, as the library has it.
    timings : Timings
        Of flights without a fault.
    """
    electric = [case for case in weak if groups.get(case.faults[0]) not in VEHICLE_GROUPS]
    if electric and campaign.vehicle.canopy is not None and timings.canopy is not None:
        yield _timer(campaign, electric, timings.canopy)
    blind = [case for case in electric if groups.get(case.faults[0]) in SENSE_GROUPS]
    if blind:
        yield from _windows(campaign, blind, timings)
    yield from _vents(campaign, [case for case in weak if case.faults[0].startswith(BREATHING)])


# Groups of faults (``instruments.faults``) that no electronics can mend, and those of what senses.
VEHICLE_GROUPS = frozenset({"hold", "canopy", "fill"})
SENSE_GROUPS = frozenset({"sensing", "launch"})
# Faults that larger vents meet: what flows into the bay has to get out of it.
BREATHING = ("leak into the bay", "gust across the vents")


def _later(seconds: float) -> float:
    """A time a margin later, in tenths of a second."""
    return ceil((seconds + MARGIN) * 10.0) / 10.0


def _earlier(seconds: float) -> float:
    return max(floor((seconds - MARGIN) * 10.0) / 10.0, 0.0)


# ---------------------------------------------------------------- a second way down


def _timer(campaign: Campaign, weak: Sequence[Case], canopy: float) -> Proposal:
    """Add a timer with a cell, a line and a latch of its own that opens the canopy.

    What is flown is read from the text that is shown.
    """
    assert campaign.avionics is not None
    after = _later(canopy)
    more = _not_taken(campaign.avionics)
    file = _file_of_timer(more)
    parts = TIMER_PARTS.format(more=more, file=file)
    program = TIMER_PROGRAM.format(after=f"{after} s")
    return Proposal(
        words=f"a timer of its own for the canopy: own cell, own latch, {after} s after liftoff",
        how=f"# {campaign.head.avionics}\n{parts}\n# {file}\n{program}",
        campaign=replace(
            campaign,
            avionics=_with_parts(campaign.avionics, parts),
            programs={**campaign.programs, f"{TIMER}{more}": read_text(program, file, Program)},
        ),
        meant_for=tuple(weak),
        writings=(
            Writing(file, added=program, is_new=True),
            Writing(campaign.head.avionics or "", added=f"\n{parts}"),
        ),
    )


def _not_taken(avionics: Avionics) -> str:
    """Return what makes the names of a timer and of its file new: nothing, " 2", " 3" ..."""
    taken = {part.name for _, _, part in parts_of(avionics)}
    taken |= {each.program for each in avionics.controller}
    tries = chain([""], (f" {number}" for number in count(2)))
    return next(
        more
        for more in tries
        if taken.isdisjoint({_file_of_timer(more), *(f"{name}{more}" for name in TIMER_NAMES)})
    )


def _file_of_timer(more: str) -> str:
    return "program-timer.toml".replace(".", f"{more.replace(' ', '-')}.")


def _with_parts(avionics: Avionics, text: str) -> Avionics:
    """Return the avionics with the parts of a timer beside their own."""
    added = read_text(f'name = "timer"\n{text}', "avionics.toml", Avionics)
    return replace(
        avionics,
        battery=(*avionics.battery, *added.battery),
        switch=(*avionics.switch, *added.switch),
        controller=(*avionics.controller, *added.controller),
        actuator=(*avionics.actuator, *added.actuator),
    )


TIMER_PARTS = """\
[[battery]]
name = "timer cell{more}"
voltage = "3.0 V ± 0.05 V"

[[switch]]
name = "timer line{more}"           # a wire to the pad that liftoff pulls out

[[controller]]
name = "backup timer{more}"
program = "{file}"
battery = "timer cell{more}"
senses = "timer line{more}"
draw = "5 mA"
brownout = "1.8 V ± 0.05 V"
start_up = "0.1 s"

[[actuator]]
name = "timer latch{more}"
controller = "backup timer{more}"
output = "door"
battery = "timer cell{more}"
works = "canopy"
draw = "0.2 A"
"""

TIMER_PROGRAM = """\
name = "Timer"
sample_every = "10 ms"

[estimate]
kind = "raw"

[[output]]
name = "door"

[[stage]]
name = "pad"
ground = true

[[stage.way]]
to = "flying"
when = "line open"
hold = "100 ms"

[[stage]]
name = "flying"
launch = true

[[stage.way]]
to = "down"
backup = "{after}"

[[stage]]
name = "down"

[[stage.do]]
output = "door"
does = "open"
"""


# ---------------------------------------------------------------- windows by time


def _windows(campaign: Campaign, weak: Sequence[Case], timings: Timings) -> Iterator[Proposal]:
    """Give every way out that flights take a window around when they take it.

    What waits on the pad must wait for ever, and is left alone.
    """
    for controller, program in campaign.programs.items():
        lines: list[str] = []
        values: dict[str, str | int] = {}
        stages = []
        for place, stage in enumerate(program.stage):
            ways = []
            for number, way in enumerate(stage.way):
                span = timings.leaves.get((controller, stage.name, number))
                narrowed = way if span is None or stage.ground else _narrowed(way, *span)
                if narrowed != way:
                    lines.append(f'# stage "{stage.name}", the way to "{way.to}"')
                    for word, text in _written(narrowed, way):
                        lines.append(f'{word} = "{text}"')
                        values[f"stage.{place}.way.{number}.{word}"] = text
                    lines.append("")
                ways.append(narrowed)
            stages.append(replace(stage, way=tuple(ways)))
        if lines:
            file = _file_of(campaign, controller)
            changed = replace(program, stage=tuple(stages))
            yield Proposal(
                words=f"windows by time in {file}: nothing too early, and a backup",
                how="\n".join([f"# {file}", *lines]) + "\n",
                campaign=replace(campaign, programs={**campaign.programs, controller: changed}),
                meant_for=tuple(weak),
                writings=(Writing(file, values),),
            )


def _narrowed(way: Way, earliest: float, latest: float) -> Way:
    """A way that opens shortly before flights take it, and is taken shortly after by itself."""
    opens = Quantity(_earlier(earliest))
    was = 0.0 if way.not_before is None else way.not_before.value
    return replace(
        way,
        not_before=opens if opens.value > was else way.not_before,
        backup=way.backup or Quantity(_later(latest)),
    )


def _written(way: Way, before: Way) -> Iterator[tuple[str, str]]:
    for word in ("not_before", "backup"):
        value = getattr(way, word)
        if value is not None and value != getattr(before, word):
            yield word, f"{value.value:g} s"


def _file_of(campaign: Campaign, controller: str) -> str:
    assert campaign.avionics is not None
    return next(each.program for each in campaign.avionics.controller if each.name == controller)


# ---------------------------------------------------------------- vents


def _vents(campaign: Campaign, weak: Sequence[Case]) -> Iterator[Proposal]:
    """Open the vents of each bay wider."""
    assert campaign.avionics is not None
    bays = campaign.avionics.bay
    for place, bay in enumerate(bays):
        mine = tuple(case for case in weak if case.part == bay.name)
        if not mine:
            continue
        wide = bay.vent_diameter.value * VENT_GROWTH
        larger = replace(bay, vent_diameter=Quantity(wide, bay.vent_diameter.sd))
        shown = said_in(campaign.head.units, f"{wide * 1e3:.1f} mm", "length")
        yield Proposal(
            words=f"vents of {shown} in {bay.name}",
            how=f'# {campaign.head.avionics}, bay "{bay.name}"\nvent_diameter = "{shown}"\n',
            campaign=replace(
                campaign,
                avionics=replace(
                    campaign.avionics, bay=(*bays[:place], larger, *bays[place + 1 :])
                ),
            ),
            meant_for=mine,
            writings=(
                Writing(campaign.head.avionics or "", {f"bay.{place}.vent_diameter": shown}),
            ),
        )
