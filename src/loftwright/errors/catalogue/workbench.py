"""Codes of the workbench in the browser."""

from __future__ import annotations

from loftwright.errors.catalogue.entry import Entry

__all__ = ["ENTRIES"]

ENTRIES = (
    Entry(
        "serve-refused",
        "The workbench cannot be opened like this",
        "The folder is a file, or nobody can listen at the port: another program holds it, or the "
        "system keeps it.",
        "The browser would find nothing there, or another program.",
        "Name a folder; give another port, or none so that a free one is taken.",
        "loftwright serve DIR --port 8050",
    ),
    Entry(
        "serve-address",
        "The workbench cannot be opened at this address",
        "The address is none in numbers, is this machine itself, stands for every network, or is "
        "one of the open internet; or none was found.",
        "A workbench is opened to one network on purpose, never to all of them by accident.",
        "Connect the laptop and the phone to one network, and give the laptop's address there.",
        "loftwright serve DIR --lan --lan-address 192.168.1.20",
    ),
    Entry(
        "page-not-found",
        "The workbench has no such page",
        "The address was typed wrong, or what it showed has been removed.",
        "There is nothing to show.",
        "Go on from the links at the top of the page.",
        "http://127.0.0.1:8042/",
    ),
    Entry(
        "work-not-started",
        "The work could not be started",
        "The campaign's folder cannot be written to, the disk is full, the system starts no more "
        "processes, or what was to be done again is not known any more.",
        "Nothing was begun, and nothing that was there is changed.",
        "Make room, or lift the protection of the folder; or run the command in a terminal.",
        "df -h DIR",
    ),
    Entry(
        "work-not-ours",
        "This work is not begun from its page",
        "The work came with the campaign from another machine. What it was asked for is not known, "
        "reads or writes a file by its path, or reaches another machine.",
        "Nothing was begun. Its report can be looked at, shut off from the workbench.",
        "Begin it on the page of its own step.",
        "loftwright forecast DIR",
    ),
    Entry(
        "work-by-looking",
        "Nobody has worked this out yet",
        "The page works something out when it is opened first, and this device may only look.",
        "With --lan-look, devices on the network start nothing and change nothing.",
        "Open the page on the laptop; then look again.",
        "http://127.0.0.1:8042/debrief",
    ),
    Entry(
        "work-link",
        "What can be made again would be kept at another place",
        "DIR/.loftwright, or a folder in it, is a link. It may have come with somebody's campaign.",
        "What is old there is taken away by itself; behind a link that could be anything of yours.",
        "Take the link away. What lay there can be made again.",
        "rm DIR/.loftwright",
    ),
)
