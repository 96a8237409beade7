"""Codes of what the static check of a release program finds."""

from __future__ import annotations

from loftwright.errors.catalogue.entry import Entry

__all__ = ["ENTRIES"]

ENTRIES = (
    Entry(
        "program-promise-broken",
        "A promise that is not kept",
        "The path that is shown goes through the stages at times that the program allows, and "
        "breaks the promise. Times are by the controller's clock.",
        "A sensor that fails, or a flight that nobody foresaw, can take that path.",
        "Give a way on the path a not_before if it comes too early, a backup if it comes too late.",
        '[[promise]]\noutput = "canopy"\ndoes = "open"\nno_later_than = "9 s"',
    ),
    Entry(
        "program-opens-on-pad",
        "An output can open on the pad",
        "There is a path to the stage that opens it on which launch was never sensed. Where every "
        "such path needs a condition with a hold this is a warning, else an error.",
        "Somebody may stand beside the vehicle.",
        "Put a stage with launch = true before it, entered on a condition with a hold.",
        '[[stage]]\nname = "climbing"\nlaunch = true',
    ),
    Entry(
        "program-launch-by-time",
        "Launch is marked by time alone",
        "A way into the stage that marks launch has no condition, or has a backup.",
        "After that time on the pad the program believes that it flies, and goes on to open "
        "things.",
        "Give it a condition and no backup.",
        'when = "push > 3 g or height > 12 m"\nhold = "60 ms"',
    ),
    Entry(
        "program-launch-one-sample",
        "A single sample marks launch",
        "The way into the stage that marks launch has no hold.",
        "A knock, a gust or one wrong reading is enough.",
        "Add a hold of a few samples.",
        'when = "push > 3 g"\nhold = "60 ms"',
    ),
    Entry(
        "program-no-launch",
        "The launch clock never runs",
        'clock = "launch" counts from when a stage with launch = true is entered; there is none.',
        "The way is never taken, not even by its backup.",
        "Write launch = true in the stage that is entered at liftoff.",
        '[[stage]]\nname = "climbing"\nlaunch = true',
    ),
    Entry(
        "program-clock-not-started",
        "The launch clock may not run yet",
        'A stage that can be entered before launch is sensed has a way with clock = "launch".',
        "Until launch is sensed the way is shut, backup and all.",
        'Write clock = "stage", or lead to this stage through the one that marks launch.',
        'clock = "stage"',
    ),
    Entry(
        "program-unreachable",
        "A stage that is never entered",
        "No way leads there, or none that can ever be taken.",
        "What it does is never done.",
        "Write the way, or take the stage out.",
        '[[stage.way]]\nto = "under canopy"',
    ),
    Entry(
        "program-way-never",
        "A way that is never taken",
        "Another way must be taken before this one can be, whatever is sensed: ways are tried in "
        "order, and a backup, or a way by time alone, ends the stage.",
        "You may count on it.",
        "Move it up, or correct the times.",
        '# a way with backup = "2 s" above one with not_before = "3 s"',
    ),
    Entry(
        "program-output-never",
        "An output that is never used",
        "No stage that can be entered does anything to it.",
        "What hangs on it never moves.",
        "Write what is to be done, or take the output out.",
        '[[stage.do]]\noutput = "latch"\ndoes = "open"',
    ),
    Entry(
        "program-end-early",
        "An end with something undone",
        "A stage without a way out is an end. It is a good one when every output that the program "
        "opens or pulses anywhere has been on every path to it; sounds do not count.",
        "On the path that is shown the vehicle comes down without it.",
        "Add a way out, or do it in this stage.",
        '[[stage.way]]\nto = "under canopy"\nbackup = "4 s"',
    ),
    Entry(
        "program-may-never",
        "Nothing makes sure that it opens",
        "After launch there is a stage on the way whose ways all wait for a condition.",
        "A sensor that fails there keeps the output shut for good.",
        "Give one of the ways a backup.",
        'when = "drop > 3 m"\nbackup = "5 s"',
    ),
    Entry(
        "program-contradiction",
        "A condition that can never hold",
        "No values of what it compares make it true.",
        "The way is never taken, or by its backup alone.",
        "Correct a number or a sign.",
        'when = "climb < 5 m/s and climb > 10 m/s"   # wrong\n'
        'when = "climb < 5 m/s or climb > 10 m/s"    # right, if that is meant',
    ),
    Entry(
        "program-always",
        "A condition that always holds",
        "Whatever is measured makes it true.",
        "The way is taken by its times alone.",
        "Correct a number or a sign; a way by time alone has no when.",
        'when = "height > 5 m or height < 10 m"   # always',
    ),
    Entry(
        "program-true-unmeasured",
        "A condition that holds without a measurement",
        "Comparisons with what nothing measures are false, so that their contrary is true.",
        "A sensor that falls silent then counts as if it had said what you wait for.",
        "Turn the comparison round in place of not.",
        'when = "not (push > 1 g)"   # true without an accelerometer\nwhen = "push <= 1 g"        '
        "# false without one",
    ),
    Entry(
        "program-never-in-forecast",
        "A condition that holds in no flight",
        "The forecast's flights never reach what the condition asks for.",
        "The way would be taken by its backup alone, or never.",
        "Correct the number.",
        'when = "height > 800 m"   # in a forecast that ends at 120 m',
    ),
    Entry(
        "program-threshold-rounded",
        "Digits that are not kept",
        "Controllers hold numbers in single precision, seven digits.",
        "The threshold is not where it is written.",
        "Leave out the digits that are not kept.",
        'when = "pressure < 101325.003 Pa"   # becomes 101325 Pa',
    ),
    Entry(
        "program-threshold-fine",
        "A threshold below the sensor's step",
        "Heights come in steps, from the barometer's resolution or from what single precision "
        "keeps of a pressure; the threshold lies within one of them.",
        "One step of the last digit decides.",
        "Choose a larger number.",
        'when = "drop > 0.5 mm"   # wrong\nwhen = "drop > 2 m"      # right',
    ),
    Entry(
        "program-threshold-in-noise",
        "A threshold within the noise",
        "Three standard deviations of the noise reach it, with the filter that [estimate] gives.",
        "At rest on the pad it is crossed within seconds.",
        "Choose a larger number, a smoother estimate, or a longer hold.",
        '# wrong, with noise = "0.3 m"\nwhen = "height > 0.5 m"\n# right\nwhen = "height > 12 m"',
    ),
    Entry(
        "program-time-rounded",
        "A time between two samples",
        "Times are looked at when a sample is taken. Holds, starts, backups and pulses last until "
        "the next one, windows end with the one before.",
        "The program acts by another time than is written.",
        "Write the time that it comes to, or another sample_every.",
        'sample_every = "20 ms"\nhold = "50 ms"   # acts as 60 ms',
    ),
    Entry(
        "program-hold-short",
        "A hold shorter than a sample",
        "A hold that is not zero needs at least two samples.",
        "It acts as one whole sample.",
        "Write the sample's length, or take the hold out.",
        'sample_every = "20 ms"\nhold = "5 ms"   # acts as 20 ms',
    ),
    Entry(
        "program-backup-before-burnout",
        "A backup within the boost",
        "In the slowest flight of the forecast the boost still lasts when the backup comes.",
        "Whatever it lets go is torn off.",
        "Give it a later time.",
        'backup = "3.6 s"',
    ),
    Entry(
        "program-backup-preempts",
        "A backup that comes first in every flight",
        "The backup can come before the fastest flight of the forecast reaches what the condition "
        "waits for.",
        "The condition would never decide.",
        "Give it a later time.",
        'when = "drop > 3 m"\nbackup = "1 s"   # the top comes at 2.9 s at the earliest',
    ),
    Entry(
        "program-window-missed",
        "A window that every flight misses",
        "What the condition waits for happens outside the window in all flights of the forecast.",
        "The way would be taken by its backup alone, or never.",
        "Move the window.",
        'not_before = "6 s"   # the top is past by 4 s',
    ),
)
