"""Mistakes in release programs: one edit each of a program that is checked without a word."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from documents.bad_input import Case, Section

from loftwright.errors import Problem, ProblemError
from loftwright.program.checks import Facts, check_program
from loftwright.program.reading import read_program

WHOLE = Path(__file__).with_name("whole") / "program-main.toml"


def reported(path: Path, facts: Facts | None = None) -> Sequence[Problem]:
    """Return everything that reading and checking a program reports."""
    try:
        return check_program(read_program(path), facts).problems
    except ProblemError as error:
        return error.problems


def edited(*edits: tuple[str, str]) -> Callable[[Path], Sequence[Problem]]:
    """Replace each old text, which must stand there once."""

    def problems(folder: Path) -> Sequence[Problem]:
        text = WHOLE.read_text(encoding="utf-8")
        for old, new in edits:
            assert text.count(old) == 1, f"{old!r} stands {text.count(old)} times"
            text = text.replace(old, new)
        (folder / WHOLE.name).write_text(text, encoding="utf-8")
        return reported(folder / WHOLE.name)

    return problems


def edit(name: str, old: str, new: str, code: str | tuple[str, ...], line: int) -> Case:
    codes = (code,) if isinstance(code, str) else code
    return Case(name, new or f"without {old.splitlines()[0]}", codes, line, edited((old, new)))


LAUNCH = 'when = "push > 3 g or height > 12 m"'
CLIMB = 'when = "climb < 50 ft/s"'
DROP = 'when = "drop > 3 m or climb < -2 m/s"'
BEEP = 'output = "beeper"\ndoes = "sound"\nfor = "10 min"\n'
PROMISE = '[[promise]]\noutput = "canopy"\ndoes = "open"\nno_later_than = "9 s"\n'
DOWN = '\n[[stage.way]]\nto = "down"\nwhen = "height < 5 m and climb < 0.1 m/s"\n'
WAITING = (
    '\n[[stage]]\nname = "waiting"\n\n[[stage.way]]\nto = "climbing"\nwhen = "push > 3 g"\n'
    'hold = "60 ms"\n\n[[stage.way]]\nto = "pad"\nnot_before = "2 s"\nclock = "launch"\n'
)
WINDOW = 'not_before = "0.8 s"\nbackup = "3.6 s"'
MORE = '\n[[stage.way]]\nto = "let go"\n'


def when(name: str, phrase: str, code: str | tuple[str, ...]) -> Case:
    """Put another condition in the place of the one on climb."""
    return edit(name, CLIMB, f'when = "{phrase}"', code, 48)


def flown(name: str, old: str, new: str, facts: Facts, code: str, line: int) -> Case:
    """Check an edit beside what a forecast says."""

    def problems(folder: Path) -> Sequence[Problem]:
        edited((old, new))(folder)
        return reported(folder / WHOLE.name, facts)

    return Case(name, new, (code,), line, problems)


FIELDS = (
    edit("a stage's name twice", 'name = "let go"', 'name = "climbing"',
         ("program-no-such-stage", "program-name-twice"), 47),
    edit("an output's name twice", 'name = "canopy"', 'name = "latch"',
         ("program-name-twice", "program-no-such-output", "program-no-such-output"), 18),
    edit("a misspelt stage", 'to = "climbing"', 'to = "climbin"', "program-no-such-stage", 38),
    edit("a misspelt output", 'output = "latch"\ndoes = "open"\n\n[[stage.way]]',
         'output = "lacth"\ndoes = "open"\n\n[[stage.way]]', "program-no-such-output", 58),
    edit("a pulse without a length", 'for = "1 s"\n', "", "program-needs-for", 72),
    edit("a length that is not used", 'does = "pulse"', 'does = "open"',
         "program-for-not-used", 73),
    edit("two acts on one output", 'output = "beeper"', 'output = "canopy"',
         "program-act-twice", 76),
    edit("half an estimate", 'noise = "0.3 m"\n', "", "program-estimate-fields", 10),
    edit("an estimate of another kind", 'kind = "tracking"', 'kind = "raw"',
         ("program-estimate-fields", "program-estimate-fields"), 11),
    edit("gains that do not settle", 'unsteadiness = "5 m/s^2"\nnoise = "0.3 m"',
         "height_gain = 1\nclimb_gain = 2", "program-estimate-unstable", 12),
    edit("a range turned round", 'most = "110 kPa"', 'most = "11 kPa"', "program-no-readings", 6),
    edit("a third of a millisecond", 'sample_every = "20 ms"', 'sample_every = "16.7 ms"',
         "program-sample-time", 3),
    edit("a frequency for a time", 'sample_every = "20 ms"', 'sample_every = "50 Hz"',
         "quantity-wrong-dimension", 3),
    edit("a window turned round", WINDOW, 'not_before = "3.6 s"\nnot_after = "0.8 s"',
         "program-window", 51),
    edit("a hold longer than its window", WINDOW,
         'not_before = "0.8 s"\nnot_after = "0.82 s"\nbackup = "3.6 s"', "program-hold-window", 49),
    edit("a backup before the window", 'backup = "3.6 s"', 'backup = "0.6 s"',
         "program-backup-first", 51),
    edit("a way without a condition", LAUNCH + '\nhold = "60 ms"\n', "", "program-way-at-once", 37),
    edit("a hold without a condition", LAUNCH, 'not_before = "2 s"', "program-needs-when", 40),
    edit("an empty promise", 'not_before = "0.8 s"\n\n', "\n", "program-promise-empty", 23),
    edit("a promise that nothing keeps", 'not_before = "0.8 s"\n\n',
         'not_before = "0.8 s"\nno_later_than = "0.5 s"\n\n', "program-promise-order", 27),
    edit("a time in hours", 'backup = "5.2 s"', 'backup = "52 h"', "program-time-long", 65),
    edit("an uncertain backup", 'backup = "5.2 s"', 'backup = "5.2 s ± 0.1 s"', "doc-not-used", 65),
    edit("another word for a field", 'backup = "5.2 s"', 'timeout = "5.2 s"',
         ("doc-unknown-field",), 65),
    edit("a clock of one's own", 'clock = "launch"', 'clock = "liftoff"', "doc-unknown-choice", 52),
)  # fmt: skip

PHRASES = (
    when("a quantity of another name", "altitude < 50 ft", "program-phrase-quantity"),
    when("a misspelt quantity", "clim < 50 ft/s", "program-phrase-quantity"),
    when("a bare number", "climb < 50", "quantity-no-unit"),
    when("a unit of another kind", "climb < 50 ft", "quantity-wrong-dimension"),
    when("grams for g", "push < 1 gram", "quantity-unknown-unit"),
    when("a decimal comma", "climb < 15,2 m/s", "quantity-decimal-comma"),
    when("a gauge pressure", "pressure > 5 psig", "quantity-wrong-dimension"),
    when("a chain", "-5 m/s < climb < 5 m/s", "program-phrase-chained"),
    when("turned round", "15 m/s > climb", "program-phrase-operand"),
    when("a chain from its middle", "climb > 2 m/s < 15 m/s", "program-phrase-chained"),
    when("equal", "climb == 0 m/s", "program-phrase-sign"),
    when("a sign from a book", "climb ≤ 15 m/s", "program-phrase-sign"),
    when("no number", "climb <", "program-phrase-operand"),
    when("no sign", "climb 15 m/s", "program-phrase-sign"),
    when("two quantities", "climb < drop", "program-phrase-operand"),
    when("a word that joins nothing", "climb < 15 m/s and", "program-phrase-operand"),
    when("two without a joining word", "climb < 15 m/s drop > 2 m", "program-phrase"),
    when("signs of another language", "climb < 15 m/s && drop > 2 m", "program-phrase"),
    when("an open parenthesis", "(climb < 15 m/s or drop > 2 m", "program-phrase-brackets"),
    when("a parenthesis too many", "climb < 15 m/s)", "program-phrase-brackets"),
    when("a line in no state", "line broken", "program-phrase-line"),
    when("a line alone", "line", "program-phrase-line"),
    when("something to run", "__import__('os')", "program-phrase-quantity"),
    when("an uncertain threshold", "climb < 15 m/s ± 1 m/s", "program-phrase"),
    when(
        "a book of conditions", "climb < 15 m/s and " * 16 + "climb < 1 m/s", "program-phrase-long"
    ),
    when("a nest", "(" * 30 + "climb < 15 m/s" + ")" * 30, "program-phrase-deep"),
    when("a number beyond all", "height > 1e60 m", "program-threshold-range"),
)

CHECKS = (
    when("a contradiction", "climb < 5 m/s and climb > 10 m/s", "program-contradiction"),
    when("a drop below nothing", "drop < 0 m", "program-contradiction"),
    when("always", "climb < 15 m/s or climb > 5 m/s", "program-always"),
    when("true without a sensor", "not (push > 1 g)", "program-true-unmeasured"),
    when("digits that are not kept", "pressure > 101325.003 Pa", "program-threshold-rounded"),
    when("finer than the sensor", "climb < 0.1 mm/s", "program-threshold-fine"),
    when("within the noise", "climb < 50 ft/s or drop > 0.2 m", "program-threshold-in-noise"),
    edit("a hold between samples", 'hold = "60 ms"', 'hold = "50 ms"', "program-time-rounded", 40),
    edit("a hold below one sample", 'hold = "60 ms"', 'hold = "5 ms"', "program-hold-short", 40),
    edit("launch by one sample", 'hold = "60 ms"\n', "", "program-launch-one-sample", 37),
    edit("launch by time", 'hold = "60 ms"', 'hold = "60 ms"\nbackup = "10 min"',
         "program-launch-by-time", 37),
    edit("no stage marks launch", "launch = true\n", "",
         "program-no-launch", 51),
    edit("open at power-up", "ground = true\n",
         'ground = true\n[[stage.do]]\noutput = "latch"\ndoes = "open"\n',
         ("program-promise-broken", "program-opens-on-pad"), 26),
    edit("a way around the launch", LAUNCH + '\nhold = "60 ms"\n',
         LAUNCH + '\nhold = "60 ms"\n' + MORE + 'when = "line open"\n',
         ("program-promise-broken", "program-opens-on-pad", "program-opens-on-pad"), 26),
    edit("a stage that nobody enters", BEEP,
         BEEP + '\n[[stage]]\nname = "down"\n', "program-unreachable", 81),
    edit("an output that nothing uses", "[[stage.do]]\n" + BEEP, "", "program-output-never", 21),
    edit("a way behind a backup", 'clock = "launch"\n',
         'clock = "launch"\n\n[[stage.way]]\nto = "under canopy"\nnot_before = "4 s"\n',
         "program-way-never", 54),
    edit("a stage that waits for ever", 'backup = "5.2 s"\n', "", "program-promise-broken", 31),
    Case("a promise less and a stage that waits", f"without {PROMISE.splitlines()[0]} and backup",
         ("program-may-never",), 18, edited((PROMISE, ""), ('backup = "5.2 s"\n', ""))),
    Case("an end too early", 'to = "down"', ("program-end-early",), 81,
         edited((PROMISE, ""), ('backup = "5.2 s"\n', f'backup = "5.2 s"\n{DOWN}'),
                (BEEP, BEEP + '\n[[stage]]\nname = "down"\n'))),
    Case("a clock that has not started", 'clock = "launch"', ("program-clock-not-started",), 95,
         edited((LAUNCH + '\nhold = "60 ms"\n',
                 LAUNCH + '\nhold = "60 ms"\n\n[[stage.way]]\nto = "waiting"\n'
                 'when = "line open"\n'),
                (BEEP, BEEP + WAITING))),
    edit("a canopy that comes too late", 'backup = "5.2 s"', 'backup = "7 s"',
         "program-promise-broken", 31),
    edit("a release too early", 'not_before = "0.8 s"\nbackup', 'not_before = "0.5 s"\nbackup',
         "program-promise-broken", 26),
)  # fmt: skip

FLIGHT = Facts(
    events={"burnout": (0.3, 0.9), "release": (1.6, 2.4), "apogee": (2.9, 3.9)},
    ranges={"height": (0.0, 92.0), "climb": (-30.0, 42.0), "drop": (0.0, 92.0)},
)
BESIDE = (
    flown("a backup within the boost", 'backup = "3.6 s"', 'backup = "0.86 s"', FLIGHT,
          "program-backup-before-burnout", 51),
    flown("a backup that comes first", 'backup = "3.6 s"', 'backup = "1.2 s"', FLIGHT,
          "program-backup-preempts", 51),
    flown("a window that opens too late", 'not_before = "0.8 s"\nbackup',
          'not_before = "3 s"\nbackup', FLIGHT, "program-window-missed", 50),
    flown("higher than any flight", CLIMB, 'when = "height > 800 m"', FLIGHT,
          "program-never-in-forecast", 48),
)  # fmt: skip

SECTION = Section(
    "Release programs",
    "Each is one edit of a program that is checked without a word. Conditions are read by a "
    "grammar of their own; the check goes through every run that the stages and their times "
    "allow. The last ones are found beside a forecast.",
    (*FIELDS, *PHRASES, *CHECKS, *BESIDE),
)
