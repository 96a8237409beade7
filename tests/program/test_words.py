"""A program read out: in the words and units of whoever wrote it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from loftwright.program.reading import ReadProgram, read_program
from loftwright.program.words import as_written, diagram, program_words

WHOLE = Path(__file__).parent / "whole" / "program-main.toml"


def edited(folder: Path, *edits: tuple[str, str]) -> ReadProgram:
    """Return the good program with some of its text in another form."""
    text = WHOLE.read_text(encoding="utf-8")
    for old, new in edits:
        assert old in text
        text = text.replace(old, new)
    (folder / WHOLE.name).write_text(text, encoding="utf-8")
    return read_program(folder / WHOLE.name)


def said(read: ReadProgram) -> str:
    return " ".join(" ".join(sentences) for _, sentences in program_words(read))


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('least = "30 kPa"', 'least = "300 mbar"'),
        ('most = "110 kPa"', 'most = "32.5 inHg"'),
        ('noise = "0.3 m"', 'noise = "1 ft"'),
        ('unsteadiness = "5 m/s^2"', 'unsteadiness = "0.5 g"'),
        ('pad_temperature = "15 degC"', 'pad_temperature = "59 degF"'),
        ('ground_follow = "5 s"', 'ground_follow = "5000 ms"'),
        ('backup = "3.6 s"', 'backup = "3600  ms"'),
        ('hold = "60 ms"', 'hold = "0.06 s"'),
        ('for = "10 min"', 'for = "600 s"'),
        ('no_later_than = "9 s"', 'no_later_than = "0.15 min"'),
        ("climb < 50 ft/s", "climb < 34 mph"),
    ],
)
def test_quantities_stand_as_they_were_written(tmp_path, old, new):
    read = edited(tmp_path, (old, new))
    written = " ".join(new.partition('"')[2].rstrip('"').split()) or new
    assert written in said(read)


def test_the_diagram_keeps_the_words_too(tmp_path):
    read = edited(tmp_path, ('backup = "3.6 s"', 'backup = "3600 ms"'), ("10 min", "600 s"))
    drawn = "\n".join(diagram(read))
    assert "or at 3600 ms" in drawn
    assert "sound beeper for 600 s" in drawn


def test_defaults_stand_in_the_units_of_their_fields(tmp_path):
    lines = ('least = "30 kPa"\n', 'most = "110 kPa"\n', 'pad_temperature = "15 degC"\n',
             'ground_follow = "5 s"\n')  # fmt: skip
    read = edited(tmp_path, *((line, "") for line in lines))
    assert said(read) == said(read_program(WHOLE))


def test_an_uncertainty_that_is_not_used_is_not_said(tmp_path):
    read = edited(tmp_path, ('backup = "3.6 s"', 'backup = "3600 ms ± 50 ms"'))
    assert as_written(read, "stage", 1, "way", 0, "backup") == "3600 ms"


def test_gains_stand_as_numbers(tmp_path):
    pair = 'unsteadiness = "5 m/s^2"\nnoise = "0.3 m"'
    read = edited(tmp_path, (pair, 'height_gain = 0.25\nclimb_gain = "3 %"'))
    assert "with the gains 0.25 and 3 % gives height and climb" in said(read)


def test_a_low_pass_filter_tells_its_times(tmp_path):
    pair = 'kind = "tracking"\nunsteadiness = "5 m/s^2"\nnoise = "0.3 m"'
    read = edited(tmp_path, (pair, 'kind = "filter"\nheight_time = "80 ms"\nclimb_time = "0.2 s"'))
    assert "gives height (80 ms) and climb (0.2 s)" in said(read)


def test_it_is_read_out_in_the_units_of_the_person(tmp_path):
    read = edited(tmp_path, ("climb < 50 ft/s", "climb < 34 mph"))
    assert " ft" not in said(read_program(WHOLE)).replace("50 ft/s", "")
    for told in (words_of(read, "us"), "\n".join(diagram(read, "us"))):
        assert "climb < 34 mph" in told  # theirs already
        assert METRIC.search(told) is None
    assert "noise of 11.8 in in each height" in words_of(read, "us")
    assert "59 degF there" in words_of(read, "us")
    assert "climb < 15.2 m/s" in words_of(read, "metric")
    assert "climb < 34 mph" in words_of(read, None)


METRIC = re.compile(r"\d (?:m|m/s|m/s\^2|kPa|hPa|degC)(?![\w/^])")


def words_of(read: ReadProgram, system: str | None) -> str:
    return " ".join(" ".join(sentences) for _, sentences in program_words(read, system))
