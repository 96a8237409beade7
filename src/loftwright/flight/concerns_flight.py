"""What to think twice about before it flies: stability, the payload, what opens when."""

from __future__ import annotations

import math
from collections.abc import Iterator

from loftwright.documents.finding import Finding
from loftwright.flight.concerns_pad import concern
from loftwright.flight.facts import Facts
from loftwright.physics.atmosphere import GRAVITY
from loftwright.physics.drag import drag_area
from loftwright.units import format_quantity

__all__ = ["RULES", "payload_trim"]

# Levers in body diameters that the trade keeps to (custom, not a standard).
LEAST_CALIBRES, MOST_CALIBRES = 1.0, 5.0
LARGEST_TRIM = math.radians(3.0)
TYPICAL_SPEED = 30.0  # m/s, for the friction in the trim estimate
HIGHEST_LOAD_FACTOR = 15.0  # lift over weight of a glider that is let go; a hard throw is ten

BALANCE = ("vehicle", "mass", "balance_from_nose")
FINS = ("vehicle", "fins")


def can_fly(facts: Facts) -> Iterator[Finding]:
    """A vehicle without fins is for the stand; nothing else about its flight is said then."""
    if not facts.flies:
        yield concern(
            "check-no-fins",
            FINS,
            "there are no fins: this can be fired on a stand but must not fly",
            "add [[fins]] before it leaves the stand",
        )


def stability(facts: Facts) -> Iterator[Finding]:
    """The air acts well behind the balance, with water in and without."""
    if not facts.flies:
        return
    full, empty = facts.calibres(facts.full), facts.calibres(facts.empty)
    bare = facts.calibres(facts.empty_bare)
    blames_payload = facts.payload is not None and empty < LEAST_CALIBRES <= bare
    on = " with the payload on" if facts.payload is not None else ""
    if empty < 0:
        yield concern(
            "check-unstable",
            FINS,
            f"the air acts {-empty:.1f} calibres ahead of the balance once the water is out{on}: "
            "it will tumble",
            "larger fins further aft, or weight in the nose",
        )
    elif empty < LEAST_CALIBRES:
        without = f" ({bare:.1f} without it)" if blames_payload else ""
        yield concern(
            "check-stability-low",
            ("payload", "carried", "from_nose") if blames_payload else FINS,
            f"once the water is out the stability is {empty:.1f} calibres{on}{without}; "
            f"{LEAST_CALIBRES:.0f} is the least that is usual",
            "move the payload forward" if blames_payload else "larger fins, or weight in the nose",
        )
    elif full < LEAST_CALIBRES:
        yield _lost_with_water(full, empty)
    if max(full, empty) > MOST_CALIBRES:
        yield concern(
            "check-stability-high",
            FINS,
            f"the stability reaches {max(full, empty):.1f} calibres: it will turn hard into the "
            "wind",
            "smaller fins, or launch in little wind",
        )


def _lost_with_water(full: float, empty: float) -> Finding:
    word = "is lost" if full < 0 else "is low"
    shown = f"{full:.1f}".replace("-", "−")  # the minus of the figures beside it
    return concern(
        "check-stability-full",
        FINS,
        f"stability {word} while the water is in: {shown} calibres full, {empty:.1f} empty; "
        "a side wind or an off-centre push turns it before the fins work",
        "a longer guide, less water, or fins further aft; see how far it leans in forecast",
    )


def hold(facts: Facts) -> Iterator[Finding]:
    """The hold bears the payload through the boost."""
    strength = facts.values.get("payload.hold.strength")
    if strength is None or facts.payload is None or facts.pull is None:
        return
    first = facts.payload.mass * facts.pull.felt_at_liftoff
    last = facts.payload.mass * facts.pull.felt_at_water_out
    bears, early, late = (_force(facts, each) for each in (strength, first, last))
    path = ("payload", "hold", "strength")
    mend = "a stronger hold, or a shelf under the payload that takes the push; test it by pulling"
    if strength + facts.sds["payload.hold.strength"] < first:
        message = f"the hold gives way at {bears}, and the first push alone asks {early} of it"
        yield concern("check-hold-weak", path, f"{message} (static thrust)", mend)
    elif strength < last:
        message = (
            f"the hold gives way at {bears}; it is asked {early} at liftoff and about {late} as "
            "the last water leaves"
        )
        yield concern("check-hold-weak", path, f"{message} (static thrust)", mend)


