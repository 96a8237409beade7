"""Malformed avionics: one edit each of a wired campaign that reads without a word."""

from __future__ import annotations

from pathlib import Path

from documents.bad_documents import edited
from documents.bad_input import Case, Section

WIRED = Path(__file__).with_name("wired")  # with avionics and a program
AVIONICS = "avionics.toml"


def wired(
    name: str, old: str, new: str, code: str | tuple[str, ...], line: int | None = None
) -> Case:
    """Declare an edit of the wired avionics; its line is the first changed one if not given."""
    codes = (code,) if isinstance(code, str) else code
    text = (WIRED / AVIONICS).read_text(encoding="utf-8")
    first = text[: text.index(old)].count("\n") + 1
    written = new or f"without {old.splitlines()[0]}"
    problems = edited(AVIONICS, old, new, WIRED)
    return Case(name, written, codes, first if line is None else line, problems)


SWITCH = '[[switch]]\nname = "pad line"\n'
SENSES = 'senses = "baro, accel, pad line"'
BARO_2 = '[[barometer]]\nname = "baro 2"\nbay = "nose bay"\n\n'
CONTROLLER = """[[controller]]
name = "main"
program = "program-main.toml"
battery = "main cell"
through = "bay plug"
senses = "baro, accel, pad line"
draw = "60 mA"
"""

CASES = (
    wired(
        "two parts of one name",
        SWITCH,
        SWITCH + '[[connector]]\nname = "baro"\n',
        "avionics-name-twice",
        21,
    ),
    wired(
        "a comma in a name",
        SWITCH,
        SWITCH + '[[switch]]\nname = "a, b"\n',
        ("avionics-name-comma", "avionics-idle"),
        39,
    ),
    wired(
        "a blank before a name",
        SWITCH,
        SWITCH + '[[switch]]\nname = " a"\n',
        ("avionics-name-blank", "avionics-idle"),
        39,
    ),
    wired("no such bay", 'bay = "nose bay"', 'bay = "nose bai"', "avionics-no-such-part"),
    wired("a battery for a bay", 'bay = "nose bay"', 'bay = "main cell"', "avionics-no-such-part"),
    wired("no such sensor", SENSES, 'senses = "baro, gyro"', "avionics-no-such-part"),
    wired("senses nothing", SENSES, 'senses = ","', "avionics-senses-nothing"),
    wired("a sensor that nothing reads", SWITCH, BARO_2 + SWITCH, "avionics-idle", 37),
    wired(
        "senses two of one kind",
        SENSES + '\ndraw = "60 mA"\n',
        'senses = "baro, baro 2, accel, pad line"\n\n' + BARO_2,
        "avionics-senses-twice",
    ),
    wired("nothing to read", "filter = 4", 'filter = 4\nmost = "20 kPa"', "avionics-no-range", 26),
    wired(
        "a battery too weak",
        'least_voltage = "2.9 V"',
        'least_voltage = "6 V"',
        "avionics-battery-too-weak",
    ),
    wired("works what is not there", '= "payload"', '= "payload2"', "avionics-works-nothing"),
    wired(
        "no controller",
        CONTROLLER,
        "",
        ("avionics-no-controller", *(["avionics-no-such-part"] * 3)),
        1,
    ),
    wired("no such program", '"program-main.toml"', '"program-mian.toml"', "file-missing"),
    wired("a program outside", '"program-main.toml"', '"../program.toml"', "file-outside"),
    wired("a document for a program", '"program-main.toml"', '"site.toml"', "file-twice"),
    wired("no such output", 'output = "canopy"', 'output = "canopi"', "avionics-no-such-output"),
    Case(
        "a slip in the program",
        'to = "climing"',
        ("program-no-such-stage",),
        25,
        edited("program-main.toml", 'to = "climbing"', 'to = "climing"', WIRED),
    ),
    wired("drift without kelvins", '"1.5 Pa/K"', '"1.5 Pa"', "quantity-wrong-dimension"),
    wired("a vent of no width", '"2 mm"', '"0 mm"', "doc-out-of-bounds"),
    wired("works a word", 'works = "canopy"', 'works = "parachute"', "doc-unknown-choice"),
)

SECTION = Section(
    "Avionics",
    "The campaign `tests/documents/wired`, which reads without a word, with one edit.",
    CASES,
)
