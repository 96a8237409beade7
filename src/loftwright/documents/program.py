"""A release program: the stages that a controller goes through, and what it does in each."""

from __future__ import annotations

from dataclasses import dataclass

from loftwright.documents.fields import Quantity, choice, flag, quantity, table, tables, text

__all__ = ["Do", "Estimate", "Output", "Program", "ProgramStage", "Promise", "Way"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Estimate:
    """How height and climb follow from the pressures that are read."""

    kind: str = choice(
        "tracking",
        "filter",
        "raw",
        doc="A tracking filter, which expects the climb to go on; a low-pass filter on each; or "
        "height as read and climb from one reading to the next.",
    )
    unsteadiness: Quantity | None = quantity(
        "acceleration",
        'For kind = "tracking": the acceleration that it does not know of, as one standard '
        "deviation.",
        default=None,
        above=0,
        example="5 m/s^2",
    )
    noise: Quantity | None = quantity(
        "length",
        'For kind = "tracking": the noise of one height, as one standard deviation.',
        default=None,
        above=0,
        example="0.3 m",
    )
    height_time: Quantity | None = quantity(
        "time", 'For kind = "filter": its time constant of height.', default=None, at_least=0,
        example="0.1 s",
    )  # fmt: skip
    climb_time: Quantity | None = quantity(
        "time", 'For kind = "filter": its time constant of climb.', default=None, at_least=0,
        example="0.2 s",
    )  # fmt: skip
    height_gain: Quantity | None = quantity(
        "number",
        "In place of those: the share of what a reading differs by that goes into the height.",
        default=None,
        above=0,
        at_most=1,
        example="0.4",
    )
    climb_gain: Quantity | None = quantity(
        "number",
        "In place of those: the share that goes into the climb; of a tracking filter, times the "
        "sample's length.",
        default=None,
        above=0,
        at_most=2,
        example="0.08",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Output:
    """Something that the controller can switch."""

    name: str = text("What it is called.", example="latch")


@dataclass(frozen=True, slots=True, kw_only=True)
class Promise:
    """A moment that an output must keep, whatever the sensors say; proved, or refuted by a path."""

    output: str = text("Which output.", example="latch")
    does: str = choice("open", "close", doc="Switched on (pulses and sounds too), or off.")
    not_before: Quantity | None = quantity(
        "time", "Never earlier than this.", default=None, above=0, example="0.8 s"
    )
    no_later_than: Quantity | None = quantity(
        "time", "At this time at the latest.", default=None, above=0, example="9 s"
    )
    since: str = choice(
        "launch",
        "power-up",
        doc="From when the times count: from when launch was sensed, or from power-up.",
        default="launch",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Do:
    """Something that is done when the stage is entered."""

    output: str = text("To which output.", example="latch")
    does: str = choice(
        "open",
        "close",
        "pulse",
        "sound",
        doc="Switch it on, switch it off, on for a time, or the same of something that is heard or "
        "seen.",
    )
    time: Quantity | None = quantity(
        "time",
        "For how long a pulse or a sound lasts.",
        default=None,
        above=0,
        example="0.5 s",
        key="for",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """A way out of the stage; of those that are ready in one sample, the first is taken."""

    to: str = text("The stage that it leads to.", example="coasting")
    when: str | None = text(
        "The condition: comparisons of height, climb, drop, push and pressure with a quantity, "
        "line open, line closed, joined by and, or, not and parentheses. Left out: by its times "
        "alone.",
        default=None,
        example="climb < 15 m/s",
        us="climb < 50 ft/s",
    )
    hold: Quantity | None = quantity(
        "time",
        "For how long condition and window must hold without a break; a single sample is enough "
        "when left out.",
        default=None,
        at_least=0,
        example="40 ms",
    )
    not_before: Quantity | None = quantity(
        "time", "Where its window begins.", default=None, at_least=0, example="0.8 s"
    )
    not_after: Quantity | None = quantity(
        "time", "Where its window ends.", default=None, at_least=0, example="8 s"
    )
    backup: Quantity | None = quantity(
        "time",
        "From this moment on it is taken whatever condition and window say.",
        default=None,
        above=0,
        example="3.6 s",
    )
    clock: str = choice(
        "stage",
        "launch",
        doc="From when its times count: since the stage was entered, or since launch was sensed.",
        default="stage",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class ProgramStage:
    """A stage; the first one is entered at power-up."""

    name: str = text("What it is called.", example="pad")
    ground: bool = flag(
        "Whether the pressure at the pad is followed here, so that height stays zero.",
        default=False,
    )
    launch: bool = flag("Whether entering it is when launch is sensed.", default=False)
    do: tuple[Do, ...] = tables(Do, "What is done when it is entered.")
    way: tuple[Way, ...] = tables(Way, "The ways out of it, in order.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Program:
    """What a controller does with what it senses, from power-up to the ground."""

    name: str = text("What the program is called.", example="Main release")
    sample_every: Quantity = quantity(
        "time",
        "From one sample to the next, whole milliseconds.",
        at_least=1e-3,
        at_most=1.0,
        example="20 ms",
    )
    ground_follow: Quantity = quantity(
        "time",
        "Time constant with which the pressure at the pad is followed.",
        default=Quantity(5.0),
        above=0,
        example="5 s",
    )
    pad_temperature: Quantity = quantity(
        "temperature",
        "Temperature at the pad that heights are reckoned with.",
        default=Quantity(288.15),
        at_least=200.0,
        at_most=340.0,
        example="15 degC",
    )
    least: Quantity = quantity(
        "absolute_pressure",
        "Readings below this are refused.",
        default=Quantity(30e3),
        above=0,
        example="30 kPa",
    )
    most: Quantity = quantity(
        "absolute_pressure",
        "Readings above this are refused.",
        default=Quantity(110e3),
        above=0,
        at_most=1e6,
        example="110 kPa",
    )
    estimate: Estimate = table(Estimate, "How height and climb are reckoned.")
    output: tuple[Output, ...] = tables(Output, "What can be switched.")
    promise: tuple[Promise, ...] = tables(Promise, "What must hold, whatever is sensed.")
    stage: tuple[ProgramStage, ...] = tables(ProgramStage, "The stages, the first one first.")
