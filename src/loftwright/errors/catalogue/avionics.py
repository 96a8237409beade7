"""Codes of avionics that contradict themselves, or what they work."""

from __future__ import annotations

from loftwright.errors.catalogue.entry import Entry

__all__ = ["ENTRIES"]

ENTRIES = (
    Entry(
        "avionics-none",
        "There are no avionics",
        "What controllers do is asked for, and the campaign has no avionics.",
        "Without sensors, a program and something that it works there is nothing to rehearse.",
        "Describe them in a document of their own and name it in campaign.toml. Every controller "
        "there names the file of its program.",
        'avionics = "avionics.toml"',
    ),
    Entry(
        "avionics-no-controller",
        "Nothing decides",
        "The avionics have no [[controller]].",
        "Sensors and actuators do nothing without one.",
        "Add the controller, or take avionics out of campaign.toml.",
        '[[controller]]\nname = "main"\nprogram = "program-main.toml"\nbattery = "main cell"\n'
        'senses = "baro"',
    ),
    Entry(
        "avionics-name-twice",
        "Two parts have one name",
        "Parts of the avionics are referred to by name, so no two of them may share one.",
        "Which of the two a wire leads to could not be told, nor which of them a fault happens to.",
        "Give one of them another name, and correct what refers to it.",
        '[[battery]]\nname = "main cell"\n[[battery]]\nname = "canopy cell"',
    ),
    Entry(
        "avionics-name-comma",
        "A name with a comma",
        "A field that names several parts is one text with the names between commas.",
        "A name with a comma in it would be taken for two.",
        "Write the name without it.",
        '[[connector]]\nname = "bay plug"',
    ),
    Entry(
        "avionics-name-blank",
        "A name that begins or ends with a blank",
        "A field that names several parts is one text; blanks around the names in it do not count.",
        "The part could not be found under the name that it was given.",
        "Write the name without it.",
        '[[connector]]\nname = "bay plug"',
    ),
    Entry(
        "avionics-no-such-part",
        "A wire leads nowhere",
        "A part is named that the avionics do not have, or that is of another kind.",
        "What feeds what, and what fails together, follows from these names.",
        "Correct the name, or add the part.",
        '[[controller]]\nbattery = "main cell"\nthrough = "bay plug"\nsenses = "baro, accel"',
    ),
    Entry(
        "avionics-senses-nothing",
        "A controller senses nothing",
        "senses names no sensor.",
        "A program without a reading can only count time from power-up.",
        "Name the sensors that the controller reads.",
        'senses = "baro, accel, pad line"',
    ),
    Entry(
        "avionics-senses-twice",
        "A controller reads two sensors of one kind",
        "A controller reads at most one barometer, one accelerometer and one line.",
        "A program speaks of the pressure, not of one pressure among several.",
        "Keep one; give the other to a controller of its own, with a battery of its own.",
        'senses = "baro, accel"',
    ),
    Entry(
        "avionics-no-range",
        "A barometer that reads nothing",
        "The highest pressure that the barometer reads is not above the lowest.",
        "Every reading would lie outside its range.",
        "Take both from its data sheet.",
        'least = "30 kPa"\nmost = "110 kPa"',
    ),
    Entry(
        "avionics-battery-too-weak",
        "The battery never runs it",
        "The part needs as many volts as its battery has without any load, or more.",
        "It would do nothing from the start.",
        "Check the battery's voltage, and brownout or least_voltage of what hangs on it.",
        '[[battery]]\nvoltage = "3.9 V"\n[[controller]]\nbrownout = "2.7 V"',
    ),
    Entry(
        "avionics-idle",
        "A part that is not wired to anything",
        "Nothing refers to this part, or the controller works nothing.",
        "It may have been forgotten where it belongs.",
        "Name it where it belongs, or take it out.",
        '[[actuator]]\ncontroller = "main"\nthrough = "bay plug"',
    ),
    Entry(
        "avionics-works-nothing",
        "An actuator without anything to work",
        "The actuator works a payload or a canopy that the campaign does not have.",
        "What it does would have no effect.",
        "Correct works, or describe what it lets go.",
        '[[actuator]]\nworks = "canopy"',
    ),
    Entry(
        "avionics-no-such-output",
        "The program has no such output",
        "The controller's program does not name the output that works this part.",
        "The part would never be worked.",
        "Correct the output's name, or add [[output]] to the program.",
        '[[output]]\nname = "latch"',
    ),
    Entry(
        "avionics-no-such-fault",
        "No such fault in the library",
        "A [[fault]] of the avionics names a fault that the library does not have, or a part that "
        "this fault does not happen to.",
        "Its chance would silently count for nothing.",
        "Correct the name; the docs list the faults, and how to add one.",
        '[[fault]]\nname = "vent blocked"\nchance = 0.01',
    ),
)
