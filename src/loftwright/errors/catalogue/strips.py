"""Codes of strips that are kept as files, and of windows of strips."""

from __future__ import annotations

from loftwright.errors.catalogue.entry import Entry

__all__ = ["ENTRIES"]

ENTRIES = (
    Entry(
        "strip-file",
        "A file that holds no strip, or a damaged one",
        "The file was not written by --strips, or something has changed in it since: a part is "
        "missing, a checksum does not agree, a number is none.",
        "A drawing of damaged numbers would look like a flight.",
        "Name a file that --strips wrote, or make it anew with the command that made the report.",
        "loftwright forecast DIR --strips kept\nloftwright strip kept/0.npz",
    ),
    Entry(
        "strip-window",
        "There is no such part of the strip",
        "The part that is asked for ends before it begins, lies beside the strip, is shorter than "
        "a microsecond, or one of its times is no number.",
        "There would be nothing to draw.",
        "Give two times of the strip, the earlier one first.",
        "loftwright strip kept/0.npz --from 3s --to 1s      # wrong\n"
        "loftwright strip kept/0.npz --from 1s --to 3s      # right",
    ),
    Entry(
        "strip-no-lane",
        "The strip has no such lane",
        "The lane that is to be left out does not stand in this strip.",
        "A slip in a name would leave in what you meant to leave out.",
        "Write the lane's name as it stands at the left of the strip.",
        "loftwright strip kept/0.npz --without climb",
    ),
    Entry(
        "strip-no-font",
        "There are no letters for a picture",
        "A picture holds its words as pixels, with letters out of the fonts of this machine; it "
        "has none, as a server or a container may.",
        "A strip without names, units and times says nothing.",
        "Install any font, on Debian for one fonts-dejavu-core; or take the drawing, SVG, whose "
        "letters are those of the program that shows it.",
        "loftwright strip kept/0.npz --svg part.svg",
    ),
    Entry(
        "strip-no-picture",
        "A strip that is too full for a picture",
        "The strip has so many lanes, blocks or events that what makes pixels of a drawing gives "
        "up; it may not be one that a command made.",
        "Half a picture would look like a whole one.",
        "Leave lanes out, draw a part of it, or take the drawing, SVG.",
        "loftwright strip kept/0.npz --from 1s --to 3s --png part.png",
    ),
    Entry(
        "strip-missing",
        "The strip is not kept any more",
        "The page asks for a part of a strip that was removed, or that was only held while its "
        "page was open.",
        "A part of another strip would be drawn in its place.",
        "Load the page anew; where that does not help, run again what made the strip.",
        "http://127.0.0.1:8042/work",
    ),
    Entry(
        "strip-asked",
        "The page asks for a drawing in a way that is not possible",
        "A number in the address is none, or the width is not one of those that are drawn.",
        "Nothing is drawn rather than something else.",
        "Load the page anew: its own buttons ask in the right way.",
        "/strips/KEY/0/window?from=1&to=3&width=wide",
    ),
)
