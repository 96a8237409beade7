"""What must hold between the fields of a vehicle.

Each rule looks at one thing and yields what it finds. It is handed a vehicle that may have holes;
a rule that touches a hole ends there, and what it found before stands.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from loftwright.documents.finding import Finding, beyond, listed, such_as, told, trigger
from loftwright.documents.vehicle import Part, Vehicle, Vessel
from loftwright.errors.problem import Severity
from loftwright.units import format_quantity

__all__ = ["RULES"]

SLACK = 1.02  # how far measured shapes may disagree before it is a slip
WARN_SHARE, REFUSE_SHARE = 0.02, 0.20  # of [mass] against the parts


def has_a_vessel(vehicle: Vehicle) -> Iterator[Finding]:
    """See that a water rocket has at least one pressurised vessel."""
    if not vehicle.vessel:
        mend = 'add [[vessel]] with volume = "2.0 L" and its other fields'
        yield Finding("vehicle-no-vessel", ("vessel",), "there is no vessel", mend, key=True)


def water_fits(vehicle: Vehicle) -> Iterator[Finding]:
    """See that the water goes into the vessels."""
    water, room = vehicle.fill.water_volume, sum(v.volume.value for v in vehicle.vessel)
    if vehicle.vessel and beyond(water.value, room):
        shown = told(room, "volume")
        message = f"this is more water than the vessel holds, {shown}"
        mend = f"fill less than {shown}, or correct the volume of the vessel"
        yield Finding("vehicle-too-much-water", ("fill", "water_volume"), message, mend)


def pressure_is_proven(vehicle: Vehicle) -> Iterator[Finding]:
    """See that no vessel is filled beyond the pressure that it was tested to."""
    for vessel in vehicle.vessel:
        proof = vessel.proof_gauge_pressure
        if proof is None or not beyond(vehicle.fill.gauge_pressure.value, proof.value):
            continue
        shown = format_quantity(proof.value, "gauge_pressure", "us")
        also = format_quantity(proof.value, "gauge_pressure", "metric")
        message = (
            f"this is over the proof pressure of the vessel, {shown} ({also}): "
            "a bottle that bursts can maim whoever stands near"
        )
        mend = f"fill to less than {shown}, or proof-test with water, from afar, to more"
        yield Finding("vehicle-over-proof", ("fill", "gauge_pressure"), message, mend)
        return


def throat_fits(vehicle: Vehicle) -> Iterator[Finding]:
    """See that the throat is narrower than the vessels."""
    throat = vehicle.nozzle.throat_diameter.value
    narrowest = min((vessel.diameter.value for vessel in vehicle.vessel), default=math.inf)
    if throat >= narrowest:
        shown = told(narrowest, "length")
        message = f"the throat is not narrower than the vessel, {shown}"
        mend = (
            f"give the inner diameter of the nozzle, e.g. {such_as('21.5 mm', 'length')} for an "
            "open bottle neck"
        )
        yield Finding("vehicle-throat-too-wide", ("nozzle", "throat_diameter"), message, mend)


def tube_fits(vehicle: Vehicle) -> Iterator[Finding]:
    """See that the launch tube passes the throat and ends inside the vessels."""
    tube = vehicle.launch_tube
    if tube is None:
        return
    throat = vehicle.nozzle.throat_diameter.value
    if beyond(tube.outer_diameter.value, throat):
        shown = told(throat, "length")
        message = f"the tube is thicker than the throat that it passes, {shown}"
        mend = "the throat must let the tube through; measure both again"
        yield Finding("vehicle-tube-too-thick", ("launch_tube", "outer_diameter"), message, mend)
    room = sum(vessel.length.value for vessel in vehicle.vessel)
    if vehicle.vessel and beyond(tube.length.value, room, SLACK):
        shown = told(room, "length")
        message = f"the tube is longer than the vessel it stands in, {shown}"
        mend = "give the length that stands inside the vessel"
        yield Finding("vehicle-tube-too-long", ("launch_tube", "length"), message, mend)


def body_holds_its_ends(vehicle: Vehicle) -> Iterator[Finding]:
    """See that nose and tail together are no longer than the body."""
    length, nose = vehicle.body.length.value, vehicle.nose.length.value
    shown = told(length, "length")
    if beyond(nose, length):
        message = f"the nose is longer than the whole body, {shown}"
        mend = "give the overall length of the vehicle in [body]"
        yield Finding("vehicle-nose-too-long", ("nose", "length"), message, mend)
    elif vehicle.tail is not None and beyond(nose + vehicle.tail.length.value, length):
        message = f"nose and tail together are longer than the whole body, {shown}"
        mend = "measure the three lengths again"
        yield Finding("vehicle-tail-too-long", ("tail", "length"), message, mend)


def vessels_lie_inside(vehicle: Vehicle) -> Iterator[Finding]:
    """See that every vessel lies within the body, along it and across it."""
    for path, vessel in listed("vessel", vehicle.vessel):
        yield from _lies_along("vehicle-vessel-outside", vehicle, vessel, path)
        outer = vessel.diameter.value + 2.0 * vessel.wall.value
        width = vehicle.body.diameter.value
        if beyond(outer, width, SLACK):
            shown = told(width, "length")
            message = f"with its wall the vessel is wider than the body, {shown}"
            mend = "give the largest outer diameter in [body]"
            yield Finding("vehicle-vessel-outside", (*path, "diameter"), message, mend)


def parts_lie_inside(vehicle: Vehicle) -> Iterator[Finding]:
    """See that every part lies within the length of the body."""
    for path, part in listed("part", vehicle.part):
        yield from _lies_along("vehicle-part-outside", vehicle, part, path)


def _lies_along(
    code: str, vehicle: Vehicle, piece: Part | Vessel, path: tuple[str, int]
) -> Iterator[Finding]:
    end, tail = piece.from_nose.value + piece.length.value, vehicle.body.length.value
    if not beyond(end, tail, SLACK):
        return
    where, whole = told(end, "length"), told(tail, "length")
    message = f"the {path[0]} ends at {where}, behind the tail end of the body, {whole}"
    mend = "from_nose is the front end of it, aft of the nose tip; measure again"
    yield Finding(code, (*path, "from_nose"), message, mend)


def vessels_hold_their_volume(vehicle: Vehicle) -> Iterator[Finding]:
    """See that a vessel's volume agrees with the cylinder of its diameter and length."""
    for path, vessel in listed("vessel", vehicle.vessel):
        cylinder = math.pi / 4.0 * vessel.diameter.value**2 * vessel.length.value
        shown = told(cylinder, "volume")
        volume = vessel.volume.value
        if beyond(volume, cylinder, SLACK):
            message = f"this is more than a cylinder of that diameter and length holds, {shown}"
            mend = "measure volume, diameter and length again"
            yield Finding("vehicle-vessel-too-small", (*path, "volume"), message, mend)
        elif volume < 0.3 * cylinder:
            message = f"this is under a third of a cylinder of that diameter and length, {shown}"
            mend = "see whether the volume is in the right unit"
            place = (*path, "volume")
            yield Finding("vehicle-vessel-too-large", place, message, mend, "warning")


