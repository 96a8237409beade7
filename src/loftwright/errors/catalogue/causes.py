"""Codes of the search for the cause of a flight that went wrong."""

from __future__ import annotations

from loftwright.errors.catalogue.entry import Entry

__all__ = ["ENTRIES"]

ENTRIES = (
    Entry(
        "causes-no-recorder",
        "No controller is called so",
        "A log is said to be that of a controller which the avionics do not have.",
        "What a cause leaves in a log is worked out through the controller that wrote it: its "
        "sensors, its program and what it hangs on.",
        "Name the controller as avionics.toml does, in the flight record's source.",
        'source = "board"',
    ),
    Entry(
        "causes-no-evidence",
        "There is nothing to judge causes by",
        "The flight has no log of a controller with a barometer, nobody saw or heard anything, and "
        "no landing place was paced.",
        "Without evidence every cause would keep the chance that it had before the flight.",
        "Take in a log, or write down in flight.toml what was seen, heard and paced.",
        '[[saw]]\nwhat = "canopy open"\nhappened = "no"\nsure = "95 %"',
    ),
    Entry(
        "causes-no-flight",
        "No flight agrees with what was said",
        "Of all flights that were flown with every cause, none agrees with what people said of it.",
        "Causes are weighed by the flights that agree; without any there is nothing to weigh.",
        "See whether two statements exclude each other, and say with sure how far each can be "
        "trusted: nobody is right in all cases.",
        '[[saw]]\nwhat = "release"\nof = "payload"\nsure = "80 %"',
    ),
)
