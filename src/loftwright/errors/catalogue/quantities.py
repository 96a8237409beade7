"""Codes of quantities: a number, its unit and its uncertainty."""

from __future__ import annotations

from loftwright.errors.catalogue.entry import Entry

__all__ = ["ENTRIES"]

ENTRIES = (
    Entry(
        "quantity-unreadable",
        "No quantity can be read here",
        'A quantity is a number, a space and a unit, "60 psi", with ± and one standard deviation '
        "where it is uncertain. The text has another form.",
        "A guess at what was meant could be wrong by a factor of ten without anybody noticing.",
        "Write it in that form, with digits on both sides of a decimal point.",
        'length = "7.5.2 m"   # wrong\nlength = "7.52 m"    # right',
    ),
    Entry(
        "quantity-odd-character",
        "A character that cannot stand in a quantity",
        "The text holds a character that looks ordinary and is not: a minus or a space from a "
        "word processor, a digit or a letter of another alphabet, an invisible mark.",
        "Two texts that look the same would mean different things.",
        "Type the text again by hand. ±, °, µ, Ω, ² and ³ are welcome.",
        'temperature = "−5 degC"   # wrong: the minus of a word processor\n'
        'temperature = "-5 degC"   # right',
    ),
    Entry(
        "quantity-no-unit",
        "The unit is missing",
        "A number stands alone where a quantity with a unit is needed.",
        "60 may be psi, bar or kPa; only one of them is safe.",
        "Put the unit behind the number. With ±, one unit at the end serves both numbers.",
        'gauge_pressure = "60"       # wrong\ngauge_pressure = "60 psi"   # right',
    ),
    Entry(
        "quantity-unknown-unit",
        "An unknown unit",
        "The word behind the number is not in the table of units. Capitals count: mW is not MW.",
        "Units are never guessed.",
        "Use a unit of the table in the document reference.",
        'temperature = "15 C"      # wrong: C is the coulomb\ntemperature = "15 degC"   # right',
    ),
    Entry(
        "quantity-unclear-unit",
        "A unit with more than one meaning",
        "People mean different amounts by this word: US and imperial measures, or several tons.",
        "The meanings differ by up to 20 %.",
        "Write it in a unit with one meaning.",
        'water_volume = "20 fl oz"   # wrong\nwater_volume = "0.59 L"     # right',
    ),
    Entry(
        "quantity-wrong-dimension",
        "A quantity of another kind",
        "The unit measures something else than the field needs. Gauge pressure (above the "
        "surrounding air) and absolute pressure (above nothing) are two kinds.",
        "Gauge and absolute differ by a whole atmosphere; a filling taken for the other bursts "
        "bottles or loses a quarter of the height.",
        "Write the kind that the field needs.",
        'gauge_pressure = "5 bara"   # wrong: absolute\ngauge_pressure = "4 bar"    # right: gauge',
    ),
    Entry(
        "quantity-not-finite",
        "Not a finite number",
        "The number is nan, infinite, or too large to be held.",
        "Nothing can be reckoned from it.",
        "Leave an optional field out where the value is not known.",
        'mass = "nan g"    # wrong\nmass = "186 g"    # right',
    ),
    Entry(
        "quantity-negative-spread",
        "A negative uncertainty",
        "The number behind ± is below zero.",
        "A standard deviation is a distance.",
        "Write it without the minus.",
        'volume = "2.0 L ± -0.1 L"   # wrong\nvolume = "2.0 L ± 0.1 L"    # right',
    ),
    Entry(
        "quantity-trailing",
        "Words behind the quantity",
        "The text goes on after the unit.",
        "A remark in a value could be mistaken for a part of it.",
        "Put the remark behind a # at the end of the line.",
        'span = "90 mm measured"      # wrong\nspan = "90 mm"   # measured',
    ),
    Entry(
        "quantity-unclear-percent",
        "A percentage that may be read in two ways",
        'In "0.95 ± 4 %" the 4 % may be of 0.95 or of one. A percentage of a temperature, or of '
        "nothing, means nothing.",
        "The two readings differ, and no one would see which was taken.",
        "Write the uncertainty in the unit of the value.",
        'flow_coefficient = "0.95 ± 4 %"    # wrong\nflow_coefficient = "0.95 ± 0.04"   # right',
    ),
    Entry(
        "quantity-decimal-comma",
        "A decimal comma",
        "The number has a comma where a decimal point is needed.",
        "Some programs drop the comma and take 1,5 for 15.",
        "Write a point.",
        'volume = "1,5 L"   # wrong\nvolume = "1.5 L"   # right',
    ),
    Entry(
        "quantity-separator",
        "A separator between digits",
        "Digits are grouped by a comma, a space, an apostrophe or an underscore.",
        "1,500 is fifteen hundred to some and one and a half to others.",
        "Write the digits without a break.",
        'volume = "1,500 mL"   # wrong\nvolume = "1500 mL"    # right',
    ),
    Entry(
        "quantity-not-text",
        "A bare number, a list or a switch where a quantity is needed",
        "A quantity is a text in quotes, because it carries its unit.",
        "A bare number says nothing about its unit.",
        "Put number and unit in quotes.",
        'mass = 186        # wrong\nmass = "186 g"    # right',
    ),
)
