"""Codes of recorded flights: logs of pressure or height over time."""

from __future__ import annotations

from loftwright.errors.catalogue.entry import Entry

__all__ = ["ENTRIES"]

GUESS = "A reader that guesses gives a flight that looks right and is not."
NOTHING = "There is nothing to replay."

ENTRIES = (
    Entry(
        "log-unreadable",
        "The log cannot be opened",
        "The file is not there, is a folder or a device, or may not be read.",
        NOTHING,
        "Give the path of a file that you may read.",
        "loftwright program run program-main.toml logs/flight-3.csv",
    ),
    Entry(
        "log-empty",
        "The log is empty",
        "The file holds nothing, or blanks only.",
        "The recorder lost power before it wrote, or the copy failed.",
        "Copy it from the recorder again, or give another file.",
        "flight-3.csv   0 bytes",
    ),
    Entry(
        "log-not-text",
        "The log is not text",
        "The file holds bytes that no text has. Where they stand at its end only, the recorder "
        "lost power before it closed the file.",
        "Its numbers cannot be told from anything else.",
        "Export the log as text; or cut the file at the line that is named.",
        "flight-3.bin   # wrong\nflight-3.csv   # right",
    ),
    Entry(
        "log-encoding",
        "The log breaks its own encoding",
        "The file begins with the mark of an encoding, and then does not keep to it.",
        "It was cut or joined in the middle of a letter; numbers may be damaged too.",
        "Copy it again, or save it as UTF-8.",
        "UTF-16 file with an odd number of bytes",
    ),
    Entry(
        "log-long-line",
        "A line without an end",
        "A line is longer than any row of a log.",
        "The file is not a table; reading on would only fill the memory.",
        "Export the log with one reading a line.",
        "0.00,101300 0.02,101301 0.04,...   # wrong: all in one line",
    ),
    Entry(
        "log-too-long",
        "The log is too long",
        "The log has more rows, or lasts longer, than a flight with its wait on the pad.",
        "It would be read or replayed for minutes; or a clock is wrong.",
        "Cut the flight out of it, with a minute before it.",
        "0.00   101300\n9.9e9  101300   # wrong: 300 years",
    ),
    Entry(
        "log-option",
        "An option that is not possible",
        "What was said about the log is not among what can be said.",
        GUESS,
        "Use one of the words or numbers that the message names.",
        "--every 20     # wrong: no unit\n--every 20ms   # right",
    ),
    Entry(
        "log-no-rows",
        "No rows with numbers",
        "No three lines in a row hold numbers in the same columns, whatever stands between them.",
        NOTHING,
        "Give rows with tab, comma, semicolon or blanks between the columns. A file with one "
        "column alone needs --every.",
        "0.00   101300\n0.02   101301\n0.04   101299",
    ),
    Entry(
        "log-decimal-unclear",
        "A comma that could be two things",
        "The rows can be read with the comma between two columns, and as well with the comma as "
        "the decimal mark.",
        GUESS,
        "Say --decimal , or --delimiter comma; or name the columns in a header.",
        "101300,5   # 101300.5, or 101300 and 5?",
    ),
    Entry(
        "log-no-column",
        "No such column",
        "The column that was named or counted is not in the log.",
        "What was said about it would be lost.",
        "Use one of the names in the message, or a number from 1.",
        '--pressure "Baro (hPa)"\n--pressure 2',
    ),
    Entry(
        "log-column-unclear",
        "More than one column could be it",
        "The names of several columns say that they hold the same thing.",
        GUESS,
        "Say which, with --time, --pressure, --height or --push.",
        "time,P1 (Pa),P2 (Pa)   # say --pressure P1",
    ),
    Entry(
        "log-no-pressure",
        "Neither pressure nor height",
        "No column's name says that it holds pressure or height, and no number does.",
        "A release program looks at pressure.",
        "Say --pressure or --height with the column's name or number.",
        "time,sensor 1   # say --pressure 2 --unit 2=hPa",
    ),
    Entry(
        "log-no-time",
        "No clock",
        "No column is time, and the header states no sampling frequency.",
        "When a stage is entered is what the replay is about.",
        "Say --time with the column; where the rows are evenly spaced, say --every.",
        "--every 20ms",
    ),
    Entry(
        "log-unit-missing",
        "A column without a unit",
        "Neither the column's name, nor an option, nor the numbers themselves say its unit. "
        "Pressure on a pad tells its unit by its size; height does not.",
        "Feet read as metres are wrong by a factor of three.",
        "Say --unit with the column and the unit, or write it into the column's name.",
        "altitude       # wrong\naltitude (ft)  # right\n--unit altitude=ft",
    ),
    Entry(
        "log-unit-unknown",
        "A unit of something else",
        "The column's unit is none of what it is to hold. Raw counts need a scale and the unit "
        "that the scale leads to.",
        GUESS,
        "Say --unit if the name is wrong; of raw counts say --scale too.",
        "--scale adc=0.25 --unit adc=Pa   # value = 0.25 * count",
    ),
    Entry(
        "log-pressure-range",
        "A pressure that no pad has",
        "At its beginning the log has a pressure outside 500 to 1090 hPa.",
        "The unit is wrong, or the column is something else; heights would be wrong by far.",
        "Say --unit with the unit that the message names; or --pressure with another column.",
        "pressure (kPa)\n1013.2          # wrong: these are hPa",
    ),
    Entry(
        "log-height-range",
        "A height that no such flight has",
        "The log's heights leave -1 to 12 km.",
        "The unit is wrong, or a reading is no height.",
        "Say --unit with the right unit, or put # before rows that are no readings.",
        "height (m)\n45000       # wrong: these are mm",
    ),
    Entry(
        "log-clock-back",
        "A clock that jumps back",
        "A row is earlier than the one before it, in the middle of the log: the recorder started "
        "anew, its counter began again, or a row is out of place.",
        "How much time passed there is not known, so that the rows cannot be put on one clock.",
        "Cut the file at the line that is named, and give the piece that holds the flight; or put "
        "# before the row that is out of place.",
        "65.534   101300\n0.002    101290   # wrong",
    ),
    Entry(
        "log-clock-cut",
        "Only one piece of the log is read",
        "The clock jumps back near the beginning or the end. The piece with nearly all rows is "
        "read; the rest is left out.",
        "If the flight were in the rest, the replay would not see it.",
        "Look at the lines that are named; cut the file if the flight is in the other piece.",
        "0.90   101300\n0.00   101300   # read from here on",
    ),
    Entry(
        "log-several-flights",
        "Several flights in one file",
        "The log rises from rest more than once, or its clock begins again between two flights.",
        "Which of them is meant cannot be known; the wrong one would look right.",
        "Say which: --flight-number, from 1. The message says where each begins.",
        "loftwright record spring-lifts 2026-05-03-b LOG.CSV --flight-number 2",
    ),
    Entry(
        "log-no-such-flight",
        "The file has no such flight",
        "The log holds fewer flights than the number that was given. A flight is a rise of 5 m "
        "from rest that lasts half a second.",
        "Nothing is taken in the place of what was asked for.",
        "Give the number of one of those that are listed, or leave the option out where none is.",
        "--flight-number 2   # of a file with one flight",
    ),
    Entry(
        "log-flight-cut",
        "The clock began again, and one flight is read",
        "The recorder started anew in the file. One flight is found, between two such starts; the "
        "other rows are left out.",
        "Two clocks in one log would put things at wrong times.",
        "See whether the flight is in the lines that are named; cut the file otherwise.",
        "a recorder that was switched off and on again on the pad",
    ),
    Entry(
        "log-long-cut",
        "Of a long log only the flight is read",
        "The file is so long that it is read twice: to find the flight, and then only the lines "
        "around it, from two minutes before to one minute after.",
        "Hours of waiting would fill the memory.",
        "Nothing, where the flight is in these lines. Otherwise cut it out of a copy of the file.",
        "a recorder that ran all day",
    ),
    Entry(
        "log-states-lost",
        "A column of states that never rests",
        "The column changes so often that not all its changes can be kept.",
        "It is probably a measurement that is named like a state.",
        "Say --ignore with the column, where it is no state.",
        "state: 101325.2, 101325.9, 101324.8, ...",
    ),
    Entry(
        "log-clock-coarse",
        "A clock that stands still",
        "Most rows have the time of the row before them, as where the clock counts whole seconds.",
        "Which reading a controller would have found at a moment is not known.",
        "Say --every with the time from row to row; the time column is then left aside.",
        "3   101300\n3   101295   # say --every 50ms\n3   101290",
    ),
    Entry(
        "log-time-repeats",
        "Rows with one time",
        "Some rows have the same time as the one before them.",
        "A controller finds the last of them alone; a row that was written twice is harmless.",
        "Look at the rows that are named.",
        "3.02   101300\n3.02   101295",
    ),
    Entry(
        "log-time-holes",
        "Holes in time",
        "Between two rows passes more than five times the usual time.",
        "The last reading before a hole is repeated in it; a real controller would have gone on "
        "measuring.",
        "Expect stages that depend on this stretch to be wrong.",
        "3.02   101300\n4.80   100100",
    ),
    Entry(
        "log-rows-damaged",
        "Rows that cannot be read",
        "A row has another number of cells, a cell that is no number, or no time. It is left out.",
        "The reading before it is repeated instead.",
        "Correct the rows that are named, or put # before them.",
        "3.02   1O1300   # wrong: a letter",
    ),
    Entry(
        "log-too-damaged",
        "Too many rows that cannot be read",
        "More than a tenth of the rows have another number of cells, or cells that are no numbers.",
        "It is not known what the file is.",
        "Correct the rows; or say --delimiter and --decimal if these were found wrongly.",
        "two logs with other columns in one file",
    ),
    Entry(
        "log-cells-empty",
        "Rows without a reading",
        "The cell of a column that is read is empty in some rows.",
        "The reading before it counts on, as for a controller whose sensor has no new value.",
        "Nothing, where the recorder writes that column more seldom.",
        "3.02,101300,9.8\n3.04,,9.9",
    ),
    Entry(
        "log-cut-row",
        "A last line that is not finished",
        "The file ends in the middle of a line; the line is left out.",
        "A number that lost its last digits would be a reading that never was.",
        "Nothing; or end the line, where it is complete.",
        "3.02   101300\n3.04   101",
    ),
    Entry(
        "log-too-short",
        "Too few rows",
        "Fewer than ten rows have a time and a pressure or height.",
        NOTHING,
        "Give the whole log.",
        "5 rows",
    ),
    Entry(
        "log-readings-far",
        "Readings far from any flight",
        "Some pressures are below 200 or above 1150 hPa.",
        "The sensor failed for a moment; the program refuses them where its own limits do.",
        "Look at the sensor and its wiring. The replay shows what the program makes of it.",
        "3.02   101300\n3.04   0",
    ),
    Entry(
        "log-push-unclear",
        "Push is not read",
        "Several columns could be the acceleration along the axis, or its unit is not known.",
        "Conditions on push never hold in the replay.",
        "Say --push with the column along the vehicle's axis, and --unit.",
        "time,ax (g),ay (g),az (g)   # say --push az",
    ),
    Entry(
        "log-push-rest",
        "Push at rest is not that of gravity",
        "What is pushed up by the pad reads 9.8 m/s^2 along its axis; the log begins with another "
        "number.",
        "The axis points down or across, the unit is wrong, or the recorder took gravity off.",
        "Say --scale with the column: =-1 turns the axis round, =1,1 in g puts gravity back.",
        "--scale az=-1 --unit az=g",
    ),
    Entry(
        "log-no-liftoff",
        "No liftoff is found",
        "Nothing in the log rises by 5 m over a rest of a second or more, and stays there.",
        "A rehearsal counts time from first motion.",
        "Say when the vehicle began to move, by the log's clock.",
        "--liftoff 12.3s",
    ),
)
