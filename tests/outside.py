"""Checks against the outside world: the one way to declare them, and the page that shows them.

A module ``tests/<room>/outside_<subject>.py`` declares checks and registers them::

    from outside import OutsideCheck, absolute, register, relative

    register(
        OutsideCheck(
            model="Canopy",
            quantity="terminal speed, 0.6 m canopy, m/s",
            source="T. W. Knacke, NWC TP 6575 (1991), ch. 5",
            inputs="0.35 kg, C_D S 0.212058 m², 1.225 kg/m³",
            expected=5.140608,
            ours=lambda: terminal_speed_of(0.35, 1.225, 0.212058),
            tolerance=relative(1e-5),
            standing=COMPUTED,
        )
    )

- ``expected`` comes from outside: a published standard, table or handbook, a measurement, a
  reference library. ``source`` names it with table, equation or page.
- ``standing`` says how far to trust ``expected``: `READ` in the source itself, from `MEMORY` of
  it, or `COMPUTED` independently from the formula that the source gives.
- ``ours`` is called with nothing and returns a float. It must run our code, not repeat the formula.
- ``model`` names a table of ``docs/credibility.toml``, which holds the model's credibility levels.
- Many checks of one table are best made in a loop; slow work shared among them goes into a function
  under `functools.cache`.

``tests/test_outside.py`` runs every check. ``python tests/outside.py`` writes
``docs/credibility.md``; a test fails when that page is stale.
"""

from __future__ import annotations

import importlib.util
import re
import sys
import tomllib
from collections.abc import Callable
from dataclasses import dataclass
from math import floor, log10
from pathlib import Path

__all__ = [
    "COMPUTED",
    "FACTORS",
    "MEMORY",
    "READ",
    "OutsideCheck",
    "Tolerance",
    "absolute",
    "load_checks",
    "overall_level",
    "register",
    "relative",
]

TESTS = Path(__file__).parent
PAGE = TESTS.parent / "docs" / "credibility.md"
LEVELS = TESTS.parent / "docs" / "credibility.toml"

READ = "read"
MEMORY = "from memory"
COMPUTED = "computed from the cited formula"
STANDINGS = (READ, MEMORY, COMPUTED)

FACTORS = {
    "verification": "Verification",
    "validation": "Validation",
    "input_pedigree": "Input pedigree",
    "results_uncertainty": "Results uncertainty",
    "results_robustness": "Results robustness",
    "use_history": "Use history",
    "management": "M&S management",
    "people": "People qualifications",
}


@dataclass(frozen=True, slots=True)
class Tolerance:
    """How far ours may lie from what is expected."""

    size: float
    is_relative: bool

    def allowed(self, expected: float) -> float:
        """Return the largest allowed difference, in the quantity's unit."""
        return self.size * abs(expected) if self.is_relative else self.size

    def __str__(self) -> str:
        if not self.is_relative:
            return f"± {self.size:g}"
        return f"{100 * self.size:g} %" if self.size >= 1e-5 else f"{self.size:g} relative"


def relative(size: float) -> Tolerance:
    """Allow a difference of ``size`` times the expected value."""
    return Tolerance(size, True)


def absolute(size: float) -> Tolerance:
    """Allow a difference of ``size`` in the quantity's unit."""
    return Tolerance(size, False)


@dataclass(frozen=True, slots=True, kw_only=True)
class OutsideCheck:
    """One quantity of ours beside the value that somebody else gives for it."""

    model: str
    quantity: str  # what, for which case, and its unit
    source: str
    inputs: str
    expected: float
    ours: Callable[[], float]
    tolerance: Tolerance
    standing: str

    def __post_init__(self) -> None:
        if self.standing not in STANDINGS:
            raise ValueError(f"standing {self.standing!r} is none of {STANDINGS}")

    def passes(self, value: float) -> bool:
        """Tell whether ``value`` is as near as the tolerance asks; NaN never is."""
        return abs(value - self.expected) <= self.tolerance.allowed(self.expected)


CHECKS: list[OutsideCheck] = []


def register(*checks: OutsideCheck) -> None:
    """Add checks to those that are run and shown."""
    CHECKS.extend(checks)


def load_checks() -> list[OutsideCheck]:
    """Import every ``tests/*/outside_*.py`` once and return all checks, in file order."""
    for path in sorted(TESTS.glob("*/outside_*.py")):
        name = f"outside_checks.{path.parent.name}.{path.stem}"
        if name not in sys.modules:
            spec = importlib.util.spec_from_file_location(name, path)
            if spec is None or spec.loader is None:
                raise ImportError(f"cannot load {path}")
            module = importlib.util.module_from_spec(spec)
            sys.modules[name] = module
            spec.loader.exec_module(module)
    return CHECKS


# ---------------------------------------------------------------- levels


def read_levels() -> dict[str, dict[str, tuple[int, str]]]:
    """Return, for each model, each factor's level and the sentence that justifies it."""
    table = tomllib.loads(LEVELS.read_text(encoding="utf-8"))
    common = table["common"]
    return {
        model: {factor: _factor({**common, **own}, model, factor) for factor in FACTORS}
        for model, own in table["models"].items()
    }


