"""Codes of condition phrases that cannot be read."""

from __future__ import annotations

from loftwright.errors.catalogue.entry import Entry

__all__ = ["ENTRIES"]

ENTRIES = (
    Entry(
        "program-phrase",
        "Something that cannot stand in a condition",
        "A condition is made of comparisons, line open, line closed, and, or, not, parentheses.",
        "What cannot be read is not guessed at.",
        "Write it as the message says.",
        'when = "height > 12 m; climb > 5 m/s"       # wrong\nwhen = "height > 12 m and climb > 5 '
        'm/s"     # right',
    ),
    Entry(
        "program-phrase-quantity",
        "A quantity that is not known",
        "height and drop are lengths, climb a speed, push an acceleration along the axis, pressure "
        "what the barometer reads. drop is how far the height has fallen below the highest.",
        "The controller reckons these and no others.",
        "Take the word that is offered.",
        'when = "altitude > 12 m"   # wrong\nwhen = "height > 12 m"     # right',
    ),
    Entry(
        "program-phrase-sign",
        "A comparison without its sign",
        "Behind the quantity stands one of <, <=, >, >=. Numbers of this kind are never exactly "
        "equal, so that there is no sign for it.",
        "Without it nothing is compared.",
        "Write the sign.",
        'when = "climb == 0 m/s"   # wrong\nwhen = "climb <= 0 m/s"   # right',
    ),
    Entry(
        "program-phrase-operand",
        "A comparison that lacks a part",
        "A comparison is a quantity, a sign, and a number with its unit, in this order.",
        "A part that is missing is not guessed at.",
        "Write it as the message says.",
        'when = "12 m < height"   # wrong\nwhen = "height > 12 m"   # right',
    ),
    Entry(
        "program-phrase-chained",
        "Comparisons in a chain",
        "Two signs stand in one comparison.",
        "In some languages this means something else than it looks like.",
        "Write two comparisons and join them.",
        'when = "2 m/s < climb < 15 m/s"                # wrong\nwhen = "climb > 2 m/s and climb < '
        '15 m/s"      # right',
    ),
    Entry(
        "program-phrase-brackets",
        "Parentheses that do not match",
        "Each parenthesis that is opened must be closed.",
        "Where it ends decides what the condition means.",
        "Close it, or take it out.",
        'when = "(push > 3 g or height > 12 m"    # wrong\n'
        'when = "(push > 3 g or height > 12 m)"   # right',
    ),
    Entry(
        "program-phrase-line",
        "A line without its state",
        "A line is a wire that opens at liftoff: line open, or line closed.",
        "The word alone says neither.",
        "Write line open, or line closed.",
        'when = "line"        # wrong\nwhen = "line open"   # right',
    ),
    Entry(
        "program-phrase-long",
        "A condition that is too long",
        "A condition has at most 300 characters, and 32 comparisons and joining words together.",
        "Controllers hold it in a fixed place, and nobody can check a longer one by eye.",
        "Use several ways to the same stage, or put a part into a stage of its own.",
        "# two ways to one stage mean or; two stages in a row mean and then",
    ),
    Entry(
        "program-phrase-deep",
        "Parentheses within parentheses",
        "The condition has too many parentheses or nots within each other.",
        "Nobody can check it by eye.",
        "Say it more plainly.",
        'when = "not (not (climb < 5 m/s))"   # the same as  climb < 5 m/s',
    ),
    Entry(
        "program-threshold-range",
        "A number that no controller holds",
        "The number is beyond what single precision reaches, 3.4e38.",
        "No sensor reads anything like it.",
        "Correct the number or its unit.",
        'when = "height > 1e60 m"   # wrong\nwhen = "height > 12 m"     # right',
    ),
)
