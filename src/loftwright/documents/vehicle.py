"""``vehicle.toml``: the rocket as it stands on the pad."""

from __future__ import annotations

from dataclasses import dataclass

from loftwright.documents.fields import Quantity, choice, quantity, table, tables, text, whole
from loftwright.documents.wanted import WantedOpening

__all__ = [
    "Ballast",
    "Body",
    "Canopy",
    "Drag",
    "Fill",
    "Fins",
    "LaunchTube",
    "Mass",
    "Nose",
    "Nozzle",
    "Part",
    "Tail",
    "Vehicle",
    "Vessel",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Mass:
    """Measured mass properties of the whole vehicle without water and payload."""

    dry: Quantity | None = quantity(
        "mass", "Measured mass, no water, no payload.", default=None, above=0, example="186 g ± 1 g"
    )
    balance_from_nose: Quantity | None = quantity(
        "length",
        "Measured balance point of the dry vehicle, aft of the nose tip.",
        default=None,
        above=0,
        example="0.38 m ± 5 mm",
    )
    inertia_across: Quantity | None = quantity(
        "inertia",
        "Measured moment of inertia about the balance point, across the axis.",
        default=None,
        above=0,
        example="0.012 kg m^2",
    )
    inertia_along: Quantity | None = quantity(
        "inertia",
        "Measured moment of inertia about the long axis.",
        default=None,
        above=0,
        example="0.0004 kg m^2",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A piece of the dry vehicle; its mass is spread evenly over its length."""

    name: str = text("What the part is called.", example="nose cone")
    mass: Quantity = quantity("mass", "Mass of the part.", above=0, example="34 g")
    from_nose: Quantity = quantity(
        "length", "Front end of the part, aft of the nose tip.", at_least=0, example="0 mm"
    )
    length: Quantity = quantity("length", "Length along the axis.", at_least=0, example="180 mm")


@dataclass(frozen=True, slots=True, kw_only=True)
class Ballast:
    """Mass added on purpose, on the axis, beyond what was weighed and beyond the parts."""

    mass: Quantity = quantity(
        "mass",
        "Added mass; it counts on top of the measured mass and of the parts.",
        at_least=0,
        example="20 g ± 0.5 g",
    )
    from_nose: Quantity = quantity(
        "length", "Where it sits, aft of the nose tip.", at_least=0, example="60 mm"
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Vessel:
    """A pressurised bottle. Several vessels share one nozzle."""

    volume: Quantity = quantity("volume", "Inner volume.", above=0, example="2.0 L ± 0.01 L")
    diameter: Quantity = quantity(
        "length", "Inner diameter of the wall.", above=0, example="108 mm"
    )
    length: Quantity = quantity("length", "Length along the axis.", above=0, example="300 mm")
    from_nose: Quantity = quantity(
        "length", "Front end of the vessel, aft of the nose tip.", at_least=0, example="0.45 m"
    )
    material: str = choice("PET", "other", doc="Wall material.", default="PET")
    wall: Quantity = quantity("length", "Wall thickness.", above=0, example="0.30 mm ± 0.03 mm")
    proof_gauge_pressure: Quantity | None = quantity(
        "gauge_pressure",
        "Gauge pressure held in a water proof test of this very vessel.",
        default=None,
        above=0,
        example="100 psi",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Nozzle:
    """The throat and its losses."""

    throat_diameter: Quantity = quantity(
        "length",
        "Throat diameter.",
        above=0,
        example="21.5 mm",
        us="0.846 in",  # thrust goes with its square
    )
    flow_coefficient: Quantity = quantity(
        "number",
        "Mass flow over the loss-free mass flow.",
        default=Quantity(0.95, 0.04),
        above=0,
        at_most=1.0,
        example="0.95 ± 0.04",
    )
    velocity_coefficient: Quantity = quantity(
        "number",
        "Jet speed over the loss-free jet speed.",
        default=Quantity(0.97, 0.02),
        above=0,
        at_most=1.0,
        example="0.97 ± 0.02",
    )
    from_nose: Quantity | None = quantity(
        "length",
        "Exit plane, aft of the nose tip; the aft end of the last vessel when left out.",
        default=None,
        above=0,
        example="0.80 m",
    )
    breakthrough_volume: Quantity | None = quantity(
        "volume",
        "Water left when air breaks through the throat; "
        "half pi throat-diameter cubed when left out.",
        default=None,
        at_least=0,
        example="10 mL ± 5 mL",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class LaunchTube:
    """A tube inside the neck that the vehicle slides along before water can leave."""

    outer_diameter: Quantity = quantity(
        "length",
        "Outer diameter.",
        above=0,
        example="21.0 mm",
        us="0.827 in",
    )
    length: Quantity = quantity("length", "Length inside the vessel.", above=0, example="250 mm")


@dataclass(frozen=True, slots=True, kw_only=True)
class Fill:
    """What goes in before launch."""

    water_volume: Quantity = quantity("volume", "Water.", at_least=0, example="0.65 L ± 0.02 L")
    gauge_pressure: Quantity = quantity(
        "gauge_pressure", "Gauge pressure at release.", at_least=0, example="60 psi ± 2 psi"
    )
    temperature: Quantity = quantity(
        "temperature", "Temperature of water and air inside.", above=0, example="15 degC"
    )
    gas: str = choice(
        "moist",
        "dry",
        "polytropic",
        doc="How the air expands: moist air that condenses, dry adiabatic, or a given exponent.",
        default="moist",
    )
    exponent: Quantity | None = quantity(
        "number",
        'Exponent of p V^n = constant, for gas = "polytropic".',
        default=None,
        at_least=1.0,
        at_most=1.7,
        example="1.25 ± 0.05",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Nose:
    """The shape in front."""

    profile: str = choice("cone", "ogive", "ellipsoid", "parabola", doc="Profile of the nose.")
    length: Quantity = quantity("length", "Length of the nose.", above=0, example="160 mm")


@dataclass(frozen=True, slots=True, kw_only=True)
class Body:
    """The outside of the vehicle."""

    diameter: Quantity = quantity("length", "Largest outer diameter.", above=0, example="110 mm")
    length: Quantity = quantity(
        "length", "Overall length, nose tip to tail end.", above=0, example="0.85 m"
    )
    roughness: Quantity = quantity(
        "length",
        "Equivalent sand roughness of the surface.",
        default=Quantity(20e-6, 0.0),
        at_least=0,
        example="0.02 mm",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Tail:
    """A narrowing (or widening) at the tail end."""

    diameter: Quantity = quantity("length", "Diameter at the tail end.", above=0, example="30 mm")
    length: Quantity = quantity("length", "Length of the narrowing.", above=0, example="80 mm")


@dataclass(frozen=True, slots=True, kw_only=True)
class Fins:
    """A set of equal fins around the body."""

    count: int = whole("Number of fins in the set.", at_least=3, at_most=8, example="4")
    root_chord: Quantity = quantity("length", "Chord at the body.", above=0, example="120 mm")
    tip_chord: Quantity = quantity("length", "Chord at the tip.", at_least=0, example="60 mm")
    span: Quantity = quantity("length", "Exposed span of one fin.", above=0, example="110 mm")
    sweep: Quantity = quantity(
        "length",
        "How far the tip's leading edge stands aft of the root's.",
        at_least=0,
        example="60 mm",
    )
    thickness: Quantity = quantity("length", "Thickness.", above=0, example="2 mm")
    from_nose: Quantity = quantity(
        "length", "Leading edge of the root, aft of the nose tip.", at_least=0, example="0.72 m"
    )
    cant: Quantity = quantity(
        "angle",
        "Angle of the fins to the axis, the same for all; a positive one turns the vehicle "
        "clockwise, seen from behind.",
        default=Quantity(0.0, 0.0),
        at_least=-0.3490658503988659,  # 20 deg
        at_most=0.3490658503988659,
        example="0 deg ± 0.3 deg",
    )
    around: Quantity | None = quantity(
        "angle",
        "Where one of the fins stands, clockwise from the side that faces the launch azimuth, seen "
        "from behind; only needed to see whether something beside the fins is in their way.",
        default=None,
        example="0 deg",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Drag:
    """Measured drag; it replaces the build-up."""

    coefficient: Quantity = quantity(
        "number", "Measured drag coefficient, coasting.", above=0, example="0.45 ± 0.05"
    )
    reference_diameter: Quantity = quantity(
        "length",
        "Diameter of the circle that the coefficient refers to.",
        above=0,
        example="110 mm",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Canopy:
    """The parachute that brings the vehicle back."""

    diameter: Quantity = quantity("length", "Laid-flat diameter.", above=0, example="0.90 m")
    drag_coefficient: Quantity = quantity(
        "number",
        "Drag coefficient on the laid-flat area.",
        default=Quantity(0.75, 0.05),
        above=0,
        example="0.75 ± 0.05",
    )
    filling_constant: Quantity = quantity(
        "number",
        "Filling time times speed over diameter.",
        default=Quantity(8.0, 2.0),
        above=0,
        example="8 ± 2",
    )
    opening_factor: Quantity = quantity(
        "number",
        "Peak over steady drag when the canopy opens at constant speed.",
        default=Quantity(1.7, 0.1),
        at_least=1.0,
        example="1.7 ± 0.1",
    )
    opens: str = choice(
        "apogee",
        "climb",
        "time",
        "never",
        doc="What opens it: the top, a climb speed fallen below, a time after liftoff, or nothing.",
        default="apogee",
    )
    climb: Quantity | None = quantity(
        "speed", 'Climb speed, for opens = "climb".', default=None, example="10 ft/s"
    )
    time: Quantity | None = quantity(
        "time", 'Time after liftoff, for opens = "time".', default=None, above=0, example="3.5 s"
    )
    delay: Quantity = quantity(
        "time",
        "From that moment until cloth meets air.",
        default=Quantity(0.5, 0.1),
        at_least=0,
        example="0.5 s ± 0.1 s",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Vehicle:
    """The rocket without its payload."""

    name: str = text("What the vehicle is called.", example="Bottle 2")
    mass: Mass | None = table(Mass, "Measured mass properties.", required=False)
    part: tuple[Part, ...] = tables(Part, "Pieces whose masses sum to the dry mass.")
    ballast: Ballast | None = table(Ballast, "Mass added on purpose.", required=False)
    vessel: tuple[Vessel, ...] = tables(Vessel, "Pressurised bottles.")
    nozzle: Nozzle = table(Nozzle, "The throat.")
    launch_tube: LaunchTube | None = table(LaunchTube, "The tube in the neck.", required=False)
    fill: Fill = table(Fill, "Water and air.")
    nose: Nose = table(Nose, "The nose.")
    body: Body = table(Body, "The outside.")
    tail: Tail | None = table(Tail, "The tail's narrowing.", required=False)
    fins: tuple[Fins, ...] = tables(Fins, "Sets of fins.")
    drag: Drag | None = table(Drag, "Measured drag.", required=False)
    canopy: Canopy | None = table(Canopy, "The parachute.", required=False)
    wanted: WantedOpening | None = table(WantedOpening, "What a good opening is.", required=False)
