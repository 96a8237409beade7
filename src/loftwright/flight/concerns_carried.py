"""What to think twice about of that which is carried: its hold, its drag, its release."""

from __future__ import annotations

import math
from collections.abc import Iterator

from loftwright.documents.finding import Finding
from loftwright.documents.payload import BEARS
from loftwright.flight.carried_facts import WAYS, Load, hold_loads, use_of, vehicle_trim
from loftwright.flight.concerns_pad import concern
from loftwright.flight.facts import Facts
from loftwright.flight.flat import rows
from loftwright.physics.atmosphere import GRAVITY
from loftwright.physics.ballistics import terminal_speed_of
from loftwright.physics.stored_energy import availability
from loftwright.units import format_quantity

__all__ = ["RULES", "fastest_climb"]

LARGEST_TRIM = math.radians(3.0)
HIGHEST_LOAD_FACTOR = 15.0  # lift over weight of a glider that is let go; a hard throw is ten


def hold(facts: Facts) -> Iterator[Finding]:
    """The hold of each payload bears it through the boost."""
    for root in facts.payloads:
        loads = hold_loads(facts, root)
        if loads is None:
            continue
        if f"{root}.hold.strength" in facts.values:
            yield from _whole_hold(facts, root, loads["liftoff"].along, loads["water_out"].along)
        else:
            yield from _pieces(facts, root, loads)


def _whole_hold(facts: Facts, root: str, first: float, last: float) -> Iterator[Finding]:
    strength = facts.values[f"{root}.hold.strength"]
    bears, early, late = (_force(facts, each) for each in (strength, first, last))
    path = (root, "hold", "strength")
    mend = "a stronger hold, or a shelf under the payload that takes the push; test it by pulling"
    if strength + facts.sds[f"{root}.hold.strength"] < first:
        message = f"the hold gives way at {bears}, and the first push alone asks {early} of it"
        yield concern("check-hold-weak", path, f"{message} (static thrust)", mend)
    elif strength < last:
        message = (
            f"the hold gives way at {bears}; it is asked {early} at liftoff and about {late} as "
            "the last water leaves"
        )
        yield concern("check-hold-weak", path, f"{message} (static thrust)", mend)


def _pieces(facts: Facts, root: str, loads: dict[str, Load]) -> Iterator[Finding]:
    """Look at a hold made of retainers: what it bears together, and what nobody has pulled."""
    use = max(use_of(facts, root, load) for load in loads.values())
    if use >= 1.0:
        worst = max(loads.values(), key=lambda load: use_of(facts, root, load))
        asked, off = _force(facts, worst.along), _force(facts, worst.peel)
        yield concern(
            "check-hold-weak",
            (root, "retainer"),
            f"the boost uses {use:.1f} times what the retainers bear: {asked} along the axis and "
            f"{off} off the body at its front (static thrust)",
            "stronger retainers, more of them, or a shelf behind the payload; test them by pulling",
        )
    pieces = list(zip(rows(facts.values, f"{root}.retainer"),
                      rows(facts.words, f"{root}.retainer"), strict=True))  # fmt: skip
    for way in WAYS:
        bearing = [(told, named) for told, named in pieces if way in BEARS[str(named["kind"])]]
        if bearing and not any(way in told for told, _ in bearing):
            yield concern(
                "check-hold-untested",
                (root, "retainer"),
                f"nobody has pulled the retainers in the direction that {way} stands for",
                f'pull with a luggage scale until it gives, and write {way} = "12 N ± 2 N"',
            )


def one_sided_drag(facts: Facts) -> Iterator[Finding]:
    """What sits on the side does not trim the vehicle far."""
    trim = vehicle_trim(facts)
    if facts.payloads and trim is not None and trim > LARGEST_TRIM:
        draggiest = max(facts.payloads, key=lambda root: facts.items[root]["ITEM_DRAG"])
        yield concern(
            "check-payload-drag",
            (draggiest, "carried", "offset"),
            f"drag on one side makes the vehicle fly about {math.degrees(trim):.0f} degrees askew",
            "give the payload a fairing or carry it closer",
        )