def _factor(entries: dict[str, dict[str, int | str]], model: str, factor: str) -> tuple[int, str]:
    entry = entries[factor]
    level, why = entry["level"], entry["why"]
    if not (isinstance(level, int) and 0 <= level <= 4 and isinstance(why, str) and why):
        raise ValueError(f"{model}: {factor} needs a level from 0 to 4 and a sentence")
    return level, why


def overall_level(levels: list[int]) -> int:
    """Roll levels up as NASA-STD-7009 does: the least of them, never an average."""
    return min(levels)


# ---------------------------------------------------------------- page

HEAD = """# Credibility

This page is generated by `python tests/outside.py` from the checks that the test suite runs. Every
row sets a value that somebody else gives beside ours. *Standing* says how far the expected value
itself can be trusted: **read** in the cited source, **from memory** of it (not re-read), or
**computed** independently from the formula that the source gives. A check of the last two kinds
shows that the code does what the formula says; it does not show that nature does.

Levels follow the eight factors of NASA-STD-7009 (2008), 0 (no evidence) to 4 (best); a model's
overall level is the least of its factors, never an average. They are our own judgement, not an
independent assessment.

A simulation informs a person who decides. Pressurised plastic bottles burst and falling rockets
hurt: proof-test with water, release from a distance, keep the area clear, and follow local codes.
"""


def render(checks: list[OutsideCheck]) -> str:
    """Return the page."""
    levels = read_levels()
    parts = [HEAD, *_summary(checks, levels)]
    for model, factors in levels.items():
        own = [check for check in checks if check.model == model]
        parts += [f"## {model}\n", _factor_table(factors), _check_table(own)]
    return "\n".join(parts)


def _summary(
    checks: list[OutsideCheck], levels: dict[str, dict[str, tuple[int, str]]]
) -> list[str]:
    rows = ["| model | checks | read | from memory | computed | overall level |", "|---" * 6 + "|"]
    for model, factors in levels.items():
        standings = [check.standing for check in checks if check.model == model]
        counts = " | ".join(str(standings.count(standing)) for standing in STANDINGS)
        overall = overall_level([level for level, _ in factors.values()])
        rows.append(f"| {model} | {len(standings)} | {counts} | {overall} |")
    return ["\n".join(rows) + "\n"]


def _factor_table(factors: dict[str, tuple[int, str]]) -> str:
    rows = ["| factor | level | why |", "|---|---|---|"]
    rows += [f"| {FACTORS[name]} | {level} | {why} |" for name, (level, why) in factors.items()]
    return "\n".join(rows) + "\n"


def _check_table(checks: list[OutsideCheck]) -> str:
    rows = [
        "| quantity | inputs | expected | ours | difference | tolerance | source | standing |",
        "|---" * 8 + "|",
    ]
    rows += [_row(check) for check in checks]
    return "\n".join(rows) + "\n"


def _row(check: OutsideCheck) -> str:
    value = check.ours()
    cells = (
        check.quantity,
        check.inputs,
        f"{check.expected:.10g}",
        f"{value:.7g}",
        _difference(check, value),
        str(check.tolerance),
        check.source,
        check.standing,
    )
    return "| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |"


def _difference(check: OutsideCheck, value: float) -> str:
    difference = value - check.expected
    floor_shown = max(1e-9, _power_of_ten(check.tolerance.allowed(check.expected) / 1e3))
    if abs(difference) < floor_shown:
        return f"below {floor_shown:g}"
    return f"{difference:+.2g}"


def _power_of_ten(value: float) -> float:
    return 10.0 ** floor(log10(value)) if value > 0 else 0.0


NUMBER = re.compile(r"(?<![\w.])[-+]?\d+(?:\.(\d+))?(?:e([-+]?\d+))?(?![\w.])")


def same_page(one: str, other: str) -> bool:
    """Tell whether two pages agree but for the last shown digit, which differs among machines."""
    if NUMBER.sub("#", one) != NUMBER.sub("#", other):
        return False
    return all(map(_same_number, NUMBER.finditer(one), NUMBER.finditer(other)))


def _same_number(one: re.Match[str], other: re.Match[str]) -> bool:
    if one[0] == other[0]:
        return True
    last_digit = min(_last_digit(one), _last_digit(other))
    return last_digit < 1 and abs(float(one[0]) - float(other[0])) < 1.5 * last_digit


def _last_digit(number: re.Match[str]) -> float:
    decimals, exponent = number[1] or "", number[2] or "0"
    return 10.0 ** (int(exponent) - len(decimals))


def write_page() -> None:
    """Write ``docs/credibility.md``."""
    PAGE.write_text(render(load_checks()), encoding="utf-8")


if __name__ == "__main__":
    import outside  # the checks register with this name, not with ``__main__``

    outside.write_page()
