"""Codes of gliders whose parts contradict each other."""

from __future__ import annotations

from loftwright.errors.catalogue.entry import Entry

__all__ = ["ENTRIES"]

ENTRIES = (
    Entry(
        "payload-no-balance",
        "The glider's balance point is missing",
        "A glider with [wing] needs the table [balance].",
        "Where it balances decides whether it glides, stalls or dives; nothing else matters more.",
        "Find the point where it hangs level, and measure from its nose.",
        '[balance]\nfrom_nose = "113 mm ± 1 mm"',
    ),
    Entry(
        "payload-glide-short",
        "The measured glide is incomplete",
        "Without [wing], [glide] needs both wing_area and glide_ratio.",
        "The glider then flies as a point, with nothing but these two to go by.",
        "Add what is missing, or describe the wing.",
        '[glide]\nwing_area = "400 cm^2"\nglide_ratio = "4.5 ± 0.5"',
    ),
    Entry(
        "payload-glide-twice",
        "Two measured glides",
        "[glide] takes glide_ratio or sink, not both, beside [wing].",
        "The drag is scaled until the glide is the measured one; two would contradict each other.",
        "Keep the one that was measured better.",
        '[glide]\nglide_ratio = "4.5 ± 0.5"',
    ),
    Entry(
        "payload-wing-shape",
        "The wing has no likely shape",
        "The span is very small or very large for the chords.",
        "The laws of the wing hold for spans of 0.3 to 20 mean chords.",
        "The span runs from tip to tip; the chord from leading to trailing edge.",
        '[wing]\nspan = "400 mm"\nroot_chord = "90 mm"\ntip_chord = "70 mm"',
    ),
    Entry(
        "payload-thick-wing",
        "The wing is thick",
        "The wing is thicker than an eighth of its chord or so.",
        "Drag and stall are those of thin plates; thick sections do worse at this size.",
        "Correct the thickness, or measure the glide ratio, which then counts.",
        '[wing]\nthickness = "3 mm"',
    ),
    Entry(
        "payload-tail-ahead",
        "The tailplane stands ahead of the wing",
        "The tailplane's leading edge lies ahead of the middle of the wing's root.",
        "The tail flies in the wing's wake; a tail in front would be the other way round, which is "
        "not modelled.",
        "Measure both from the glider's nose, aft. A glider without a tail has no [tailplane].",
        '[wing]\nfrom_nose = "85 mm"\n\n[tailplane]\nfrom_nose = "285 mm"',
    ),
    Entry(
        "payload-balance-off-glider",
        "The balance point lies outside the glider",
        "The balance point lies behind the last edge of all parts.",
        "It is measured from the glider's own nose, not from that of the vehicle.",
        "Measure from the glider's nose, aft.",
        '[balance]\nfrom_nose = "113 mm"',
    ),
    Entry(
        "payload-past-fuselage",
        "A surface begins behind the fuselage",
        "The leading edge of a surface lies behind the end of the fuselage.",
        "It would hang in the air.",
        "Measure from the glider's nose, aft, or correct the length of the fuselage.",
        '[fuselage]\nlength = "340 mm"\n\n[fin]\nfrom_nose = "285 mm"',
    ),
    Entry(
        "payload-inertia",
        "An impossible moment of inertia",
        "One of the three measured moments of inertia exceeds the sum of the other two.",
        "No body can have that; swings and rolls would come out wrong.",
        "Check the units, and about which axis each was swung. Leave them out to have them "
        "built up from the parts.",
        '[balance]\nfrom_nose = "113 mm"\ninertia_roll = "900 g cm^2"',
    ),
    Entry(
        "check-glider-no-trim",
        "The glider never trims",
        "At no incidence from -8 to 20 degrees do the air's moments on the glider vanish in a way "
        "that turns it back there.",
        "Such a glider dives, stalls again and again, or tumbles, whatever it is let go from.",
        "Move the balance point as the message says, or change the angle between wing and "
        "tailplane; then throw it by hand over soft ground.",
        '[wing]\nincidence = "2 deg"\n\n[tailplane]\nincidence = "0 deg"',
    ),
)
