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
        "One of the two descents",
        "[descent] takes either rate or drag_area, and exactly one of them.",
        "The two say the same thing; they would contradict each other.",
        "Keep the one that was measured.",
        '[descent]\nrate = "4 m/s"',
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
