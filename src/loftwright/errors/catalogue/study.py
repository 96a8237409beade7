"""Codes of studies: explorations, searches for the best, sensitivities."""

from __future__ import annotations

from loftwright.errors.catalogue.entry import Entry

__all__ = ["ENTRIES"]

ENTRIES = (
    Entry(
        "study-unknown-path",
        "There is no such quantity to vary",
        "The path before = names no number of this campaign's documents: it is misspelt, it is of "
        "a table that the document does not have, or a word stands there.",
        "What is not in the documents cannot be varied, and would be believed to have been.",
        "Take the path from the reference of the documents, with the document in front and list "
        "entries counted from 0. A table that is missing must be written first, or given by --set.",
        "fill.water='0.4 L..1.4 L'                        # wrong\n"
        "vehicle.fill.water_volume='0.4 L..1.4 L'         # right",
    ),
    Entry(
        "study-range",
        "The range cannot be used",
        "What stands behind = is not FROM..TO with the lesser value first, has an uncertainty, "
        "leaves what the field may hold, or the same quantity is varied twice.",
        "Only values that the documents would take can be flown.",
        "Give two values with their units, two points between them, the lesser first.",
        "vehicle.fill.water_volume='1.4 L..0.4 L'     # wrong: falls\n"
        "vehicle.fill.water_volume='0.4 L..1.4 L'     # right\n"
        "vehicle.fins.0.count=3..6                    # whole numbers have no unit",
    ),
    Entry(
        "study-unknown-figure",
        "There is no such figure",
        "The name is not that of a figure that this campaign's flights or its check have.",
        "Without a figure there is nothing to show, to aim at or to hold.",
        "Use the name of a figure as the answers of loftwright forecast --json have it, with or "
        "without the unit at its end.",
        "--show height_max          # wrong\n--show apogee              # right",
    ),
    Entry(
        "study-phrase",
        "The aim or the limit cannot be read",
        "An aim is a figure, perhaps with most or least before it, or near a value behind it. A "
        "limit is a figure, < or >, and a value with its unit. p05, median and p95 may stand "
        "before the figure when there are many flights, but not before a chance, which is of all "
        "of them; and a place to one side or the other, such as east, can only be aimed near.",
        "A phrase that is guessed at could hold the wrong thing.",
        "Write it like the examples.",
        "--aim 'least p95 reach' --limit 'max_acceleration < 60 g'\n"
        "--aim 'apogee near 60 m' --limit 'proof_margin > 1.3'\n"
        "--aim 'staying inside' --limit 'tree risk < 5 %' --flights 200",
    ),
    Entry(
        "study-never-happens",
        "The figure does not happen",
        "At none of the points, or in too few of the flights, does what the figure measures "
        "happen: no release, no canopy, no payload, no field drawn in the site. Or nothing of it "
        "is drawn: it is of the check, or of a glider left alone.",
        "What does not happen has no best value and no spread.",
        "Ask for a figure that this campaign has, or vary over a range in which it happens.",
        "--figure release_climb      # of a campaign without a payload",
    ),
    Entry(
        "study-refused",
        "The documents refuse every point",
        "Read with any of the values of the range, the campaign's documents would be in error: "
        "more water than the vessel holds, more pressure than it was proven to.",
        "What must not be built or filled is not flown either.",
        "Take a range that the documents allow; the message says what they object to.",
        "vehicle.fill.gauge_pressure='110 psi..140 psi'     # proven to 100 psi only",
    ),
    Entry(
        "study-infeasible",
        "No point keeps every limit",
        "Of all points that were looked at, each breaks at least one limit. The message says which "
        "limits the nearest point breaks, and by how much, the least broken first.",
        "A point that breaks a limit is no answer.",
        "Loosen the limits that are named, vary more quantities, or widen a range.",
        "--limit 'apogee > 90 m' --limit 'max_acceleration < 20 g'",
    ),
    Entry(
        "study-nothing-uncertain",
        "Nothing is uncertain",
        "No field that acts on a flight carries ±, and there is no wind to gust.",
        "Without a spread there is nothing to share out.",
        "Write what is known of each value, e.g. ± 0.02 L behind the water.",
        'water_volume = "0.95 L ± 0.02 L"',
    ),
)
