"""Codes of payloads that do not fit where they are carried, or are not held."""

from __future__ import annotations

from loftwright.errors.catalogue.entry import Entry

__all__ = ["ENTRIES"]

_PLACE = """[carried]
from_nose = "0.35 m"    # balance point
offset = "65 mm"        # from the axis
around = "45 deg"
length = "300 mm"
width = "60 mm"
thickness = "20 mm\""""

ENTRIES = (
    Entry(
        "payload-sticks-out",
        "The payload stands out over an end of the vehicle",
        "A payload reaches ahead of the nose tip or behind the tail end of what carries it.",
        "Such a thing can be, but more often a length was measured from another end. The air's "
        "forces on what stands out are those of a payload beside the body.",
        "Measure again. If its balance point does not lie in its middle, give front_from_nose.",
        '[carried]\nfrom_nose = "0.35 m"\nfront_from_nose = "0.20 m"\nlength = "300 mm"',
    ),
    Entry(
        "payload-balance-outside",
        "The balance point lies off the payload",
        "front_from_nose and length say where the payload begins and ends; its balance point lies "
        "outside of that.",
        "One of the three was measured from another place.",
        "Measure all three again; from_nose and front_from_nose begin at the vehicle's nose tip.",
        '[carried]\nfrom_nose = "0.35 m"\nfront_from_nose = "0.20 m"\nlength = "300 mm"',
    ),
    Entry(
        "payload-inside-body",
        "The payload sits inside the body",
        "The offset is smaller than the body's radius beside the payload, and how says that it is "
        "carried on the outside.",
        "The offset sets how far it pulls the balance, and its drag the nose, to one side.",
        'Measure from the axis, not from the skin. If it is carried within, write how = "inside".',
        _PLACE,
    ),
    Entry(
        "payload-not-inside",
        "The payload does not fit inside the body",
        'With how = "inside" the balance point lies within the body; here it lies outside.',
        "What is inside has no drag of its own.",
        "Correct the offset, or say how it is carried.",
        '[carried]\nhow = "folded"\noffset = "65 mm"',
    ),
    Entry(
        "payload-on-axis",
        "The payload sits on the axis",
        "The offset is nothing, though the payload is carried on the side.",
        "A payload beside the axis pulls the balance sideways and the nose with its drag; on the "
        "axis it does neither.",
        "Measure the offset from the vehicle's axis to the payload's balance point.",
        _PLACE,
    ),
    Entry(
        "payload-wrap-too-wide",
        "The wrap goes around more than once",
        "A payload that is wrapped around the body is wider than the way around it.",
        "Its width is measured along the arc; a second layer counts as thickness.",
        "Give the width of one turn, and the thickness of all layers.",
        '[carried]\nhow = "wrapped"\nwidth = "320 mm"\nthickness = "3 mm"',
    ),
    Entry(
        "payload-on-fins",
        "The payload lies where a fin stands",
        "Along the body and around it, the payload and a fin take up the same place. Where the "
        "fins do not say around, the payload is too wide for the space between any two of them.",
        "It cannot be built like this; something was measured wrong.",
        "Move the payload forward or around, or correct the fins.",
        '[carried]\naround = "45 deg"    # fins stand at 0, 90, 180 and 270 degrees',
    ),
    Entry(
        "payload-on-payload",
        "Two payloads lie in the same place",
        "Along the body, around it and off it, two payloads take up the same room.",
        "It cannot be built like this; something was measured wrong.",
        "Move one of them along or around the body, or further off it.",
        '# in payload2.toml\n[carried]\naround = "180 deg"',
    ),
    Entry(
        "payload-on-booster",
        "The payload lies where a booster stands",
        "Along the body and around it, the payload and a booster take up the same place.",
        "It cannot be built like this; something was measured wrong.",
        "Move the payload around the body, or the boosters.",
        '[carried]\naround = "90 deg"    # boosters at 0 and 180 degrees',
    ),
    Entry(
        "payload-out-of-turn",
        "A payload is missing before this one",
        "campaign.toml names payload2 without payload, or payload3 without payload2.",
        "Figures go by these names; a gap is usually a line that was lost.",
        "Name the first one payload, the second payload2, the third payload3.",
        'payload = "glider.toml"\npayload2 = "camera.toml"',
    ),
    Entry(
        "payload-no-upper",
        "There is no upper stage to ride on",
        'on = "upper" says that the upper stage carries the payload, and the campaign has none.',
        "Its place is measured from the nose tip of what carries it.",
        'Name the upper stage in campaign.toml, or write on = "vehicle".',
        '# in campaign.toml\nupper = "upper.toml"',
    ),
    Entry(
        "payload-two-drags",
        "The drag stands twice",
        "[carried] has drag_coefficient and drag_area; the first is on width times thickness.",
        "The two say the same thing; they would contradict each other.",
        "Keep the one that was measured.",
        '[carried]\ndrag_area = "9 cm^2 ± 1 cm^2"',
    ),
    Entry(
        "payload-retainer-empty",
        "The retainer holds nothing",
        "A [[retainer]] has neither a strength in a direction that its kind bears, nor a preload.",
        "What nobody has measured cannot be judged.",
        "Pull on it with a luggage scale until it gives, several times.",
        '[[retainer]]\nkind = "hook"\nalong = "18 N ± 2 N"\npeel = "9 N ± 1 N"',
    ),
    Entry(
        "payload-not-held",
        "Nothing holds the payload in one direction",
        "No [[retainer]] bears a load in that direction, by its form or by the friction of its "
        "preload.",
        "The smallest load in that direction would take the payload off.",
        "Add what does hold it there: a hook or pin along the axis, a pin around the body, a hook, "
        "strap or band off the body.",
        '[[retainer]]\nkind = "band"\npeel = "12 N ± 2 N"\npreload = "4 N"',
    ),
)
