"""Where rows begin, and what stands between their numbers."""

from __future__ import annotations

import pytest

from loftwright.errors import ProblemError
from loftwright.evidence.layout import Layout, find_layout, read_table, split_cells
from loftwright.evidence.text import Lines, read_lines


def lines_of(text: str) -> Lines:
    return read_lines(text.encode(), "made-up.txt")


@pytest.mark.parametrize(
    ("row", "delimiter", "decimal", "columns"),
    [
        ("1.5\t2.5", "\t", ".", 2),
        ("1,5\t2,5", "\t", ",", 2),
        ("1.5;2.5;3", ";", ".", 3),
        ("1,5;2,5", ";", ",", 2),
        ("1.5,2.5", ",", ".", 2),
        ("1.5  2.5   3", " ", ".", 3),
        ("  1,5 2,5", " ", ",", 2),
        ("\t1.5\t2.5\t", "\t", ".", 2),
        ("-1.5e-3", "\t", ".", 1),
    ],
)
def test_the_layout_of_rows(row: str, delimiter: str, decimal: str, columns: int) -> None:
    layout = find_layout(lines_of("words\n" + f"{row}\n" * 5))
    assert (layout.delimiter, layout.decimal, layout.columns) == (delimiter, decimal, columns)
    assert layout.first == 1


def test_a_few_numbers_alone_are_a_header() -> None:
    layout = find_layout(lines_of("1000\n40\nbench\n" + "1\t2\n" * 6))
    assert (layout.first, layout.columns) == (3, 2)


def test_a_damaged_row_is_no_header() -> None:
    lines = lines_of("1\tx\n" + "1\t2\n" * 8)
    layout = find_layout(lines)
    assert layout.first == 0
    with pytest.raises(ProblemError) as caught:
        read_table(lines, layout)
    assert caught.value.problems[0].where.line == 1


def test_rows_before_a_damaged_one_are_kept() -> None:
    lines = lines_of("1\t2\n" * 4 + "1\t2O\n" + "1\t2\n" * 40)
    layout = find_layout(lines)
    assert layout.first == 0
    with pytest.raises(ProblemError) as caught:
        read_table(lines, layout)
    assert caught.value.problems[0].where.line == 5


def test_integers_between_semicolons_have_no_decimal_to_doubt() -> None:
    assert find_layout(lines_of("1;2\n" * 5)).columns == 2


def test_a_comma_between_integers_is_asked_about_and_can_be_told() -> None:
    lines = lines_of("1,25\n" * 5)
    with pytest.raises(ProblemError) as caught:
        find_layout(lines)
    assert caught.value.problems[0].code == "evidence-decimal-unclear"
    assert find_layout(lines, decimal=",").columns == 1
    assert find_layout(lines, delimiter=",").columns == 2


@pytest.mark.parametrize("cell", ["1_0", "0x1F", "١٢", "inf", "1e5000", "--1", "1.2.3", "1 2"])
def test_what_python_or_a_person_may_take_for_a_number(cell: str) -> None:
    lines = lines_of("1\t2\n" * 5 + f"1\t{cell}\n" + "1\t2\n" * 5)
    with pytest.raises(ProblemError) as caught:
        read_table(lines, find_layout(lines))
    problem = caught.value.problems[0]
    assert problem.code == "evidence-not-a-number"
    assert (problem.where.line, problem.where.value) == (6, cell)


@pytest.mark.parametrize("cell", ["+1", "1.", ".5", "1e5", "-2.5E-03"])
def test_unusual_numbers_that_are_numbers(cell: str) -> None:
    lines = lines_of("1\t2\n" * 5 + f"1\t{cell}\n")
    table = read_table(lines, find_layout(lines))
    assert table.values[-1, 1] == float(cell)


def test_numbers_of_lines_survive_what_is_left_out() -> None:
    lines = lines_of("1\t2\n1\t2\n\n% pause\n1\t2\n1\t2\n1\t2\n")
    table = read_table(lines, find_layout(lines))
    assert table.numbers.tolist() == [1, 2, 5, 6, 7]


def test_cells_at_the_ends_may_be_empty() -> None:
    assert split_cells("\t1\t2\t\t", "\t") == ["1", "2"]
    assert split_cells("1\t\t2", "\t") == ["1", "", "2"]
    assert split_cells("   ", "\t") == []


def test_a_layout_describes_itself() -> None:
    said = Layout(";", ",", 7, 3, 100).describe()
    assert said == "3 column(s), semicolon between them, decimal comma; numbers begin at line 8"
