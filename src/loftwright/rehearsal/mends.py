"""What would mend a single point of failure: changes to the documents, ready to be tried.

A proposal is a campaign with one change, the words for it, and what to write where. Which faults it
is meant to mend follows from what those faults do: those that leave the canopy shut are met by a
way down that shares nothing with the first, those that blind a sensor by windows of time that do
not ask it, and those of the air in a bay by larger vents.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import ceil, floor

from loftwright.documents.avionics import Actuator, Avionics, Battery, Controller, Switch
from loftwright.documents.campaign import Campaign
from loftwright.documents.program import Do, Estimate, Output, Program, ProgramStage, Way
from loftwright.rehearsal.results import Case
from loftwright.units import Quantity

__all__ = ["Change", "Proposal", "Timings", "proposals"]

MARGIN = 0.3  # s between the latest that a program does by itself and a backup (judgement)
VENT_GROWTH = 1.6  # diameter of a larger vent over that of the old one (judgement)
TIMER, TIMER_CELL, TIMER_LINE, TIMER_LATCH = (
    "backup timer",
    "timer cell",
    "timer line",
    "timer latch",
)


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
    """A campaign with something changed: words for it, and what to write where."""

    words: str
    how: str
    campaign: Campaign


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
    """Add a timer with a cell, a line and a latch of its own that opens the canopy."""
    assert campaign.avionics is not None
    after = _later(canopy)
    file = "program-timer.toml"
    return Proposal(
        words=f"a timer of its own for the canopy: own cell, own latch, {after} s after liftoff",
        how=_TIMER_TEXT.format(file=file, after=f"{after} s"),
        campaign=replace(
            campaign,
            avionics=_with_timer(campaign.avionics, file),
            programs={**campaign.programs, TIMER: _timer_program(after)},
        ),
        meant_for=tuple(weak),
    )


def _with_timer(avionics: Avionics, file: str) -> Avionics:
    return replace(
        avionics,
        battery=(*avionics.battery, Battery(name=TIMER_CELL, voltage=Quantity(3.0, 0.05))),
        switch=(*avionics.switch, Switch(name=TIMER_LINE)),
        controller=(
            *avionics.controller,
            Controller(
                name=TIMER,
                program=file,
                battery=TIMER_CELL,
                senses=TIMER_LINE,
                draw=Quantity(0.005),
                brownout=Quantity(1.8, 0.05),
                start_up=Quantity(0.1),
            ),
        ),
        actuator=(
            *avionics.actuator,
            Actuator(
                name=TIMER_LATCH,
                controller=TIMER,
                output="door",
                battery=TIMER_CELL,
                works="canopy",
                draw=Quantity(0.2),
            ),
        ),
    )


def _timer_program(after: float) -> Program:
    """Return a program that waits for its line to open, and then for a time."""
    flying = Way(to="down", backup=Quantity(after))
    return Program(
        name="Timer",
        sample_every=Quantity(0.01),
        estimate=Estimate(kind="raw"),
        output=(Output(name="door"),),
        stage=(
            ProgramStage(
                name="pad",
                ground=True,
                way=(Way(to="flying", when="line open", hold=Quantity(0.1)),),
            ),
            ProgramStage(name="flying", launch=True, way=(flying,)),
            ProgramStage(name="down", do=(Do(output="door", does="open"),)),
        ),
    )


_TIMER_TEXT = """\
# avionics.toml
[[battery]]
name = "timer cell"
voltage = "3.0 V ± 0.05 V"

[[switch]]
name = "timer line"                 # a wire to the pad that liftoff pulls out

[[controller]]
name = "backup timer"
program = "{file}"
battery = "timer cell"
senses = "timer line"
draw = "5 mA"
brownout = "1.8 V ± 0.05 V"
start_up = "0.1 s"

[[actuator]]
name = "timer latch"
controller = "backup timer"
output = "door"
battery = "timer cell"
works = "canopy"
draw = "0.2 A"

# {file}
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
        stages = []
        for stage in program.stage:
            ways = []
            for number, way in enumerate(stage.way):
                span = timings.leaves.get((controller, stage.name, number))
                narrowed = way if span is None or stage.ground else _narrowed(way, *span)
                if narrowed != way:
                    lines.append(f'# stage "{stage.name}", the way to "{way.to}"')
                    lines += _written(narrowed, way)
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


def _written(way: Way, before: Way) -> Iterator[str]:
    for word in ("not_before", "backup"):
        value = getattr(way, word)
        if value is not None and value != getattr(before, word):
            yield f'{word} = "{value.value:g} s"'
    yield ""


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
        shown = f"{wide * 1e3:.1f} mm"
        yield Proposal(
            words=f"vents of {shown} in {bay.name}",
            how=f'# avionics.toml, bay "{bay.name}"\nvent_diameter = "{shown}"\n',
            campaign=replace(
                campaign,
                avionics=replace(
                    campaign.avionics, bay=(*bays[:place], larger, *bays[place + 1 :])
                ),
            ),
            meant_for=mine,
        )