def walls_are_thin(vehicle: Vehicle) -> Iterator[Finding]:
    """See that a vessel's wall is thin beside its diameter; the hoop stress is reckoned so."""
    for path, vessel in listed("vessel", vehicle.vessel):
        if vessel.wall.value > 0.1 * vessel.diameter.value:
            message = "the wall is thicker than a tenth of the diameter"
            mend = (
                "bottles have walls of a few tenths of a millimetre, e.g. "
                f'wall = "{such_as("0.30 mm", "length")}"'
            )
            yield Finding("vehicle-wall-too-thick", (*path, "wall"), message, mend)


def fins_stand_on_the_body(vehicle: Vehicle) -> Iterator[Finding]:
    """See that the root of every fin stands on the body, behind its nose."""
    for path, fins in listed("fins", vehicle.fins):
        end, tail = fins.from_nose.value + fins.root_chord.value, vehicle.body.length.value
        place = (*path, "from_nose")
        if beyond(end, tail, SLACK):
            where, whole = told(end, "length"), told(tail, "length")
            message = f"the root ends at {where}, behind the tail end of the body, {whole}"
            mend = "from_nose is the leading edge of the root; measure again"
            yield Finding("vehicle-fins-outside", place, message, mend)
        elif fins.from_nose.value < vehicle.nose.length.value / SLACK:
            message = "these fins begin on the nose"
            mend = "from_nose is the leading edge of the root, aft of the nose tip"
            yield Finding("vehicle-fins-on-nose", place, message, mend, "warning")


