"""Codes of payloads that contradict themselves."""

from __future__ import annotations

from loftwright.errors.catalogue.entry import Entry

__all__ = ["ENTRIES"]

ENTRIES = (
    Entry(
        "payload-no-glide",
        "The glider has no polar",
        'A payload of kind = "glider" needs the table [glide].',
        "Its flight after release is reckoned from it.",
        "Add wing area and glide ratio; throw it by hand to measure the ratio.",
        '[glide]\nwing_area = "400 cm^2"\nglide_ratio = "4.5 ± 0.5"',
    ),
    Entry(
        "payload-no-descent",
        "The pod has no descent",
        'A payload of kind = "pod" needs the table [descent].',
        "Its fall after release is reckoned from it.",
        "Add the descent rate that you measured, or the drag area.",
        '[descent]\nrate = "4 m/s ± 0.3 m/s"',
    ),
    Entry(
        "payload-one-descent",
        "One description of the descent",
        "[descent] takes rate, or drag_area, or a size with its drag_coefficient; one of these.",
        "They say the same thing; they would contradict each other.",
        "Keep the one that was measured.",
        '[descent]\nrate = "4 m/s"',
    ),
    Entry(
        "payload-descent-parts",
        "The descent is built up from the wrong parts",
        "Without a measured rate, [descent] needs a drag_coefficient and the size that belongs to "
        "how: area of a plain body, diameter of a canopy or rotor, surface of a tumbling body.",
        "The coefficient counts on that size only.",
        "Give both, or drop it from a height, measure the rate, and give that.",
        '[descent]\nhow = "canopy"\ndiameter = "400 mm"\ndrag_coefficient = "0.75 ± 0.05"',
    ),
    Entry(
        "payload-outside",
        "The payload sits behind the vehicle",
        "The payload's balance point lies behind the tail end of the vehicle.",
        "Where it sits moves the balance of the whole.",
        "Measure from the vehicle's nose tip, aft.",
        '[carried]\nfrom_nose = "0.35 m"',
    ),
)
