"""Codes of files and folders."""

from __future__ import annotations

from loftwright.errors.catalogue.entry import Entry

__all__ = ["ENTRIES"]

ENTRIES = (
    Entry(
        "file-no-folder",
        "There is no such folder",
        "The campaign folder that was given does not exist, or is a file.",
        "There is nothing to read.",
        "Give the folder that holds campaign.toml, or begin one with loftwright new.",
        "loftwright check spring-lifts",
    ),
    Entry(
        "file-missing",
        "There is no such file",
        "A document that the campaign names, or campaign.toml itself, is not in the folder.",
        "A part of the campaign is missing.",
        "Write the file, or correct its name in campaign.toml.",
        'site = "site.toml"   # a file beside campaign.toml',
    ),
    Entry(
        "file-not-a-file",
        "No regular file where one is needed",
        "The name belongs to a folder, a pipe or a device.",
        "A folder holds no text, and what is read from a pipe or a device may never end; nor is "
        "anything written over them.",
        "Give the name of a regular file.",
        'vehicle = "vehicle.toml"',
    ),
    Entry(
        "file-too-large",
        "The file is too large",
        "The file holds far more than a file of its kind ever does.",
        "It is probably another file, and reading it would take all memory.",
        "See whether this is the file you mean; cut a long record down to the firing.",
        "ls -l records",
    ),
    Entry(
        "file-unreadable",
        "The file cannot be read",
        "The system refuses to hand the file over.",
        "There is nothing to read.",
        "See whether you may read it, whether another program holds it, whether the disk is well.",
        "chmod u+r vehicle.toml",
    ),
    Entry(
        "file-outside",
        "A file outside the campaign folder",
        "The name leads out of the folder: an absolute path, .. in it, or a link that leaves.",
        "A campaign is one folder, so that it can be handed on whole; and a campaign from "
        "somebody else must not reach your other files.",
        "Move the file into the folder and give its name, with / between folders.",
        'site = "../site.toml"   # wrong\nsite = "site.toml"      # right',
    ),
    Entry(
        "file-twice",
        "One file for two documents",
        "Two entries of campaign.toml name the same file.",
        "A document describes one thing.",
        "Give each its own file.",
        'vehicle = "vehicle.toml"\nsite = "site.toml"',
    ),
    Entry(
        "file-exists",
        "The file exists already",
        "A new file would take the place of one that stands.",
        "Nothing that you wrote is ever overwritten unasked.",
        "Choose another name or folder.",
        "loftwright new autumn-lifts",
    ),
    Entry(
        "file-not-written",
        "The file cannot be written",
        "The system refuses to write. The old file, if there was one, stands as it was.",
        "The change is not saved.",
        "See whether the folder exists, may be written to, and has room.",
        "df -h .",
    ),
    Entry(
        "file-busy",
        "Others keep writing this file",
        "A command that changes a document holds it for a moment; this one waited for many.",
        "Nothing is written, so that no command's change is lost.",
        "Let the other command end, or stop it; then run this one again.",
        "a script that was halted in the middle of loftwright record",
    ),
    Entry(
        "file-edit-refused",
        "The edit would change more than asked",
        "The text is laid out in a way in which the value cannot be set without touching others. "
        "Nothing was written.",
        "What you wrote stays as you wrote it.",
        "Change the file by hand.",
        'nozzle = { throat_diameter = "21.5 mm" }   # write a table [nozzle] instead',
    ),
)
