"""Codes of the ledger."""

from __future__ import annotations

from loftwright.errors.catalogue.entry import Entry

__all__ = ["ENTRIES"]

ENTRIES = (
    Entry(
        "ledger-busy",
        "Another program is writing to the ledger",
        "A program holds the ledger for writing, and has done so for as long as was waited.",
        "Two that write at once would lose one another's entries. Nothing was written.",
        "Wait until the other is done, or end it, and do the same again.",
        'loftwright ledger finding DIR "The hook slipped at 11 N" --flight first-lift',
    ),
    Entry(
        "ledger-read-only",
        "The ledger cannot be written",
        "The folder, the file or the whole disk is write-protected.",
        "What was to be noted is not noted. What stands in the ledger can be read as ever.",
        "Lift the protection, or copy the campaign to where you may write.",
        "chmod u+w DIR DIR/ledger.sqlite",
    ),
    Entry(
        "ledger-no-room",
        "The disk takes no more",
        "The disk is full, at a limit, or failing: the system refused to write.",
        "The entry that was to be written is not there. Everything before it is.",
        "Make room and do the same again. Where there is room, look after the disk, and make an "
        "export of the ledger to another.",
        "df -h DIR",
    ),
    Entry(
        "ledger-damaged",
        "The ledger is damaged",
        "The database finds that its own pages do not fit together, or its entries one another.",
        "What it says may be wrong, and what is written now may be lost.",
        "Put the file aside and keep it. Take the latest export and loftwright ledger import it "
        "into the campaign, or the copy that was laid beside the ledger before its last change of "
        "version. Flights are taken in anew from their folders.",
        "mv DIR/ledger.sqlite DIR/ledger-damaged.sqlite\nloftwright ledger import DIR EXPORT",
    ),
    Entry(
        "ledger-unreadable",
        "The ledger cannot be opened",
        "The system does not hand the file over.",
        "Nothing can be read or noted.",
        "See whether the folder is there and may be read and written by you.",
        "ls -l DIR/ledger.sqlite",
    ),
    Entry(
        "ledger-not-ours",
        "This file is no ledger",
        "A file called ledger.sqlite is there, and is the database of another program, or none; or "
        "it has triggers or views, which Loftwright never makes and which change what is read.",
        "Nothing was written: it may be of worth to somebody.",
        "Move it away. The ledger makes its own file.",
        "mv DIR/ledger.sqlite DIR/other.sqlite",
    ),
    Entry(
        "ledger-newer",
        "A newer Loftwright wrote this ledger",
        "The ledger has tables that this version does not know.",
        "What it does not know it could not keep. Nothing was written.",
        "Bring Loftwright up to date; or export with the newer one what you need here.",
        "python -m pip install --upgrade loftwright",
    ),
    Entry(
        "ledger-sqlite-old",
        "The database library is too old",
        "The SQLite that comes with this Python has no tables with strict types.",
        "The ledger would take what does not belong into it.",
        "Install a newer Python from python.org.",
        'python -c "import sqlite3; print(sqlite3.sqlite_version)"   # 3.37 or later',
    ),
    Entry(
        "ledger-words",
        "An entry that cannot be kept as it is",
        "The words are missing, too long, no text, or not among those that may stand there.",
        "In a year nobody would know what was meant.",
        "Say it in a few words; put long things into a file of the flight's evidence and name it.",
        'loftwright ledger action DIR "Fit a second hook" --who Ana --due 2026-06-01',
    ),
    Entry(
        "ledger-day",
        "This is no day",
        "A day is written as year, month and day.",
        "Days in other orders are misread: 5/3 is in March for one and in May for another.",
        "Write it as in the example.",
        "--due 3/5/26       # wrong\n--due 2026-05-03   # right",
    ),
    Entry(
        "ledger-no-such",
        "The ledger has no such entry",
        "No flight, evidence, finding, action or decision of the ledger is called so.",
        "Nothing was noted: it would hang in the air.",
        "Look with loftwright ledger list what there is. A flight is called by its folder below "
        "flights/, or by its name; findings, actions and decisions by F, A or D with a number.",
        "loftwright ledger list DIR\nloftwright ledger close DIR A3 --flight second-lift",
    ),
    Entry(
        "ledger-closed",
        "It was closed already",
        "The action or finding is closed; somebody was first.",
        "What was written then stays as it is.",
        "Look at what closed it. Where there is more to do, note a new action.",
        "loftwright ledger show DIR A3",
    ),
    Entry(
        "ledger-build",
        "The snapshot of the build cannot be taken in",
        "The folder build/ of a flight holds far more documents than a campaign has.",
        "It is probably not a snapshot of one campaign.",
        "Keep in it the documents as they were flown: campaign.toml and those that it names.",
        "flights/first-lift/build/campaign.toml\nflights/first-lift/build/vehicle.toml",
    ),
    Entry(
        "ledger-build-changed",
        "The snapshot of the build is not what it was",
        "The documents in the folder build/ of a flight differ from those that the ledger took in.",
        "What a flight tells depends on what flew. The ledger goes on with what it took in first.",
        "Put the documents back as they flew. Where the new ones are right and the first were not, "
        "say so: loftwright ledger take-in DIR --accept FLIGHT.",
        "loftwright ledger take-in DIR --accept first-lift",
    ),
    Entry(
        "ledger-evidence-missing",
        "Evidence is missing",
        "A file that the ledger took in, or the whole folder of its flight, cannot be had.",
        "What was concluded from it cannot be looked at again.",
        "Take it from a copy: its digest, which the ledger keeps, tells whether it is the same.",
        "loftwright ledger verify DIR",
    ),
    Entry(
        "ledger-evidence-changed",
        "Evidence is not what it was",
        "The bytes of a file differ from those that were taken in, or flight.toml has come to give "
        "another digest of them.",
        "Evidence that may have been changed shows nothing any more.",
        "Take the file from a copy. Where the change was meant, note who made it and why.",
        'loftwright ledger finding DIR "Ana cut the film; the whole one is lost" --flight first',
    ),
    Entry(
        "ledger-asked",
        "Reliability cannot be asked for like that",
        "A level, a weight, a prior or a function is not one that there can be.",
        "Nothing was reckoned.",
        "Compare with loftwright ledger reliability --help.",
        "--wanted 90% --confidence 80% --count weighted --weight 0.5",
    ),
    Entry(
        "ledger-export-unfit",
        "This is no whole export of a ledger",
        "A file of the folder is missing, was changed, or its entries do not fit together.",
        "Half a ledger would be worse than none. Nothing was written.",
        "Take another copy of the export, or make it again.",
        "loftwright ledger export DIR EXPORT",
    ),
    Entry(
        "ledger-not-empty",
        "The ledger is not empty",
        "An export can only be put into a ledger that holds nothing yet.",
        "Entries of two ledgers carry the same numbers, and would be mixed up.",
        "Move ledger.sqlite aside, or import into a new folder with the campaign's documents.",
        "mv DIR/ledger.sqlite DIR/ledger-old.sqlite\nloftwright ledger import DIR EXPORT",
    ),
)
