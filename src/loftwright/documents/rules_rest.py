"""What must hold between the fields of a payload, and across documents."""

from __future__ import annotations

from collections.abc import Iterator

from loftwright.documents.finding import Finding, beyond, trigger
from loftwright.documents.payload import Payload
from loftwright.documents.vehicle import Vehicle
from loftwright.units import format_quantity

__all__ = ["PAYLOAD_ON_VEHICLE_RULES", "PAYLOAD_RULES"]


def glider_has_its_polar(payload: Payload) -> Iterator[Finding]:
    """See that a glider has [glide]; a pod has none."""
    if payload.kind == "glider" and payload.glide is None:
        mend = 'add [glide] with wing_area = "400 cm^2", glide_ratio = "4.5 ± 0.5"'
        yield Finding("payload-no-glide", ("kind",), "a glider needs the table [glide]", mend)
    elif payload.kind == "pod" and payload.glide is not None:
        mend = 'write kind = "glider", or take [glide] out'
        yield Finding("doc-not-used", ("glide",), "a pod does not glide", mend, "warning", key=True)


def pod_has_its_descent(payload: Payload) -> Iterator[Finding]:
    """See that a pod has [descent] with one of its two fields; a glider has none."""
    descent = payload.descent
    if payload.kind == "glider":
        if descent is not None:
            message, mend = "a glider flies on its polar", 'write kind = "pod", or take it out'
            yield Finding("doc-not-used", ("descent",), message, mend, "warning", key=True)
    elif descent is None:
        mend = 'add [descent] with rate = "4 m/s", or with drag_area = "0.05 m^2"'
        yield Finding("payload-no-descent", ("kind",), "a pod needs the table [descent]", mend)
    elif (descent.drag_area is None) == (descent.rate is None):
        both = descent.rate is not None
        message = "drag_area and rate both stand here" if both else "[descent] is empty"
        mend = "keep the one that was measured" if both else 'add rate = "4 m/s", or drag_area'
        yield Finding("payload-one-descent", ("descent",), message, mend, key=True)


def release_has_its_trigger(payload: Payload) -> Iterator[Finding]:
    """See that what releases the payload has the field that it needs."""
    release = payload.release
    yield from trigger("release", "when", release.when, release.climb, release.time)


def payload_lies_along_vehicle(payload: Payload, vehicle: Vehicle) -> Iterator[Finding]:
    """See that the payload's balance point lies beside the vehicle."""
    if beyond(payload.carried.from_nose.value, vehicle.body.length.value):
        whole = format_quantity(vehicle.body.length.value, "length")
        message = f"the payload sits behind the tail end of the vehicle, {whole}"
        mend = "measure from the vehicle's nose tip, aft"
        yield Finding("payload-outside", ("carried", "from_nose"), message, mend)


PAYLOAD_RULES = (glider_has_its_polar, pod_has_its_descent, release_has_its_trigger)
PAYLOAD_ON_VEHICLE_RULES = (payload_lies_along_vehicle,)