def fins_taper(vehicle: Vehicle) -> Iterator[Finding]:
    """See that a tip is rarely longer than its root, a fin never thicker than it is long."""
    for path, fins in listed("fins", vehicle.fins):
        if beyond(fins.tip_chord.value, fins.root_chord.value):
            message = "the tip chord is longer than the root chord"
            mend = "see whether the two are swapped"
            yield Finding("vehicle-fins-swapped", (*path, "tip_chord"), message, mend, "warning")
        if fins.thickness.value > 0.5 * fins.root_chord.value:
            message = "the fin is thicker than half its root chord"
            mend = (
                f'give the thickness of the sheet, e.g. thickness = "{such_as("2 mm", "length")}"'
            )
            yield Finding("vehicle-fins-too-thick", (*path, "thickness"), message, mend)


def balance_lies_inside(vehicle: Vehicle) -> Iterator[Finding]:
    """See that the balance point lies within the body."""
    balance = None if vehicle.mass is None else vehicle.mass.balance_from_nose
    if balance is not None and beyond(balance.value, vehicle.body.length.value):
        whole = told(vehicle.body.length.value, "length")
        message = f"the balance point lies behind the tail end of the body, {whole}"
        mend = "measure it from the nose tip, aft"
        path = ("mass", "balance_from_nose")
        yield Finding("vehicle-balance-outside", path, message, mend)


def ballast_lies_inside(vehicle: Vehicle) -> Iterator[Finding]:
    """See that ballast sits within the body."""
    ballast = vehicle.ballast
    if ballast is not None and beyond(ballast.from_nose.value, vehicle.body.length.value):
        whole = told(vehicle.body.length.value, "length")
        message = f"the ballast sits behind the tail end of the body, {whole}"
        mend = "measure it from the nose tip, aft"
        path = ("ballast", "from_nose")
        yield Finding("vehicle-ballast-outside", path, message, mend)


def mass_is_known(vehicle: Vehicle) -> Iterator[Finding]:
    """See that mass and balance come from [mass] or from the parts."""
    mass, parts = vehicle.mass, vehicle.part
    if parts:
        return
    if mass is None or mass.dry is None:
        message = "neither [mass] dry nor any [[part]] says what the vehicle weighs"
        mend = 'weigh it without water and payload: under [mass], dry = "186 g ± 1 g"'
        yield Finding("vehicle-no-mass", ("mass",), message, mend, key=True)
    elif mass.balance_from_nose is None:
        message = "neither [mass] balance_from_nose nor any [[part]] says where it balances"
        mend = (
            "balance it dry on an edge: under [mass], "
            f'balance_from_nose = "{such_as("0.38 m ± 5 mm", "length")}"'
        )
        yield Finding("vehicle-no-balance", ("mass",), message, mend, key=True)