def glider_release(facts: Facts) -> Iterator[Finding]:
    """A glider is not let go so fast that its wings have to bear many times its weight."""
    for root in facts.payloads:
        climb = facts.values.get(f"{root}.release.climb")
        area = facts.values.get(f"{root}.glide.wing_area")
        if climb is None or area is None:
            continue
        lift = 0.5 * facts.air.density * climb**2 * area
        lift *= facts.values[f"{root}.glide.lift_coefficient"]
        factor = lift / (facts.values[f"{root}.mass"] * GRAVITY)
        if factor > HIGHEST_LOAD_FACTOR:
            yield concern(
                "check-release-fast",
                (root, "release", "climb"),
                f"at this speed the opened wings lift {factor:.0f} times the glider's weight",
                "let it go slower, or test the wings to that load",
            )


def fastest_climb(facts: Facts) -> float:
    """Return the speed that it cannot exceed, m/s: all the work of the air in the empty vehicle.

    Boosters and upper stage bring air of their own; no bound is given with them.
    """
    if any(root not in facts.payloads for root in facts.items):
        return math.inf
    work = availability(facts.fill_pressure, facts.air.pressure, facts.gas_volume)
    return math.sqrt(2.0 * max(work, 0.0) / facts.empty_bare.mass)


def _longest(facts: Facts, speed: float) -> float:
    """Return the time after which it is down for certain, s."""
    height = speed * speed / (2.0 * GRAVITY)
    up_and_down = 2.0 * speed / GRAVITY
    if facts.words.get("vehicle.canopy.opens", "never") == "never":
        # Its own drag brakes the fall; a tumbling or broadside body falls slowest.
        slow_area = max(facts.aero.crossflow_area, 1e-6)
    else:
        diameter = facts.values["vehicle.canopy.diameter"]
        slow_area = facts.values["vehicle.canopy.drag_coefficient"] * math.pi / 4 * diameter**2
    slowest = terminal_speed_of(facts.empty_bare.mass, facts.air.density, slow_area)
    return up_and_down + height / slowest


def release_can_come(facts: Facts) -> Iterator[Finding]:
    """What lets a payload go can happen at all."""
    fastest = fastest_climb(facts)
    for root in facts.payloads:
        climb = facts.values.get(f"{root}.release.climb")
        time = facts.values.get(f"{root}.release.time")
        kind = facts.words[f"{root}.release.when"]
        if kind == "climb" and climb is not None and climb > fastest:
            shown = format_quantity(fastest, "speed", facts.system)
            yield concern(
                "check-release-never",
                (root, "release", "climb"),
                f"it cannot climb so fast: all the work of its air would make it {shown}",
                "give a climb that it passes through while it slows down",
            )
        elif kind == "time" and time is not None and time > _longest(facts, fastest):
            shown = format_quantity(_longest(facts, fastest), "time", facts.system)
            yield concern(
                "check-release-never",
                (root, "release", "time"),
                f"it is on the ground before that, after {shown} at the latest",
                "give a time while it climbs; forecast shows when it is where",
            )


def _moment(kind: str, climb: float | None, time: float | None) -> tuple[str, float] | None:
    """Return what a trigger waits for, larger is later; None when it never comes."""
    if kind == "time" and time is not None:
        return "time", time
    if kind == "climb" and climb is not None:
        return "climb", -climb
    return ("climb", 0.0) if kind == "apogee" else None


def release_before_canopy(facts: Facts) -> Iterator[Finding]:
    """The payloads are gone before the canopy opens."""
    values, words = facts.values, facts.words
    if "vehicle.canopy.opens" not in words:
        return
    opened = _moment(
        str(words["vehicle.canopy.opens"]),
        values.get("vehicle.canopy.climb"),
        values.get("vehicle.canopy.time"),
    )
    for root in facts.payloads:
        gone = _moment(
            str(words[f"{root}.release.when"]),
            values.get(f"{root}.release.climb"),
            values.get(f"{root}.release.time"),
        )
        delays = values[f"{root}.release.delay"], values["vehicle.canopy.delay"]
        if _comes_late(gone, opened, delays):
            yield concern(
                "check-release-late",
                (root, "release", "when"),
                "the canopy opens before the payload is let go",
                "let the payload go earlier, or open the canopy later",
            )


def _comes_late(
    gone: tuple[str, float] | None, opened: tuple[str, float] | None, delays: tuple[float, float]
) -> bool:
    if gone is None or opened is None or gone[0] != opened[0]:
        return False
    if gone[0] == "time":
        return gone[1] + delays[0] > opened[1] + delays[1]
    return gone > opened or (gone == opened and delays[0] > delays[1])


def _force(facts: Facts, value: float) -> str:
    return str(format_quantity(value, "force", facts.system))


RULES = (
    hold,
    one_sided_drag,
    glider_release,
    release_can_come,
    release_before_canopy,
)
