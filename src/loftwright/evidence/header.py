"""What the lines above the numbers say: names of columns, sampling, water, pressure, remarks."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from loftwright.evidence.labels import known_words
from loftwright.evidence.layout import Layout, split_cells
from loftwright.evidence.problems import problem
from loftwright.evidence.text import Lines

__all__ = [
    "Condition",
    "Header",
    "Remark",
    "column_names",
    "header_remarks",
    "rates_agree",
    "read_header",
    "stated_rates",
]

Known = Callable[[str], int]
PSI = 6894.757293168361  # Pa: 4.4482216152605 N over (25.4 mm)^2, both exact (NIST SP 811, B.8)
NUMBER = r"([+-]?\d+(?:[.,]\d+)?(?:[eE][+-]?\d+)?)"
# Unit as written, lower case -> (factor, offset) to SI.
CONDITION_UNITS: dict[str, dict[str, tuple[float, float]]] = {
    "water": {
        **dict.fromkeys(
            ("g", "gram", "grams", "gm", "ml", "milliliter", "millilitres"), (1e-3, 0.0)
        ),
        **dict.fromkeys(
            ("kg", "kilogram", "kilograms", "l", "litre", "liter", "liters"), (1.0, 0.0)
        ),
    },
    "pressure": {
        **dict.fromkeys(("psi", "psig"), (PSI, 0.0)),
        "bar": (1e5, 0.0),
        "mbar": (100.0, 0.0),
        "pa": (1.0, 0.0),
        "hpa": (100.0, 0.0),
        "kpa": (1e3, 0.0),
        "mpa": (1e6, 0.0),
        "atm": (101325.0, 0.0),
    },
    "temperature": {
        **dict.fromkeys(("c", "degc", "°c", "celsius", "º c", "ºc"), (1.0, 273.15)),
        **dict.fromkeys(("f", "degf", "°f", "fahrenheit"), (5.0 / 9.0, 459.67 * 5.0 / 9.0)),
        **dict.fromkeys(("k", "kelvin"), (1.0, 0.0)),
    },
}
SI_NAMES = {"water": "kg", "pressure": "Pa", "temperature": "K"}
CONDITIONS = {
    name: re.compile(
        rf"\b{name}(?:\s+(?:mass|volume))?\s*[:=]?\s*{NUMBER}"
        r"\s*[(\[]?\s*((?:deg|[°º])?\s?[a-z]+)?",
        re.IGNORECASE,
    )
    for name in CONDITION_UNITS
}
RATE = re.compile(
    rf"{NUMBER}\s*[(\[]?(khz|hz|ksps|sps|ks/s|s/s|samples?\s*(?:/|per)\s*s)", re.IGNORECASE
)
PERIOD = re.compile(
    rf"(?:period|interval|\bdt)\s*[:=]?\s*{NUMBER}\s*[(\[]?(us|µs|ms|s)\b", re.IGNORECASE
)
PERIOD_UNITS = {"us": 1e-6, "µs": 1e-6, "ms": 1e-3, "s": 1.0}
SAME_RATE = 1e-3  # relative; a rate written twice with other rounding is one rate


@dataclass(frozen=True, slots=True)
class Condition:
    """A condition of the firing as the header has it: SI value, and how it was written."""

    name: str
    value: float
    si_unit: str
    as_written: str
    line: int


@dataclass(frozen=True, slots=True)
class Remark:
    """A header line as found."""

    line: int
    text: str


@dataclass(frozen=True, slots=True)
class Header:
    """Everything above the numbers. ``rate`` is in Hz; ``names`` has one name a column or none."""

    names: tuple[str, ...]
    names_line: int | None
    rate: float | None
    conditions: Mapping[str, Condition]
    remarks: tuple[Remark, ...]
    notes: tuple[str, ...]


def _bare(line: str) -> str:
    """Return a header line as one phrase: comment marks off, blanks and tabs made single."""
    return " ".join(line.replace("%", " ").replace("#", " ").replace('"', " ").split())


def _number(text: str) -> float:
    return float(text.replace(",", "."))


def stated_rates(remarks: Sequence[Remark]) -> list[tuple[float, Remark]]:
    """Return every sampling frequency in Hz that header lines give, each with its line."""
    found: list[tuple[float, Remark]] = []
    for remark in remarks:
        for number, unit in RATE.findall(remark.text):
            found.append((_number(number) * (1e3 if unit.lower().startswith("k") else 1.0), remark))
        for number, unit in PERIOD.findall(remark.text):
            if _number(number) > 0:
                found.append((1.0 / (_number(number) * PERIOD_UNITS[unit.lower()]), remark))
    return [(rate, remark) for rate, remark in found if 0 < rate < 1e9]


def rates_agree(rates: Sequence[float]) -> bool:
    """Tell whether rates are one, written with other rounding."""
    return max(rates) - min(rates) <= SAME_RATE * max(rates)


def _rate(name: str, remarks: Sequence[Remark]) -> tuple[float | None, list[str]]:
    """Find the sampling frequency in Hz, if the header gives one."""
    found = stated_rates(remarks)
    if not found:
        return None, []
    rates = [rate for rate, _ in found]
    if not rates_agree(rates):
        value = ", ".join(f"{rate:g} Hz in line {remark.line}" for rate, remark in found)
        raise problem("evidence-rate-unclear", file=name, line=found[1][1].line, value=value)
    return rates[0], [f"sampling frequency {rates[0]:g} Hz from line {found[0][1].line}"]


def _condition(name: str, remark: Remark) -> tuple[Condition | None, list[str]]:
    """One condition in one header line, with a note on how it was taken."""
    match = CONDITIONS[name].search(remark.text)
    if not match:
        return None, []
    number, unit = match.group(1), (match.group(2) or "").lower().strip()
    if unit not in CONDITION_UNITS[name]:
        return None, [f"{name} in line {remark.line} has no unit that is known; not taken"]
    factor, offset = CONDITION_UNITS[name][unit]
    value = _number(number) * factor + offset
    written = f"{number} {match.group(2).strip()}"
    note = f"{name} {written} from line {remark.line}"
    if name == "water" and "l" in unit:
        note += ", taken at 1 kg a litre"
    if name == "pressure":
        absolute = re.search(r"\babs|psia", remark.text, re.IGNORECASE)
        note += ", absolute as written" if absolute else ", taken as gauge"
        if absolute:
            return Condition("absolute pressure", value, "Pa", written, remark.line), [note]
    return Condition(name, value, SI_NAMES[name], written, remark.line), [note]


def _conditions(remarks: Sequence[Remark]) -> tuple[dict[str, Condition], list[str]]:
    """Every condition, the first line that states it counting; a second one is noted."""
    found: dict[str, Condition] = {}
    notes: list[str] = []
    for remark in remarks:
        for name in CONDITION_UNITS:
            condition, said = _condition(name, remark)
            if condition and condition.name in found:
                said = [f"{name} stands again in line {remark.line}; the first one counts"]
            elif condition:
                found[condition.name] = condition
            notes += said
    return found, notes


def _label(cell: str) -> str:
    return cell.strip().lstrip("%#").strip().strip('"').strip()


def _splits(line: str, delimiter: str) -> list[list[str]]:
    """Cells of a header line under each delimiter that a writer may have used there."""
    between = [delimiter, "\t", ";", ","]
    splits = [split_cells(line, mark) for mark in dict.fromkeys(between) if mark != " "]
    return [*splits, re.split(r"\s{2,}|\t", line.strip()), line.split()]


def _labels(line: str, layout: Layout, known: Known) -> tuple[str, ...]:
    """Names of all columns in a header line, or none if it does not name them."""
    if line.lstrip("%# ").startswith("\t"):
        return ()  # the first column would have no name
    found: list[tuple[str, ...]] = [()]
    for cells in _splits(line, layout.delimiter):
        names = [_label(cell) for cell in cells]
        named = names[: layout.columns]
        extra = [n for n in names[layout.columns :] if n and not RATE.search(n)]
        if len(named) == layout.columns and not extra and all(map(_is_name, named)):
            found.append(tuple(named))
            if len(cells) == layout.columns > 1 and layout.delimiter in "\t;,":
                break  # as the rows themselves: what else could be read into it counts for nothing
    return max(found, key=lambda names: sum(map(known, names)) + bool(names) / 2)


def _is_name(label: str) -> bool:
    return (
        re.search(r"[^\W\d_]", label) is not None
        and ":" not in label
        and "=" not in label
        and not re.match(r"[+-]?\d", label)
        and len(label) <= 60
    )


def column_names(
    lines: Lines, layout: Layout, known: Known = known_words
) -> tuple[tuple[str, ...], int | None]:
    """Name the columns by the header line that holds the most known words; and say which it is.

    ``known`` counts what is understood of one name. Without such a line no name is returned.
    """
    best: tuple[int, tuple[str, ...], int | None] = (0, (), None)
    for index in range(layout.first):
        names = _labels(lines.texts[index], layout, known)
        score = sum(map(known, names))
        if names and score > best[0]:
            best = (score, names, index)
    _, names, line = best
    if line is not None and line + 1 < layout.first:
        units = _labels(lines.texts[line + 1], layout, known)
        if units and all(len(unit) <= 6 for unit in units):
            names = tuple(f"{n} [{u.strip('()[]')}]" for n, u in zip(names, units, strict=True))
    return names, None if line is None else line + 1


def header_remarks(lines: Lines, layout: Layout) -> tuple[Remark, ...]:
    """Return the lines above the numbers that say anything."""
    return tuple(
        Remark(number, text)
        for number, line in enumerate(lines.texts[: layout.first], start=1)
        if (text := _bare(line))
    )


def read_header(lines: Lines, layout: Layout) -> Header:
    """Read the lines above the first row of numbers.

    Raises
    ------
    ProblemError
        Two different sampling frequencies.
    """
    remarks = header_remarks(lines, layout)
    names, names_line = column_names(lines, layout)
    rate, rate_notes = _rate(lines.name, remarks)
    conditions, condition_notes = _conditions(remarks)
    notes = [f"columns named in line {names_line}: {', '.join(names)}"] if names else []
    return Header(
        names, names_line, rate, conditions, remarks, (*notes, *rate_notes, *condition_notes)
    )