def mass_agrees_with_parts(vehicle: Vehicle) -> Iterator[Finding]:
    """See that where mass or balance stand twice, measured and as parts, they agree."""
    mass, parts = vehicle.mass, vehicle.part
    total = sum(part.mass.value for part in parts)
    if mass is None or not total:
        return
    if mass.dry is not None:
        share = abs(mass.dry.value - total) / mass.dry.value
        summed = told(total, "mass")
        yield from _disagreement("vehicle-mass-disagrees", "dry", summed, "weigh", share)
    if mass.balance_from_nose is not None:
        moment = sum(p.mass.value * (p.from_nose.value + 0.5 * p.length.value) for p in parts)
        gap = abs(mass.balance_from_nose.value - moment / total)
        where = told(moment / total, "length")
        share = gap / vehicle.body.length.value
        yield from _disagreement(
            "vehicle-balance-disagrees", "balance_from_nose", where, "balance at", share
        )


def _disagreement(
    code: str, word: str, parts_say: str, verb: str, share: float
) -> Iterator[Finding]:
    if share <= WARN_SHARE:
        return
    of = " of the body length" if word == "balance_from_nose" else ""
    message = f"the parts {verb} {parts_say}, off by {100.0 * share:.0f} %{of}"
    mend = "measure again, or correct the parts; what is measured counts"
    severity: Severity = "error" if share > REFUSE_SHARE else "warning"
    yield Finding(code, ("mass", word), message, mend, severity)


def exponent_is_given(vehicle: Vehicle) -> Iterator[Finding]:
    """See that ``exponent`` stands if, and only if, the gas is polytropic."""
    fill = vehicle.fill
    if fill.gas == "polytropic" and fill.exponent is None:
        message = 'gas = "polytropic" needs an exponent'
        mend = 'add exponent = "1.25 ± 0.05"'
        yield Finding("vehicle-no-exponent", ("fill", "gas"), message, mend)
    elif fill.gas != "polytropic" and fill.exponent is not None:
        message = f'the exponent is not used with gas = "{fill.gas}"'
        mend = 'write gas = "polytropic", or take the exponent out'
        yield Finding("doc-not-used", ("fill", "exponent"), message, mend, "warning")


def canopy_has_its_trigger(vehicle: Vehicle) -> Iterator[Finding]:
    """See that what opens the canopy has the field that it needs."""
    if vehicle.canopy is not None:
        canopy = vehicle.canopy
        yield from trigger("canopy", "opens", canopy.opens, canopy.climb, canopy.time)


def nozzle_is_behind(vehicle: Vehicle) -> Iterator[Finding]:
    """See that the nozzle's exit lies behind the front of the last vessel."""
    exit_plane = vehicle.nozzle.from_nose
    fronts = [vessel.from_nose.value for vessel in vehicle.vessel]
    if exit_plane is not None and fronts and exit_plane.value <= max(fronts):
        message = "the nozzle's exit lies ahead of the last vessel"
        mend = "measure it from the nose tip, aft, or leave it out"
        yield Finding("vehicle-nozzle-ahead", ("nozzle", "from_nose"), message, mend)


def part_names_differ(vehicle: Vehicle) -> Iterator[Finding]:
    """See that two parts of one name are probably one part written twice."""
    names: set[str] = set()
    for path, part in listed("part", vehicle.part):
        if part.name in names:
            message = "another part has this name already"
            mend = "see whether the part stands twice; else give each its own name"
            yield Finding("vehicle-same-name", (*path, "name"), message, mend, "warning")
        names.add(part.name)


RULES = (
    has_a_vessel,
    water_fits,
    pressure_is_proven,
    throat_fits,
    tube_fits,
    body_holds_its_ends,
    vessels_lie_inside,
    parts_lie_inside,
    vessels_hold_their_volume,
    walls_are_thin,
    fins_stand_on_the_body,
    fins_taper,
    balance_lies_inside,
    ballast_lies_inside,
    mass_is_known,
    mass_agrees_with_parts,
    exponent_is_given,
    canopy_has_its_trigger,
    nozzle_is_behind,
    part_names_differ,
)
