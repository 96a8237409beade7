"""Codes of debriefs: from the record of a flight back to what happened."""

from __future__ import annotations

from loftwright.errors.catalogue.entry import Entry

__all__ = ["ENTRIES"]

ENTRIES = (
    Entry(
        "debrief-no-log",
        "A flight without the log that was asked for",
        "The flight keeps no log of this name, or no log at all.",
        "A reconstruction is made of a recorder's readings; what people saw alone gives no path.",
        "Take the log in with loftwright record, or name one that is there.",
        "loftwright debrief spring-lifts first-lift --log board.csv",
    ),
    Entry(
        "debrief-which-log",
        "A time by the clock of one of several logs",
        "The flight keeps several logs, and a time by a log's clock was given without its name.",
        "Each log has a clock of its own; a time by one is no time by another.",
        "Name the log as well.",
        "loftwright debrief spring-lifts first-lift --log board.csv --liftoff 12.3s",
    ),
    Entry(
        "debrief-no-instrument",
        "Nothing says what wrote a log",
        "The avionics have no controller of this name, or it reads no barometer.",
        "How noisy, late and blind a sensor is decides how far its readings are believed.",
        "Write into flight.toml which controller of avionics.toml wrote the log.",
        'source = "board"',
    ),
)
