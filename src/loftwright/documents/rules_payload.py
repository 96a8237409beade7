"""What must hold between the fields of one payload."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from loftwright.documents.campaign import PAYLOADS, CampaignFile
from loftwright.documents.fields import rules
from loftwright.documents.finding import Finding, listed, such_as, trigger
from loftwright.documents.payload import BEARS, Carried, Descent, Payload
from loftwright.documents.rules_glider import GLIDER_RULES

__all__ = ["CAMPAIGN_RULES", "RULES"]

WAYS = {"along": "along the axis", "across": "around the body", "peel": "off the body"}


def glider_has_its_polar(payload: Payload) -> Iterator[Finding]:
    """See that a glider has [wing] or [glide]; a pod has no [glide]."""
    if payload.kind == "glider" and payload.glide is None and payload.wing is None:
        area = such_as("400 cm^2", "area")
        mend = f'add [glide] with wing_area = "{area}", glide_ratio = "4.5 ± 0.5", or [wing]'
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
        rate, area = such_as("4 m/s", "speed"), such_as("0.05 m^2", "area")
        mend = f'add [descent] with rate = "{rate}", or with drag_area = "{area}"'
        yield Finding("payload-no-descent", ("kind",), "a pod needs the table [descent]", mend)
    else:
        yield from _one_descent(descent)


# What a descent is built up from: the field, an example and its dimension.
SIZES = {
    "plain": ("area", "40 cm^2", "area"),
    "canopy": ("diameter", "400 mm", "length"),
    "autorotating": ("diameter", "400 mm", "length"),
    "tumbling": ("surface", "250 cm^2", "area"),
}


def _one_descent(descent: Descent) -> Iterator[Finding]:
    """See that the drag is given once: measured, or as a size that fits and a coefficient."""
    measured = [name for name in ("drag_area", "rate") if getattr(descent, name) is not None]
    parts = ("diameter", "area", "surface", "drag_coefficient")
    given = [name for name in parts if getattr(descent, name) is not None]
    size, *example = SIZES[descent.how]
    if len(measured) == 2 or (measured and given):
        message = f"{' and '.join([*measured, *given])} stand here; they say the same thing"
        mend = "keep the one that was measured"
        yield Finding("payload-one-descent", ("descent",), message, mend, key=True)
    elif not measured and not given:
        mend = f'add rate = "{such_as("4 m/s", "speed")}", or drag_area'
        yield Finding("payload-one-descent", ("descent",), "[descent] is empty", mend, key=True)
    elif given and set(given) != {size, "drag_coefficient"}:
        message = f'a descent with how = "{descent.how}" is built up from {size} and '
        message += f"drag_coefficient, not from {' and '.join(given)}"
        written = f'{size} = "{such_as(*example)}"'
        mend = f'write {written}, drag_coefficient = "0.75 ± 0.05", or the measured rate'
        yield Finding("payload-descent-parts", ("descent",), message, mend, key=True)


def release_has_its_trigger(payload: Payload) -> Iterator[Finding]:
    """See that what releases the payload has the field that it needs."""
    release = payload.release
    yield from trigger("release", "when", release.when, release.climb, release.time)


def drag_stands_once(payload: Payload) -> Iterator[Finding]:
    """See that the drag is measured in one form, and not corrected where it is measured."""
    carried = payload.carried
    measured = carried.drag_coefficient is not None or carried.drag_area is not None
    if carried.drag_coefficient is not None and carried.drag_area is not None:
        message, mend = "drag_coefficient stands here as well", "keep the one that was measured"
        yield Finding("payload-two-drags", ("carried", "drag_area"), message, mend)
    if measured and carried.drag_factor != rules(Carried)["drag_factor"].default:
        message = "drag_factor is not used with a measured drag"
        place, mend = ("carried", "drag_factor"), "take it, or the measured drag, out"
        yield Finding("doc-not-used", place, message, mend, "warning")


def place_suits_the_way_it_is_carried(payload: Payload) -> Iterator[Finding]:
    """See that ``offset`` and ``gap`` stand where they mean something."""
    carried = payload.carried
    how = carried.how
    unused = {"wrapped": ("offset",), "inside": ("gap",)}.get(how, ())
    for word in unused:
        if getattr(carried, word) != rules(Carried)[word].default:
            message = f'{word} is not used with how = "{how}"'
            mend = f"take {word} out, or carry it in another way"
            yield Finding("doc-not-used", ("carried", word), message, mend, "warning")


def front_lies_ahead_of_the_balance(payload: Payload) -> Iterator[Finding]:
    """See that the balance point lies between the payload's two ends."""
    carried = payload.carried
    if carried.front_from_nose is None:
        return
    ahead = carried.from_nose.value - carried.front_from_nose.value
    if not 0.0 <= ahead <= carried.length.value:
        message = "the balance point does not lie between this front end and its other end"
        mend = "measure both from the vehicle's nose tip, aft, and the length again"
        yield Finding("payload-balance-outside", ("carried", "front_from_nose"), message, mend)


