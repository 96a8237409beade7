"""Codes of changing documents through a page or a command, and of taking changes back."""

from __future__ import annotations

from loftwright.errors.catalogue.entry import Entry

__all__ = ["ENTRIES"]

ENTRIES = (
    Entry(
        "edit-conflict",
        "The same field was changed by somebody else",
        "Since you read the document, this field was changed by another page, another command or "
        "by hand, and you change it too. Nothing was written.",
        "Which of the two counts is for a person to say; neither is lost.",
        "Look at both values, and set the one that is right, based on the document as it is now.",
        "loftwright set DIR vehicle.fill.water_volume='0.8 L'   # without --based-on: yours counts",
    ),
    Entry(
        "edit-no-document",
        "No such document",
        "A path begins with the document that the field stands in: campaign, vehicle, payload, "
        "site and so on; of a release program with program and the name of its controller.",
        "The campaign has no such document, so there is nowhere to write to.",
        "Take one of those that the message lists, or add the document with --add.",
        "loftwright set DIR --add payload\n"
        "loftwright set DIR program.board.sample_every='10 ms'   # of the controller called board",
    ),
    Entry(
        "edit-needed",
        "This cannot be taken out or added",
        "A campaign always has a vehicle and a site, and what is there already is not added again.",
        "Without them nothing can fly; and nothing that you wrote is overwritten.",
        "Change it instead of taking it out; or take out another one.",
        "loftwright set DIR --remove vehicle.canopy   # a table that may be left out",
    ),
    Entry(
        "undo-nothing",
        "There is nothing to take back",
        "No change is known that could be taken back, or made again.",
        "Only what was changed by a page or a command of Loftwright is kept, the last 200 changes.",
        "Change the document by hand, or set the field anew.",
        "loftwright undo DIR\nloftwright undo DIR --redo",
    ),
    Entry(
        "undo-another",
        "The last change is another one by now",
        "Between looking and taking back, a change was made or taken back by somebody else: on "
        "another page, or by a command.",
        "A change is taken back on purpose only; what others do meanwhile stays.",
        "Look at the last change as it is now, and take it back if that is what you want.",
        "loftwright undo DIR --list",
    ),
    Entry(
        "undo-changed-since",
        "The document was changed since by other means",
        "After the last change through Loftwright somebody edited the document otherwise. Undo "
        "would put an older text over that edit, so it does not.",
        "No edit is lost in silence.",
        "Set the field anew, or change the document by hand.",
        "loftwright set DIR vehicle.fill.water_volume='0.65 L'",
    ),
    Entry(
        "undo-lost",
        "The kept text is gone",
        "What stood before is kept in DIR/.loftwright/undo; there the text is missing or damaged.",
        "A damaged text is never written over a good one.",
        "Set the field anew.",
        "loftwright set DIR vehicle.fill.water_volume='0.65 L'",
    ),
    Entry(
        "undo-unreadable",
        "The journal of changes cannot be read",
        "The file that lists the changes was damaged, or was not written by Loftwright.",
        "What it says cannot be relied on, so nothing is taken back by it.",
        "Move the file away. Documents are not touched by that.",
        "mv DIR/.loftwright/undo/journal.json elsewhere",
    ),
)
