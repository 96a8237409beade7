"""What must hold between the fields of a glider."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from loftwright.documents.finding import Finding, beyond, such_as, told
from loftwright.documents.payload import Payload

__all__ = ["GLIDER_RULES"]

PARTS = ("tailplane", "fin", "fuselage", "balance")
SLENDEREST, BROADEST = 20.0, 0.3  # span over mean chord that the wing's laws hold for
THICKEST = 0.12  # of the mean chord, of a thin plate


def _shown(length: float) -> str:
    return told(length, "length")


def _winged(payload: Payload) -> bool:
    return payload.kind == "glider" and payload.wing is not None


def parts_have_their_wing(payload: Payload) -> Iterator[Finding]:
    """See that tables of a winged glider stand beside [wing], on a glider."""
    if _winged(payload):
        return
    message = "a pod has no wing" if payload.kind == "pod" else "it is not used without [wing]"
    mend = 'write kind = "glider"' if payload.kind == "pod" else "add [wing]"
    for part in ("wing", *PARTS):
        if getattr(payload, part) is not None:
            mended = f"{mend}, or take [{part}] out"
            yield Finding("doc-not-used", (part,), message, mended, "warning", key=True)


def winged_glider_has_its_balance(payload: Payload) -> Iterator[Finding]:
    """See that a glider with a wing says where it balances."""
    if _winged(payload) and payload.balance is None:
        message = "a glider with [wing] needs the table [balance]"
        place = such_as("113 mm ± 1 mm", "length")
        mend = f'add [balance] with from_nose = "{place}", where it hangs level'
        yield Finding("payload-no-balance", ("wing",), message, mend, key=True)


def glide_is_whole(payload: Payload) -> Iterator[Finding]:
    """See that [glide] says what is needed, and each thing once."""
    glide = payload.glide
    if payload.kind != "glider" or glide is None:
        return
    if payload.wing is None:
        area = such_as("400 cm^2", "area")
        for field, example in (("wing_area", area), ("glide_ratio", "4.5 ± 0.5")):
            if getattr(glide, field) is None:
                message = f"[glide] needs {field} when there is no [wing]"
                mend = f'add {field} = "{example}", or describe the [wing]'
                yield Finding("payload-glide-short", ("glide",), message, mend, key=True)
        if glide.sink is not None:
            message, mend = "sink is used with [wing] only", "give glide_ratio instead"
            yield Finding("doc-not-used", ("glide", "sink"), message, mend, "warning")
        return
    if glide.wing_area is not None:
        message = "the area follows from [wing]"
        yield Finding("doc-not-used", ("glide", "wing_area"), message, "take it out", "warning")
    if glide.glide_ratio is not None and glide.sink is not None:
        message = "glide_ratio and sink both stand here"
        mend = "keep the one that was measured better"
        yield Finding("payload-glide-twice", ("glide", "sink"), message, mend)


def wing_has_a_shape(payload: Payload) -> Iterator[Finding]:
    """See that the wing is one that the laws hold for."""
    wing = payload.wing
    if payload.kind != "glider" or wing is None:
        return
    mean = 0.5 * (wing.root_chord.value + wing.tip_chord.value)
    ratio = wing.span.value / mean
    if not BROADEST <= ratio <= SLENDEREST:
        message = f"the span is {ratio:.2g} times the mean chord"
        mend = f"correct span or chords; known are wings of {BROADEST:g} to {SLENDEREST:g}"
        yield Finding("payload-wing-shape", ("wing", "span"), message, mend)
    if wing.thickness.value > THICKEST * mean:
        message = f"the wing is {100 * wing.thickness.value / mean:.0f} % thick; this is a model "
        message += "of thin plates"
        mend = "the forecast of its drag and stall is a guess; measure the glide ratio"
        yield Finding("payload-thick-wing", ("wing", "thickness"), message, mend, "warning")


def tail_stands_behind(payload: Payload) -> Iterator[Finding]:
    """See that the tailplane is a tailplane: behind the wing."""
    wing, tail = payload.wing, payload.tailplane
    if not _winged(payload) or wing is None or tail is None:
        return
    middle = wing.from_nose.value + 0.5 * wing.root_chord.value
    if tail.from_nose.value < middle:
        message = f"the tailplane stands ahead of the middle of the wing's root, {_shown(middle)}"
        mend = (
            "measure from the glider's nose, aft; gliders with the tail in front are not modelled"
        )
        yield Finding("payload-tail-ahead", ("tailplane", "from_nose"), message, mend)


def _rearmost(payload: Payload) -> float:
    ends = [0.0]
    if payload.fuselage is not None:
        ends.append(payload.fuselage.length.value)
    surfaces: tuple[Any, ...] = (payload.wing, payload.tailplane, payload.fin)
    for each in surfaces:
        if each is not None:
            end = max(each.root_chord.value, each.sweep.value + each.tip_chord.value)
            ends.append(each.from_nose.value + end)
    return max(ends)


def balance_lies_within(payload: Payload) -> Iterator[Finding]:
    """See that the balance point lies within the glider."""
    if not _winged(payload) or payload.balance is None:
        return
    last = _rearmost(payload)
    if beyond(payload.balance.from_nose.value, last):
        message = f"the balance point lies behind the glider's last edge, {_shown(last)}"
        mend = "measure from the glider's own nose, aft"
        yield Finding("payload-balance-off-glider", ("balance", "from_nose"), message, mend)


def surfaces_sit_on_fuselage(payload: Payload) -> Iterator[Finding]:
    """See that each surface begins on the fuselage."""
    if not _winged(payload) or payload.fuselage is None:
        return
    end = payload.fuselage.length.value
    for name in ("wing", "tailplane", "fin"):
        surface = getattr(payload, name)
        if surface is not None and beyond(surface.from_nose.value, end):
            message = f"the {name} begins behind the end of the fuselage, {_shown(end)}"
            mend = "measure from the glider's nose, aft, or correct the fuselage's length"
            yield Finding("payload-past-fuselage", (name, "from_nose"), message, mend)


def inertia_is_possible(payload: Payload) -> Iterator[Finding]:
    """See that no measured inertia exceeds the sum of the other two."""
    if not _winged(payload) or payload.balance is None:
        return
    names = ("inertia_roll", "inertia_pitch", "inertia_yaw")
    given = [getattr(payload.balance, name) for name in names]
    if any(each is None for each in given):
        return
    sizes = [each.value for each in given]
    for name, size in zip(names, sizes, strict=True):
        if beyond(size, sum(sizes) - size):
            message = f"{name} is more than the other two together, which no body has"
            mend = "check units and which axis each was swung about"
            yield Finding("payload-inertia", ("balance", name), message, mend)


GLIDER_RULES = (
    parts_have_their_wing,
    winged_glider_has_its_balance,
    glide_is_whole,
    wing_has_a_shape,
    tail_stands_behind,
    balance_lies_within,
    surfaces_sit_on_fuselage,
    inertia_is_possible,
)
