"""Codes of rehearsals that cannot be held."""

from __future__ import annotations

from loftwright.errors.catalogue.entry import Entry

__all__ = ["ENTRIES"]

ENTRIES = (
    Entry(
        "rehearse-on-upper",
        "An actuator works a payload of the upper stage",
        "The programs of a rehearsal sit on the vehicle; they let go what the vehicle carries, and "
        "open its canopy.",
        "What an upper stage carries and does goes by its own documents.",
        "Rehearse the payload on the vehicle, or leave its actuator out of avionics.toml.",
        'works = "canopy"',
    ),
    Entry(
        "rehearse-unknown-fault",
        "No fault is called so",
        "--faults names a fault that the library does not have, or that happens to no part here.",
        "Nothing of that name would be flown, and its absence in the table would say that it does "
        "no harm.",
        "Write all, none, or names from the list that the message gives, commas between them.",
        "--faults 'battery flat, vent blocked'",
    ),
    Entry(
        "rehearse-kept",
        "This is no answer of a rehearsal",
        "A kept answer is not what rehearse --json writes, is damaged, or was written before "
        "answers told the flights behind their counts.",
        "Two rehearsals can be held against each other only where both are known whole.",
        "Rehearse again with --json, and keep that answer.",
        "loftwright rehearse DIR --json > before.json\n"
        "loftwright rehearse DIR --beside before.json",
    ),
    Entry(
        "rehearse-not-kept",
        "The documents of this rehearsal are not kept",
        "A flight is flown again with the documents that the rehearsal flew. They were changed in "
        "the moment in which it began, or their copies were taken away since.",
        "With other documents the flight would be another one.",
        "Rehearse again.",
        "loftwright rehearse DIR",
    ),
    Entry(
        "rehearse-no-flight",
        "This names no flight of a rehearsal",
        "--watch takes a case as the failure table calls it, a colon, and numbers of flights.",
        "A flight is known by its case and its number: with the same documents and seed it goes "
        "again as it went.",
        "Write the case, a colon and the number; or a few numbers with commas between them.",
        "loftwright rehearse DIR --watch 'battery flat: cell:17'",
    ),
    Entry(
        "replay-long",
        "This log is too long to replay on a page",
        "The page replays a log while it loads; this one would keep it waiting too long.",
        "A page that does not come cannot say how far it is; the command can, and can be stopped.",
        "Replay it with the command, and open the report.",
        "loftwright program run program-board.toml flight.csv --report replay.html",
    ),
    Entry(
        "tune-unknown-knob",
        "No number of a program is called so",
        "--vary names a number by controller, stage and what it is: CONTROLLER.STAGE.WHAT.",
        "Nothing would be turned.",
        "Take a name from the list that the message gives. WHAT is a quantity that a condition of "
        "the stage compares, or hold, not_before, not_after, backup.",
        "--vary 'board.climbing.climb=40 ft/s..60 ft/s'",
    ),
    Entry(
        "tune-unknown-figure",
        "No figure of a rehearsal is called so",
        "--aim, --against or --limit names a figure that tuning does not count.",
        "It could be neither made better nor held to a limit.",
        "Take a name from the list that the message gives.",
        "--aim released_well --against release_height --limit 'lost < 1 %'",
    ),
    Entry(
        "tune-no-people",
        "Nobody is there to be endangered",
        "The chance of endangering people is asked for, and the site draws no field edge, no "
        "people and no people line.",
        "It would be nothing for every setting, whatever comes down where.",
        "Draw them in site.toml, each a [[shape]]; or leave that figure out.",
        '[[shape]]\nname = "Rope"\nkind = "people line"\ncorners = ["-20 m, 30 m", "20 m, 30 m"]',
    ),
    Entry(
        "tune-limit",
        "This is no limit",
        "--limit takes a figure, < or >, and a value with its unit.",
        "A setting that passes it would be chosen all the same.",
        "Write it so, in quotes.",
        "--limit 'release_height > 200 ft'",
    ),
)
