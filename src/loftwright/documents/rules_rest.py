"""What must hold between the fields of a payload, of a site, and across documents."""

from __future__ import annotations

from collections.abc import Iterator

from loftwright.documents.finding import Finding, beyond, trigger
from loftwright.documents.payload import Descent, Payload
from loftwright.documents.rules_glider import GLIDER_RULES
from loftwright.documents.site import Site
from loftwright.documents.vehicle import Vehicle
from loftwright.units import format_quantity

__all__ = ["PAYLOAD_ON_VEHICLE_RULES", "PAYLOAD_RULES", "SITE_RULES"]


def glider_has_its_polar(payload: Payload) -> Iterator[Finding]:
    """See that a glider has [wing] or [glide]; a pod has no [glide]."""
    if payload.kind == "glider" and payload.glide is None and payload.wing is None:
        mend = 'add [glide] with wing_area = "400 cm^2", glide_ratio = "4.5 ± 0.5", or [wing]'
        message = "a glider needs the table [wing] or [glide]"
        yield Finding("payload-no-glide", ("kind",), message, mend)
    elif payload.kind == "pod" and payload.glide is not None:
        mend = 'write kind = "glider", or take [glide] out'
        yield Finding("doc-not-used", ("glide",), "a pod does not glide", mend, "warning", key=True)


def pod_has_its_descent(payload: Payload) -> Iterator[Finding]:
    """See that a pod has [descent] and one way to know its drag; a glider has none."""
    descent = payload.descent
    if payload.kind == "glider":
        if descent is not None:
            message, mend = "a glider flies on its polar", 'write kind = "pod", or take it out'
            yield Finding("doc-not-used", ("descent",), message, mend, "warning", key=True)
    elif descent is None:
        mend = 'add [descent] with rate = "4 m/s", or with drag_area = "0.05 m^2"'
        yield Finding("payload-no-descent", ("kind",), "a pod needs the table [descent]", mend)
    else:
        yield from _one_descent(descent)


# What a descent is built up from, and how such a field is written.
SIZES = {
    "plain": ("area", 'area = "40 cm^2"'),
    "canopy": ("diameter", 'diameter = "400 mm"'),
    "autorotating": ("diameter", 'diameter = "400 mm"'),
    "tumbling": ("surface", 'surface = "250 cm^2"'),
}


def _one_descent(descent: Descent) -> Iterator[Finding]:
    """See that the drag is given once: measured, or as a size that fits and a coefficient."""
    measured = [name for name in ("drag_area", "rate") if getattr(descent, name) is not None]
    parts = ("diameter", "area", "surface", "drag_coefficient")
    given = [name for name in parts if getattr(descent, name) is not None]
    size, written = SIZES[descent.how]
    if len(measured) == 2 or (measured and given):
        message = f"{' and '.join([*measured, *given])} stand here; they say the same thing"
        mend = "keep the one that was measured"
        yield Finding("payload-one-descent", ("descent",), message, mend, key=True)
    elif not measured and not given:
        mend = 'add rate = "4 m/s", or drag_area'
        yield Finding("payload-one-descent", ("descent",), "[descent] is empty", mend, key=True)
    elif given and set(given) != {size, "drag_coefficient"}:
        message = f'a descent with how = "{descent.how}" is built up from {size} and '
        message += f"drag_coefficient, not from {' and '.join(given)}"
        mend = f'write {written}, drag_coefficient = "0.75 ± 0.05", or the measured rate'
        yield Finding("payload-descent-parts", ("descent",), message, mend, key=True)


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


def gust_exceeds_mean(site: Site) -> Iterator[Finding]:
    """See that a gust is stronger than the mean wind."""
    gust, mean = site.wind.gust, site.wind.speed
    if gust is not None and gust.value < mean.value * (1.0 - 1e-9):
        message = "the gust is weaker than the mean wind"
        mend = "give the strongest wind seen, or leave gust out"
        yield Finding("site-weak-gust", ("wind", "gust"), message, mend)


def wind_is_measured_above_ground(site: Site) -> Iterator[Finding]:
    """See that the wind was measured above the roughness, where a profile exists."""
    if site.wind.at_height.value <= site.wind.roughness.value:
        message = "the wind was measured below the roughness length of the ground"
        mend = 'short grass has a roughness length of about "0.03 m"; correct either of the two'
        yield Finding("site-low-wind", ("wind", "at_height"), message, mend)


PAYLOAD_RULES = (
    glider_has_its_polar, pod_has_its_descent, release_has_its_trigger, *GLIDER_RULES
)  # fmt: skip
PAYLOAD_ON_VEHICLE_RULES = (payload_lies_along_vehicle,)
SITE_RULES = (gust_exceeds_mean, wind_is_measured_above_ground)
