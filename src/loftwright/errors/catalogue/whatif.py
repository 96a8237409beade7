"""Codes of the what-if and of the forms beside it."""

from __future__ import annotations

from loftwright.errors.catalogue.entry import Entry

__all__ = ["ENTRIES"]

ENTRIES = (
    Entry(
        "whatif-question",
        "The what-if was asked something that is no question",
        "What came from the page, or from another program, is not a JSON object with values by "
        "path, or is longer than any page makes it.",
        "Nothing is flown with values that nobody can have meant.",
        "Load the page anew. Who asks by a program sends values as texts with their units.",
        '{"values": {"vehicle.fill.water_volume": "0.8 L"}}',
    ),
    Entry(
        "whatif-engine-ended",
        "The engine of the what-if ended",
        "The process that flies the small ensembles has died, or gave no answer for long. The "
        "message holds the last that it said.",
        "The picture on the page is that of an earlier answer.",
        "Move a slider again: the engine is started anew. Where it dies again, run the command at "
        "the foot of the page, which says more.",
        "loftwright forecast DIR --flights 400",
    ),
    Entry(
        "whatif-conflict",
        "The field was changed meanwhile",
        "Since the page was opened somebody else, another page or an editor wrote another value "
        "into a field that was to be written from the sliders.",
        "Nobody's edit is written over in silence. Nothing was written.",
        "Load the forecast page anew, look at the value that stands there now, and decide.",
        'water_volume = "0.8 L"     # yours\nwater_volume = "0.7 L"     # there by now',
    ),
    Entry(
        "whatif-nothing",
        "There is nothing to write",
        "No slider stands at another value than the document has.",
        "A change that changes nothing would only crowd the history.",
        "Move a slider first.",
        "vehicle.fill.water_volume = 0.8 L",
    ),
    Entry(
        "whatif-number",
        "A whole number is needed",
        "A field of a form, such as the number of flights, holds something that is not a whole "
        "number.",
        "The command that is run takes nothing else.",
        "Write digits alone, without a unit or a separator.",
        "400",
    ),
    Entry(
        "whatif-none-moves",
        "Nothing may move",
        "The best within limits was asked for, and no number was ticked that may move.",
        "The search turns numbers of the documents; without one there is nothing to look for.",
        "Tick one number or more under what may move. What is not among them comes there with a "
        "slider of its own.",
        "Fill pressure, from 37 psi to 100 psi",
    ),
)
