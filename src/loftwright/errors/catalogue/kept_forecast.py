"""Codes of forecasts that are kept to be scored."""

from __future__ import annotations

from loftwright.errors.catalogue.entry import Entry

__all__ = ["ENTRIES"]

ENTRIES = (
    Entry(
        "forecast-kept-already",
        "A forecast is kept for this flight already",
        "The folder of the flight holds a forecast.json.",
        "A forecast that is made again once the flight is known is no forecast; the first one "
        "would be lost.",
        "Keep it. If it was made for another fill or another build and nothing has flown yet, say "
        "that it may be replaced.",
        "flights/first-lift/forecast.json   # from this morning",
    ),
    Entry(
        "forecast-damaged",
        "No kept forecast, or a damaged one",
        "The file is cut off, is not JSON, or lacks what a kept forecast holds.",
        "Half of an ensemble would be scored as if it were the whole.",
        "Take the file back from a copy or from version control. Without one, that flight has no "
        "forecast to score.",
        "forecast.json   0 bytes",
    ),
    Entry(
        "forecast-changed",
        "A kept forecast that was changed",
        "The forecast's digest of itself does not fit what it says.",
        "A forecast counts because it was said before the flight. Changed afterwards, its score "
        "means nothing.",
        "Take the file back from a copy or from version control.",
        '"apogee_m": [62.1, ...]   # edited by hand',
    ),
    Entry(
        "forecast-version",
        "A kept forecast of another version",
        "The file says that it is of a kind or version that this Loftwright does not read.",
        "Read as another version, its numbers would stand for something else.",
        "Score it with the version that wrote it.",
        '"schema": "loftwright/kept-forecast/9"',
    ),
)
