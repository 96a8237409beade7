"""``payload.toml``: what the vehicle carries and lets go."""

from __future__ import annotations

from dataclasses import dataclass

from loftwright.documents.fields import Quantity, choice, quantity, table, text
from loftwright.documents.glider import Balance, Fin, Fuselage, Tailplane, Wing

__all__ = ["Carried", "Descent", "Glide", "Hold", "Payload", "Release", "Toss"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Carried:
    """Where and how the payload sits on the vehicle."""

    from_nose: Quantity = quantity(
        "length", "Balance point of the payload, aft of the nose tip.", at_least=0, example="0.35 m"
    )
    offset: Quantity = quantity(
        "length",
        "Balance point of the payload, sideways from the vehicle's axis.",
        default=Quantity(0.0),
        at_least=0,
        example="65 mm",
    )
    around: Quantity = quantity(
        "angle",
        "Which side it sits on, clockwise from the side that faces the launch azimuth, seen from "
        "behind.",
        default=Quantity(0.0),
        example="0 deg",
    )
    length: Quantity = quantity("length", "Length as carried.", above=0, example="300 mm")
    width: Quantity = quantity("length", "Width as carried.", above=0, example="60 mm")
    thickness: Quantity = quantity(
        "length", "How far it stands off the body.", above=0, example="20 mm"
    )
    drag_coefficient: Quantity = quantity(
        "number",
        "Drag coefficient as carried, on width times thickness.",
        default=Quantity(0.8, 0.2),
        at_least=0,
        example="0.8 ± 0.2",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Glide:
    """The glide as it was measured: all that is known of a glider without [wing]."""

    wing_area: Quantity | None = quantity(
        "area",
        "Wing area, unfolded, of a glider without [wing].",
        default=None,
        above=0,
        example="400 cm^2",
    )
    lift_coefficient: Quantity = quantity(
        "number",
        "Lift coefficient in steady glide, of a glider without [wing].",
        default=Quantity(0.6, 0.1),
        above=0,
        example="0.6 ± 0.1",
    )
    glide_ratio: Quantity | None = quantity(
        "number",
        "Distance over height lost in still air.",
        default=None,
        above=0,
        example="4.5 ± 0.5",
    )
    sink: Quantity | None = quantity(
        "speed",
        "Sink rate in still air at standard sea-level density, of a glider with [wing], when the "
        "glide ratio was not measured.",
        default=None,
        above=0,
        example="0.9 m/s ± 0.1 m/s",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Descent:
    """How a pod comes down after release: by what was measured, or built up from a size."""

    how: str = choice(
        "plain",
        "canopy",
        "autorotating",
        "tumbling",
        doc="A body that keeps its attitude, hangs under a canopy, turns as a rotor, or tumbles.",
        default="plain",
    )
    drag_area: Quantity | None = quantity(
        "area", "Drag coefficient times area.", default=None, above=0, example="0.05 m^2"
    )
    rate: Quantity | None = quantity(
        "speed",
        "Measured steady descent rate at standard sea-level density.",
        default=None,
        above=0,
        example="4 m/s ± 0.3 m/s",
    )
    diameter: Quantity | None = quantity(
        "length",
        "Canopy laid flat, or disc that the turning rotor sweeps.",
        default=None,
        above=0,
        example="400 mm",
    )
    area: Quantity | None = quantity(
        "area", "Side of a plain body that meets the air.", default=None, above=0, example="40 cm^2"
    )
    surface: Quantity | None = quantity(
        "area",
        "Whole outer surface of a tumbling body, both faces of a plate.",
        default=None,
        above=0,
        example="250 cm^2",
    )
    drag_coefficient: Quantity | None = quantity(
        "number",
        "Drag coefficient on that size: about 0.75 ± 0.05 for a flat canopy, 1.1 ± 0.2 for a free "
        "rotor's disc, 0.9 ± 0.2 tumbling.",
        default=None,
        above=0,
        example="0.75 ± 0.05",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Hold:
    """What holds the payload until it is let go."""

    strength: Quantity = quantity(
        "force", "Load at which the hold gives way.", above=0, example="30 N ± 3 N"
    )
    friction: Quantity = quantity(
        "number",
        "Friction coefficient where it rests.",
        default=Quantity(0.2, 0.1),
        at_least=0,
        example="0.2 ± 0.1",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Release:
    """The event that lets the payload go."""

    when: str = choice(
        "climb",
        "apogee",
        "time",
        "never",
        doc="Climb speed fallen below a threshold, the top, a time after liftoff, or not at all.",
    )
    climb: Quantity | None = quantity(
        "speed", 'Climb speed, for when = "climb".', default=None, example="50 ft/s"
    )
    time: Quantity | None = quantity(
        "time", 'Time after liftoff, for when = "time".', default=None, above=0, example="2.8 s"
    )
    delay: Quantity = quantity(
        "time",
        "From that moment until the payload is free.",
        default=Quantity(0.0),
        at_least=0,
        example="0.05 s ± 0.02 s",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Toss:
    """How the payload is pushed off."""

    speed: Quantity = quantity(
        "speed", "Speed sideways, relative to the vehicle.", at_least=0, example="1.5 m/s ± 0.3 m/s"
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Payload:
    """One payload."""

    name: str = text("What the payload is called.", example="Wren")
    kind: str = choice("glider", "pod", doc="A glider flies on its wing or its polar; a pod falls by its drag.")
    mass: Quantity = quantity("mass", "Mass.", above=0, example="38 g ± 0.5 g")
    carried: Carried = table(Carried, "Where and how it sits.")
    wing: Wing | None = table(Wing, "The wing of a glider.", required=False)
    tailplane: Tailplane | None = table(Tailplane, "Its tailplane.", required=False)
    fin: Fin | None = table(Fin, "Its fin.", required=False)
    fuselage: Fuselage | None = table(Fuselage, "Its fuselage.", required=False)
    balance: Balance | None = table(Balance, "Where it balances.", required=False)
    glide: Glide | None = table(Glide, "The measured glide of a glider.", required=False)
    descent: Descent | None = table(Descent, "How a pod comes down.", required=False)
    hold: Hold | None = table(Hold, "What holds it.", required=False)
    release: Release = table(Release, "What lets it go.")
    toss: Toss | None = table(Toss, "How it is pushed off.", required=False)
