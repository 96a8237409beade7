"""Codes of fits to recorded flights."""

from __future__ import annotations

from loftwright.errors.catalogue.entry import Entry

__all__ = ["ENTRIES"]

ENTRIES = (
    Entry(
        "fit-meanwhile",
        "The documents have been changed since this was learnt",
        "What a page showed was fitted to the documents as they were then; another page, a command "
        "or an editor has changed one of them since.",
        "What would be written now is not what was looked at.",
        "Fit again, look at what comes out, and write it then.",
        "loftwright fit spring-lifts --write",
    ),
    Entry(
        "fit-no-flight",
        "There is no flight to learn from",
        "The campaign keeps no flight with a log, and no log was given.",
        "Without a record there is nothing to hold the model against.",
        "Keep a flight with its log first, or give a log by itself.",
        "loftwright fit DIR --log board.csv",
    ),
    Entry(
        "fit-field",
        "There is no such uncertain field",
        "A field that was asked for is not in the campaign's documents, or stands there without ±.",
        "What is taken as exact cannot be learnt: no record is let to change it.",
        "Take the path from the reference of the documents, with the document in front and list "
        "entries counted from 0; and say how sure its value is.",
        "loftwright fit DIR --field vehicle.drag.coefficient \\\n"
        "  --set vehicle.drag.coefficient='0.45 ± 0.1'",
    ),
    Entry(
        "fit-not-flown",
        "The model does not fly so far",
        "Flown as the documents have it, the vehicle does not leave the pad, does not come down, "
        "or never reaches the part of the record that counts.",
        "A record can only be compared with a flight.",
        "Fly a forecast and mend the documents until it goes about as the record did.",
        "loftwright forecast DIR",
    ),
    Entry(
        "fit-no-match",
        "The model does not follow the records",
        "Even with every field at its best, what was recorded lies further from the model than its "
        "noise, the gusts and the model's usual error allow.",
        "Something happened that the documents do not describe: a leak, a lost fin, an early "
        "canopy. Fields that are fitted to that are wrong for every other flight.",
        "Find out what happened, and say it in the flight's record; or leave that flight out.",
        "loftwright fit DIR first second      # without the flight that went wrong",
    ),
    Entry(
        "fit-learnt-already",
        "Learnt from these flights already",
        "A comment in a document says that its values were learnt from a log that is now given "
        "again.",
        "The values hold already what the log says. Learnt from once more, one flight counts like "
        "two, and the result looks surer than it is.",
        "To start over, put the values back that the comment keeps, and take it out. Learn from "
        "several flights in one run, not one after the other. --again goes on all the same.",
        "loftwright fit DIR first second --write     # together, once",
    ),
)
