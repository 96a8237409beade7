"""Codes of files that are sent to the workbench."""

from __future__ import annotations

from loftwright.errors.catalogue.entry import Entry

__all__ = ["ENTRIES"]

ENTRIES = (
    Entry(
        "upload-form",
        "What was sent cannot be read as a form with files",
        "The request is no form with files, is broken off or mixed up, or has a text that is not "
        "UTF-8.",
        "Nothing of it was kept.",
        "Load the page again and choose the files again. A script sends multipart/form-data, with "
        "the token as its first field or in the header X-Loftwright-Token.",
        'curl -H "X-Loftwright-Token: $TOKEN" -F file=@board.csv ADDRESS/debrief/files',
    ),
    Entry(
        "upload-too-large",
        "The files are too large",
        "A file, or all files of one request together, have more bytes than the workbench takes.",
        "A file that is endless, by mistake or on purpose, would fill the disk. Nothing of the "
        "request was kept.",
        "Send several files in several steps; cut a film down to the flight; or take the file in "
        "with the command, which has no limit.",
        "loftwright record DIR first-lift film.mp4",
    ),
    Entry(
        "upload-too-many",
        "Too many files at once",
        "One request brings more files or fields than a form of the workbench has.",
        "Nothing of the request was kept.",
        "Send the files in several steps, or take them in with the command.",
        "loftwright record DIR first-lift pictures/*.jpg",
    ),
    Entry(
        "upload-no-room",
        "There is no room for the files",
        "The disk is nearly full, or too much waits in DIR/.loftwright/inbox that was never kept "
        "with a flight.",
        "A full disk would cost the work that is under way. Nothing of the request was kept.",
        "Make room on the disk. Take the files that wait in with a flight, or throw them away: the "
        "page Debrief lists them. They never go by themselves.",
        "du -sh DIR/.loftwright/inbox",
    ),
    Entry(
        "upload-kind",
        "The file is something else than is wanted here",
        "The bytes of the file are not those of a record of the kind that the page asks for, "
        "whatever its name says.",
        "A picture under the name of a log would be kept as evidence that nobody can read.",
        "Choose the file that the recorder, camera or phone wrote. What is worth keeping and "
        "cannot be read is kept as other.",
        "loftwright record DIR first-lift notes.pdf --as other",
    ),
    Entry(
        "upload-unknown",
        "There is no such file among those that came in",
        "The file was taken in with a flight already, or thrown away.",
        "There is nothing to go on with.",
        "Choose the file again on the page.",
        "ls DIR/.loftwright/inbox",
    ),
    Entry(
        "upload-outside",
        "The inbox leads out of the campaign",
        "DIR/.loftwright or the inbox in it is a link to another place.",
        "Everything the workbench writes stays in the campaign's folder.",
        "Take the link away; the folder is made anew.",
        "rm DIR/.loftwright",
    ),
)
