"""``payload.toml``: what the vehicle carries and lets go."""

from __future__ import annotations

from dataclasses import dataclass

from loftwright.documents.fields import Quantity, choice, quantity, table, tables, text, whole
from loftwright.documents.glider import Balance, Fin, Fuselage, Tailplane, Wing
from loftwright.documents.wanted import WantedRelease

__all__ = ["BEARS", "Carried", "Descent", "Glide", "Hold", "Payload", "Release", "Retainer", "Toss"]

# What one retainer bears by its form; its preload may grip besides.
BEARS: dict[str, tuple[str, ...]] = {
    "hook": ("along", "peel"),
    "pin": ("along", "across"),
    "strap": ("peel",),
    "band": ("peel",),
    "friction": (),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Carried:
    """Where and how the payload sits on the vehicle."""

    how: str = choice(
        "folded",
        "wrapped",
        "fairing",
        "inside",
        doc="Standing off flat against the side, wrapped around the body as an arc, inside a "
        "streamlined fairing on the side, or within the body.",
        default="folded",
    )
    from_nose: Quantity = quantity(
        "length", "Balance point of the payload, aft of the nose tip.", at_least=0, example="0.35 m"
    )
    front_from_nose: Quantity | None = quantity(
        "length",
        "Front end of the payload, aft of the nose tip; half its length ahead of its balance point "
        "when left out.",
        default=None,
        example="0.20 m",
    )
    offset: Quantity = quantity(
        "length",
        "Balance point of the payload, sideways from the vehicle's axis; that of a wrapped one "
        "follows from its arc.",
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
    width: Quantity = quantity(
        "length",
        "Width as carried; of a wrapped one, measured along its arc.",
        above=0,
        example="60 mm",
    )
    thickness: Quantity = quantity(
        "length", "How far it stands off the body.", above=0, example="20 mm"
    )
    gap: Quantity = quantity(
        "length",
        "Air between the payload and the body's skin.",
        default=Quantity(0.0),
        at_least=0,
        example="2 mm",
    )
    edges: str = choice(
        "sharp",
        "rounded",
        doc="Its front edges: square, or rounded to a fifth of the thickness or more.",
        default="sharp",
    )
    drag_coefficient: Quantity | None = quantity(
        "number",
        "Measured drag coefficient as carried, on width times thickness; built up from the shape "
        "when neither this nor drag_area stands.",
        default=None,
        at_least=0,
        example="0.8 ± 0.2",
    )
    drag_area: Quantity | None = quantity(
        "area",
        "Measured drag coefficient times area as carried.",
        default=None,
        at_least=0,
        example="9 cm^2 ± 1 cm^2",
    )
    drag_factor: Quantity = quantity(
        "number",
        "Factor on the built-up drag; its spread is how far a handbook is trusted here.",
        default=Quantity(1.0, 0.3),
        at_least=0,
        example="1.0 ± 0.3",
    )
    push_coefficient: Quantity = quantity(
        "number",
        "Force of the air straight off the body at no incidence, outward positive, on length "
        "times width.",
        default=Quantity(0.0, 0.05),
        at_least=-2.0,
        at_most=2.0,
        example="0 ± 0.05",
    )
    inertia_along: Quantity | None = quantity(
        "inertia",
        "Measured moment of inertia as carried, about its own balance point, along the vehicle's "
        "axis; that of an even block or arc of its size when left out.",
        default=None,
        above=0,
        example="1.2e-5 kg m^2",
    )
    inertia_across: Quantity | None = quantity(
        "inertia",
        "Measured moment of inertia as carried, about its own balance point, across the vehicle's "
        "axis.",
        default=None,
        above=0,
        example="2.9e-4 kg m^2",
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
    """What holds the payload until it is let go, measured as a whole."""

    strength: Quantity = quantity(
        "force",
        "Load at which the hold gives way, in whichever direction.",
        above=0,
        example="30 N ± 3 N",
    )
    friction: Quantity = quantity(
        "number",
        "Friction coefficient where it rests.",
        default=Quantity(0.2, 0.1),
        at_least=0,
        example="0.2 ± 0.1",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Retainer:
    """A piece that holds the payload, and what one of it bears before it gives way."""

    kind: str = choice(
        "hook",
        "pin",
        "strap",
        "band",
        "friction",
        doc="A hook bears pull along the axis and off the body; a pin along and across; a strap "
        "and an elastic band off the body; friction (foam, a snug bed) grips every way with its "
        "preload.",
    )
    count: int = whole(
        "How many of these there are; they are taken to share the load.",
        example="1",
        at_least=1,
        at_most=20,
        default=1,
    )
    from_nose: Quantity | None = quantity(
        "length",
        "Where it sits, aft of the nose tip; at the payload's balance point when left out.",
        default=None,
        at_least=0,
        example="0.25 m",
    )
    along: Quantity | None = quantity(
        "force",
        "Strength of one against a pull along the axis.",
        default=None,
        above=0,
        example="18 N ± 2 N",
    )
    across: Quantity | None = quantity(
        "force",
        "Strength of one against a push around the body.",
        default=None,
        above=0,
        example="12 N ± 2 N",
    )
    peel: Quantity | None = quantity(
        "force",
        "Strength of one against a pull straight off the body.",
        default=None,
        above=0,
        example="9 N ± 1 N",
    )
    preload: Quantity | None = quantity(
        "force",
        "How hard one presses the payload onto the body.",
        default=None,
        at_least=0,
        example="4 N ± 1 N",
    )
    friction: Quantity = quantity(
        "number",
        "Friction coefficient where the payload rests on the body.",
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
    kind: str = choice(
        "glider", "pod", doc="A glider flies on its wing or its polar; a pod falls by its drag."
    )
    mass: Quantity = quantity("mass", "Mass.", above=0, example="38 g ± 0.5 g")
    on: str = choice("vehicle", "upper", doc="Which stage carries it.", default="vehicle")
    carried: Carried = table(Carried, "Where and how it sits.")
    wing: Wing | None = table(Wing, "The wing of a glider.", required=False)
    tailplane: Tailplane | None = table(Tailplane, "Its tailplane.", required=False)
    fin: Fin | None = table(Fin, "Its fin.", required=False)
    fuselage: Fuselage | None = table(Fuselage, "Its fuselage.", required=False)
    balance: Balance | None = table(Balance, "Where it balances.", required=False)
    glide: Glide | None = table(Glide, "The measured glide of a glider.", required=False)
    descent: Descent | None = table(Descent, "How a pod comes down.", required=False)
    hold: Hold | None = table(Hold, "What holds it, measured as a whole.", required=False)
    retainer: tuple[Retainer, ...] = tables(Retainer, "Pieces that hold it, one by one.")
    release: Release = table(Release, "What lets it go.")
    toss: Toss | None = table(Toss, "How it is pushed off.", required=False)
    wanted: WantedRelease | None = table(WantedRelease, "What a good release is.", required=False)