def payload_trim(facts: Facts) -> float | None:
    """Estimate the angle at which it flies because drag pulls on one side, rad.

    Drag of the payload on its offset, less the body's on the other side of the balance, held by
    the normal force on its lever. None without payload, fins or lever.
    """
    aero = facts.aero
    lever = facts.aerodynamic_centre - facts.empty.balance_from_nose
    if facts.payload is None or not facts.flies or lever <= 0:
        return None
    body = aero.measured_drag_area or drag_area(
        TYPICAL_SPEED,
        facts.air.viscosity / facts.air.density,
        aero.body_length,
        aero.body_friction_area,
        aero.fin_chord,
        aero.fin_friction_area,
        aero.pressure_drag_area,
        aero.base_diameter,
        aero.reference_area,
        aero.roughness,
        1.0,
    )
    aside = facts.empty.offset
    pull = aero.payload_drag_area * (aero.payload_offset - aside) - body * aside
    slope = aero.nose_slope + aero.tail_slope + aero.fin_slope
    return abs(pull) / (aero.reference_area * slope * lever)


def one_sided_drag(facts: Facts) -> Iterator[Finding]:
    """A payload on the side does not trim the vehicle far."""
    trim = payload_trim(facts)
    if facts.flies and trim is not None and trim > LARGEST_TRIM:
        yield concern(
            "check-payload-drag",
            ("payload", "carried", "offset"),
            f"drag on one side makes the vehicle fly about {math.degrees(trim):.0f} degrees askew",
            "give the payload a fairing or carry it closer",
        )


def glider_release(facts: Facts) -> Iterator[Finding]:
    """A glider is not let go so fast that its wings have to bear many times its weight."""
    climb = facts.values.get("payload.release.climb")
    area = facts.values.get("payload.glide.wing_area")
    if climb is None or area is None or facts.payload is None:
        return
    lift = 0.5 * facts.air.density * climb**2 * area
    lift *= facts.values["payload.glide.lift_coefficient"]
    factor = lift / (facts.payload.mass * GRAVITY)
    if factor > HIGHEST_LOAD_FACTOR:
        yield concern(
            "check-release-fast",
            ("payload", "release", "climb"),
            f"at this speed the opened wings lift {factor:.0f} times the glider's weight",
            "let it go slower, or test the wings to that load",
        )


def _moment(kind: str, climb: float | None, time: float | None) -> tuple[str, float] | None:
    """Return what a trigger waits for, larger is later; None when it never comes."""
    if kind == "time" and time is not None:
        return "time", time
    if kind == "climb" and climb is not None:
        return "climb", -climb
    return ("climb", 0.0) if kind == "apogee" else None


def release_before_canopy(facts: Facts) -> Iterator[Finding]:
    """The payload is gone before the canopy opens."""
    values, words = facts.values, facts.words
    if facts.payload is None or "vehicle.canopy.opens" not in words:
        return
    gone = _moment(
        str(words["payload.release.when"]),
        values.get("payload.release.climb"),
        values.get("payload.release.time"),
    )
    opened = _moment(
        str(words["vehicle.canopy.opens"]),
        values.get("vehicle.canopy.climb"),
        values.get("vehicle.canopy.time"),
    )
    if gone is None or opened is None or gone[0] != opened[0]:
        return
    delays = values["payload.release.delay"], values["vehicle.canopy.delay"]
    late = gone[1] + delays[0] > opened[1] + delays[1] if gone[0] == "time" else gone > opened
    if late or (gone == opened and delays[0] > delays[1]):
        yield concern(
            "check-release-late",
            ("payload", "release", "when"),
            "the canopy opens before the payload is let go",
            "let the payload go earlier, or open the canopy later",
        )


def comes_back_slowly(facts: Facts) -> Iterator[Finding]:
    """Something brakes the fall of the vehicle."""
    if facts.flies and facts.words.get("vehicle.canopy.opens", "never") == "never":
        yield concern(
            "check-no-canopy",
            ("vehicle", "canopy"),
            "nothing brakes the fall: it comes down as fast as it can",
            "add [canopy], or clear the field and see its energy at the ground in forecast",
        )


def _force(facts: Facts, value: float) -> str:
    return str(format_quantity(value, "force", facts.system))


RULES = (
    can_fly,
    stability,
    hold,
    one_sided_drag,
    glider_release,
    release_before_canopy,
    comes_back_slowly,
)
