"""Codes of release programs that cannot be read, and of fields that contradict each other."""

from __future__ import annotations

from loftwright.errors.catalogue.entry import Entry

__all__ = ["ENTRIES"]

ENTRIES = (
    Entry(
        "program-name-twice",
        "A name is given twice",
        "Two stages, or two outputs, of one program have the same name.",
        "Ways and acts name them; which one is meant would be chance.",
        "Give each a name of its own.",
        '[[stage]]\nname = "climbing"\n[[stage]]\nname = "climbing"   # wrong\n'
        'name = "coasting"   # right',
    ),
    Entry(
        "program-no-stage",
        "A program without stages",
        "There is no [[stage]].",
        "A controller is always in some stage; the first one is entered at power-up.",
        "Write the stages in the order in which a good flight goes through them.",
        '[[stage]]\nname = "pad"\nground = true',
    ),
    Entry(
        "program-too-many",
        "More than there is room for",
        "A program has at most 32 stages, 16 outputs and 32 promises; a stage at most 8 ways out "
        "and 16 acts.",
        "Controllers hold the table in a fixed place, and nobody can follow a larger one by eye.",
        "Join what does the same.",
        '# two ways to one stage:  when = "push > 3 g or height > 12 m"',
    ),
    Entry(
        "program-no-such-stage",
        "A way to a stage that is not there",
        "The word behind to is the name of no stage.",
        "The controller would have nowhere to go.",
        "Correct the name, or write the stage.",
        'to = "climbin"     # wrong\nto = "climbing"    # right',
    ),
    Entry(
        "program-no-such-output",
        "An output that is not there",
        "The word behind output is the name of no [[output]].",
        "Nothing would be switched.",
        "Correct the name, or declare the output.",
        '[[output]]\nname = "latch"\n[[stage.do]]\noutput = "latch"',
    ),
    Entry(
        "program-needs-for",
        "A pulse without a length",
        "A pulse and a sound end by themselves; for says when.",
        "A pulse that never ends empties the battery and may burn what it drives.",
        "Add for with a time.",
        'does = "pulse"\nfor = "0.5 s"',
    ),
    Entry(
        "program-for-not-used",
        "A length that is not used",
        "An output that is opened or closed stays so; for belongs to pulse and sound.",
        "You may believe that it ends by itself.",
        "Write pulse in place of open, or take for out.",
        'does = "open"\nfor = "0.5 s"      # wrong\ndoes = "pulse"\nfor = "0.5 s"      # right',
    ),
    Entry(
        "program-act-twice",
        "Two acts on one output",
        "A stage does two things to the same output in the same moment.",
        "Only the last of them would show.",
        "Keep one, or put one into a stage of its own.",
        "# open in one stage, close in the next",
    ),
    Entry(
        "program-estimate-fields",
        "Fields that do not belong to the estimate",
        "tracking takes unsteadiness and noise; filter takes height_time and climb_time; either "
        "takes height_gain and climb_gain instead; raw takes none.",
        "What is not used would look as if it were.",
        "Keep the one pair that belongs to the kind.",
        '[estimate]\nkind = "tracking"\nunsteadiness = "5 m/s^2"\nnoise = "0.3 m"',
    ),
    Entry(
        "program-estimate-unstable",
        "An estimate that does not settle",
        "With these gains every error comes back larger and with the other sign. A tracking filter "
        "needs climb_gain below 4 less twice height_gain.",
        "Height and climb would swing without end.",
        "Give unsteadiness and noise, from which gains that settle follow.",
        '[estimate]\nkind = "tracking"\nunsteadiness = "5 m/s^2"\nnoise = "0.3 m"',
    ),
    Entry(
        "program-no-readings",
        "No reading would be taken",
        "least lies above most, or on it: every reading is refused.",
        "There would never be a height.",
        "Swap or correct them.",
        'least = "30 kPa"\nmost = "110 kPa"',
    ),
    Entry(
        "program-sample-time",
        "Samples that the clock cannot count",
        "The controller's clock counts whole milliseconds, and so must sample_every.",
        "Samples would drift against the clock.",
        "Give whole milliseconds.",
        'sample_every = "16.7 ms"   # wrong\nsample_every = "17 ms"     # right',
    ),
    Entry(
        "program-window",
        "A window that is never open",
        "not_after is earlier than not_before.",
        "The way could only be taken by its backup.",
        "Swap or correct them.",
        'not_before = "0.8 s"\nnot_after = "6 s"',
    ),
    Entry(
        "program-hold-window",
        "A hold that does not fit its window",
        "Condition and window must hold together; the window is shorter than that.",
        "The way could only be taken by its backup.",
        "Make the hold shorter or the window longer.",
        'hold = "2 s"\nnot_before = "1 s"\nnot_after = "2 s"    # wrong: open for 1 s',
    ),
    Entry(
        "program-backup-first",
        "A backup before the window",
        "The backup is taken whatever condition and window say, and here it comes before the "
        "window has begun.",
        "The condition would never be looked at.",
        "Give the backup a later time.",
        'not_before = "0.8 s"\nbackup = "3.6 s"',
    ),
    Entry(
        "program-way-at-once",
        "A way that is taken at once",
        "A way without when and without a time is ready with the first sample.",
        "The stage would last one sample, and nothing in it would be waited for.",
        "Say when the way is taken.",
        '[[stage.way]]\nto = "let go"\nwhen = "climb < 50 ft/s"',
    ),
    Entry(
        "program-needs-when",
        "A field that needs a condition",
        "A way without when is taken by one time alone: not_before or backup.",
        "What else stands there would not be used.",
        "Keep one time, or add when.",
        '[[stage.way]]\nto = "down"\nbackup = "2 s"',
    ),
    Entry(
        "program-promise-empty",
        "A promise without a time",
        "A [[promise]] says not before when, or no later than when, an output is switched.",
        "There is nothing to prove.",
        "Add one of the two times.",
        '[[promise]]\noutput = "latch"\ndoes = "open"\nnot_before = "0.8 s"',
    ),
    Entry(
        "program-promise-order",
        "A promise that nothing can keep",
        "no_later_than is earlier than not_before.",
        "No moment is both.",
        "Swap or correct them.",
        'not_before = "0.8 s"\nno_later_than = "9 s"',
    ),
    Entry(
        "program-time-long",
        "A time longer than a day",
        "The times of a program end within a day.",
        "The controller counts milliseconds in 32 bits.",
        "See whether the unit is the one that you meant.",
        'backup = "3600 h"    # wrong\nbackup = "3.6 s"     # right',
    ),
    Entry(
        "program-none-named",
        "The campaign has no program",
        "Programs are named by the controllers of the avionics.",
        "There is nothing to check.",
        "Name the avionics in campaign.toml and the programs there, or give a program's own file.",
        '[[controller]]\nname = "main"\nprogram = "program-main.toml"',
    ),
)
