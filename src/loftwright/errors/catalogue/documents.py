"""Codes of documents: their text, their fields and the kind of each."""

from __future__ import annotations

from loftwright.errors.catalogue.entry import Entry

__all__ = ["ENTRIES"]

ENTRIES = (
    Entry(
        "doc-syntax",
        "The line is not TOML",
        "A line of a document is a table's name in brackets, or a field, = and its value.",
        "What cannot be read is not guessed at.",
        "Mend the line as the message says; the rest of the file was read all the same.",
        "[fill          # wrong\n[fill]         # right",
    ),
    Entry(
        "doc-unquoted",
        "A value without quotes",
        "Texts and quantities stand in quotes.",
        "Without quotes TOML knows bare numbers, true, false and dates only.",
        "Put straight double quotes around the value.",
        'mass = 186 g      # wrong\nmass = "186 g"    # right',
    ),
    Entry(
        "doc-duplicate",
        "The same thing stands twice",
        "A field or a table stands a second time in the same place.",
        "Which of the two counts would be chance.",
        "Keep one. Things of which there are several, as vessels, take double brackets each time.",
        "[vessel]     # wrong, twice\n[[vessel]]   # right, as often as needed",
    ),
    Entry(
        "doc-encoding",
        "The file is not UTF-8",
        "The file was saved in another encoding, so that signs such as ± cannot be read.",
        "A sign that is read wrongly changes what a value means.",
        "Save the file as UTF-8 in your editor, or write +/- and degC in place of ± and °C.",
        'mass = "186 g +/- 1 g"   # right in any encoding',
    ),
    Entry(
        "doc-too-large",
        "The document is too large or too deep",
        "A document is a page or two of text; this one is much larger, has a huge number, or "
        "brackets within brackets many levels deep.",
        "It is probably another kind of file, a record for instance.",
        "See whether the right file is named. Records are read by firing --fit.",
        "# a document stays below 64 KiB, its lines below 2000 characters",
    ),
    Entry(
        "doc-unknown-field",
        "An unknown field",
        "The table has no field of this name; often it is misspelt or stands in another table.",
        "A field that is passed over in silence would leave its default in force.",
        "Take the name that is offered, or see the document reference.",
        'wal = "0.30 mm"    # wrong\nwall = "0.30 mm"   # right',
    ),
    Entry(
        "doc-unknown-table",
        "An unknown table",
        "The document has no table of this name.",
        "Everything in it would be passed over.",
        "Take the name that is offered, or see the document reference.",
        "[nozle]    # wrong\n[nozzle]   # right",
    ),
    Entry(
        "doc-missing-field",
        "A missing field",
        "A field that has no default is not there.",
        "Nothing sensible can be put in its place.",
        "Add it; the message shows an example.",
        '[nozzle]\nthroat_diameter = "21.5 mm"   # must stand here',
    ),
    Entry(
        "doc-missing-table",
        "A missing table",
        "A table that the document needs is not there.",
        "Nothing sensible can be put in its place.",
        "Add it with the fields that the message lists.",
        '[body]\ndiameter = "110 mm"\nlength = "0.85 m"',
    ),
    Entry(
        "doc-wrong-kind",
        "A value of the wrong kind",
        "A text, a whole number, a switch, a table or a list stands where another kind is needed.",
        "The value cannot be used as it stands.",
        "Write it as the message says.",
        'count = "4"   # wrong\ncount = 4     # right',
    ),
    Entry(
        "doc-out-of-bounds",
        "An impossible value",
        "The value lies outside what is possible for this field: a negative volume, a place ahead "
        "of the nose, a coefficient above one.",
        "A run with it would give numbers that look right and are not.",
        "Correct the value, and see whether its unit is the one you meant.",
        'volume = "-2 L"   # wrong\nvolume = "2 L"    # right',
    ),
    Entry(
        "doc-unknown-choice",
        "A word that is not on the list",
        "The field takes one of a few words.",
        "The words choose between models; none is taken unless it is named.",
        "Take one of the words listed.",
        'profile = "ogiv"    # wrong\nprofile = "ogive"   # right',
    ),
    Entry(
        "doc-no-trigger",
        "The event lacks its field",
        'An event chosen by "climb" or by "time" needs the field of that name.',
        "Without it the canopy or the payload would never be let go.",
        "Add the field, or choose another event.",
        'opens = "time"\ntime = "3.5 s"   # needed by opens = "time"',
    ),
    Entry(
        "doc-not-used",
        "A field that is not used",
        "Something stands here that the choice made elsewhere leaves unused.",
        "You may believe that it has an effect.",
        "Take it out, or change the choice.",
        'gas = "dry"\nexponent = "1.25"   # used with gas = "polytropic" only',
    ),
)
