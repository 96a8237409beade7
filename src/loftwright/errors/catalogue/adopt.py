"""Codes of writing what was tried into the documents."""

from __future__ import annotations

from loftwright.errors.catalogue.entry import Entry

__all__ = ["ENTRIES"]

ENTRIES = (
    Entry(
        "adopt-answer",
        "This file holds no change that was tried",
        "adopt writes a mend or a setting out of the answer of rehearse or tune; there is none of "
        "that number, or the file is something else.",
        "Only what was tried on the documents can be written into them with its figures known.",
        "Keep the answer with --json, and give that file.",
        "loftwright rehearse DIR --json > tried.json\nloftwright adopt DIR tried.json 1",
    ),
    Entry(
        "adopt-changed-since",
        "The documents have changed since this was tried",
        "A document that the change writes into is not, to the byte, as it was when the change was "
        "tried, or a file that it would make is there by now.",
        "The change was worked out for the document as it was; on another one it may say something "
        "else, and its figures are no longer true.",
        "Rehearse or tune again, and adopt what is found then.",
        "loftwright rehearse DIR",
    ),
    Entry(
        "adopt-nothing",
        "This change cannot be written by itself",
        "The change was a whole other campaign, or one that only a person can make.",
        "Writing half of it would be another change than the one that was tried.",
        "Write it yourself, as the report says how.",
        "loftwright rehearse DIR --try OTHER tries a whole campaign; change DIR by hand then.",
    ),
    Entry(
        "adopt-refused",
        "This is no document of the campaign",
        "The answer names a file that the campaign does not have, or a name that no new document "
        "may have.",
        "Nothing outside the campaign's documents is ever written by a change.",
        "Try the change again, and adopt the answer as the command wrote it.",
        'wrong: "file": "../notes.toml"\nright: "file": "avionics.toml"',
    ),
)