def retainers_tell_something(payload: Payload) -> Iterator[Finding]:
    """See that each retainer has a strength in a direction that its kind bears, or a preload."""
    for path, retainer in listed("retainer", payload.retainer):
        bears = BEARS[retainer.kind]
        for way, words in WAYS.items():
            if getattr(retainer, way) is not None and way not in bears:
                message = f"a {retainer.kind} bears nothing {words}"
                mend = f"take {way} out, or name the kind that does bear it"
                yield Finding("doc-not-used", (*path, way), message, mend, "warning")
        grips = retainer.preload is not None
        if not grips and all(getattr(retainer, way) is None for way in bears):
            message = "neither a strength nor a preload says what this retainer bears"
            way, pull = next(iter(bears), "preload"), such_as("12 N ± 2 N", "force")
            mend = f'pull on it with a luggage scale: {way} = "{pull}"'
            yield Finding("payload-retainer-empty", path, message, mend, key=True)


def something_holds_every_way(payload: Payload) -> Iterator[Finding]:
    """See that the retainers together can bear a load in each direction."""
    if not payload.retainer or payload.hold is not None:
        return
    grips = any(
        each.preload is not None and each.preload.value * each.friction.value > 0.0
        for each in payload.retainer
    )
    snug = any(each.kind == "friction" for each in payload.retainer)
    for way, words in WAYS.items():
        held = any(way in BEARS[each.kind] for each in payload.retainer)
        if held or (snug if way == "peel" else grips):
            continue
        message = f"nothing holds the payload {words}"
        mend = "add a [[retainer]] that bears this: " + ", ".join(
            kind for kind, ways in BEARS.items() if way in ways
        )
        yield Finding("payload-not-held", ("retainer",), message, mend, key=True)


def one_account_of_the_hold(payload: Payload) -> Iterator[Finding]:
    """See that [hold], which measures the whole, does not stand beside its pieces."""
    if payload.hold is not None and payload.retainer:
        message = "[hold] was measured as a whole and counts; the retainers are not used"
        mend = "take [hold] or the retainers out"
        yield Finding("doc-not-used", ("retainer",), message, mend, "warning", key=True)


def payloads_come_in_turn(head: CampaignFile) -> Iterator[Finding]:
    """See that a second payload has a first before it."""
    for before, root in pairwise(PAYLOADS):
        if getattr(head, root) is not None and getattr(head, before) is None:
            message, mend = f"there is no {before} before it", f"call it {before}"
            yield Finding("payload-out-of-turn", (root,), message, mend, key=True)


CAMPAIGN_RULES = (payloads_come_in_turn,)
RULES = (
    *GLIDER_RULES,
    glider_has_its_polar,
    pod_has_its_descent,
    release_has_its_trigger,
    drag_stands_once,
    place_suits_the_way_it_is_carried,
    front_lies_ahead_of_the_balance,
    retainers_tell_something,
    something_holds_every_way,
    one_account_of_the_hold,
)
