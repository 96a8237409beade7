"""Chances, cut sets and risk classes beside published and independently computed numbers."""

from __future__ import annotations

from functools import cache

from outside import COMPUTED, MEMORY, READ, OutsideCheck, absolute, register, relative

from loftwright.flight.chance import wilson
from loftwright.rehearsal.chances import (
    chance_of_count,
    clopper_pearson,
    difference_of,
    jeffreys,
    lower_bound,
    mtbf_limits,
    mtbf_lower,
    success_run,
    upper_bound,
)
from loftwright.rehearsal.cut_sets import (
    Importance,
    all_of,
    any_of,
    cut_sets_of,
    exact_chance,
    importances,
    min_cut_bound,
    pfd_pair,
    pfd_single,
    rare_event_sum,
)
from loftwright.rehearsal.risk import LETTERS, RISKS, SEVERITIES, risk_of, risk_rank


def check(quantity, inputs, expected, ours, tolerance, source, standing=COMPUTED):
    register(
        OutsideCheck(
            model="Reliability",
            quantity=quantity,
            source=source,
            inputs=inputs,
            expected=expected,
            ours=ours,
            tolerance=tolerance,
            standing=standing,
        )
    )


# ---------------------------------------------------------------- how many flights, how sure

DEMONSTRATION = "binomial demonstration test, tabled in many handbooks"
EXACT = absolute(0.0)

SUCCESS_RUNS = {
    (0.90, 0.90): (22, 38, 52, 65),
    (0.90, 0.95): (29, 46, 61, 76),
    (0.95, 0.90): (45, 77, 105, 132),
    (0.95, 0.95): (59, 93, 124, 153),
    (0.99, 0.90): (230,),
    (0.99, 0.95): (299,),
    (0.999, 0.95): (2995,),
}
for (reliability, level), sizes in SUCCESS_RUNS.items():
    for failures, size in enumerate(sizes):
        check(
            f"flights that show reliability {reliability:g}",
            f"confidence {level:g}, {failures} failures",
            size,
            lambda r=reliability, c=level, f=failures: float(success_run(r, c, f)),
            EXACT,
            DEMONSTRATION,
            MEMORY,
        )

BETA = "C. J. Clopper and E. S. Pearson (1934): quantiles of the beta distribution"
for flights, bound in ((10, 0.74113), (20, 0.86089), (29, 0.90186), (30, 0.90497), (59, 0.95049)):
    check(
        "lower bound of a chance, one-sided 95 %",
        f"{flights} of {flights}",
        bound,
        lambda n=flights: lower_bound(n, n),
        absolute(1e-5),
        "0.05^(1/n)",
    )
check(
    "upper bound of a chance, one-sided 95 %",
    "0 of 20",
    0.13911,
    lambda: upper_bound(0, 20),
    absolute(1e-5),
    "1 - 0.05^(1/n); the rule of three says 0.15",
)

SCORE = "E. B. Wilson (1927)"
BROWN = (
    "L. D. Brown, T. T. Cai and A. DasGupta, Statistical Science 16 (2001), Beta(x + ½, n - x + ½)"
)
INTERVALS = (
    ("Jeffreys", jeffreys, BROWN, 0, 20, (None, 0.1166)),
    ("Jeffreys", jeffreys, BROWN, 1, 29, (0.0037, 0.1501)),
    ("Jeffreys", jeffreys, BROWN, 3, 10, (0.0927, 0.6058)),
    ("Jeffreys", jeffreys, BROWN, 81, 263, (0.2545, 0.3656)),
    ("exact", clopper_pearson, BETA, 0, 10, (None, 0.3085)),
    ("score", wilson, SCORE, 0, 10, (None, 0.2775)),
    ("Jeffreys", jeffreys, BROWN, 0, 10, (None, 0.2172)),
    ("exact", clopper_pearson, BETA, 10, 10, (0.6915, None)),
    ("score", wilson, SCORE, 10, 10, (0.7225, None)),
    ("Jeffreys", jeffreys, BROWN, 10, 10, (0.7828, None)),
)
for name, law, source, count, flights, ends in INTERVALS:
    for end, expected in enumerate(ends):
        if expected is not None:
            check(
                f"{('lower', 'upper')[end]} end of a chance, {name} 95 %",
                f"{count} of {flights}",
                expected,
                lambda law=law, x=count, n=flights, end=end: law(x, n)[end],
                absolute(1e-4),
                source,
            )

# ---------------------------------------------------------------- time between failures

TRUNCATED = "NIST/SEMATECH e-Handbook 8.4.5.1, MIL-HDBK-781: 2 T / χ²(C; 2 r + 2)"
MTBF = {
    0: (1.09136, 0.62133, 0.43429, 0.33381),
    1: (0.49448, 0.33397, 0.25709, 0.21080),
    2: (0.32202, 0.23370, 0.18789, 0.15884),
    5: (0.15893, 0.12649, 0.10782, 0.09512),
}
for failures, row in MTBF.items():
    for level, expected in zip((0.60, 0.80, 0.90, 0.95), row, strict=True):
        check(
            "lower limit of the time between failures, in test times",
            f"{failures} failures, confidence {level:g}",
            expected,
            lambda r=failures, c=level: mtbf_lower(1.0, r, c),
            absolute(1e-5),
            TRUNCATED,
        )
for level, ends in (
    (0.80, (300.62, 3008.58)),
    (0.90, (254.14, 4502.46)),
    (0.95, (221.46, 6605.86)),
):
    for end, expected in enumerate(ends):
        check(
            f"{('lower', 'upper')[end]} limit of the time between failures, h",
            f"2 failures in 1600 h, two-sided {level:g}",
            expected,
            lambda c=level, end=end: mtbf_limits(1600.0, 2, c)[end],
            absolute(0.01),
            TRUNCATED,
        )

# ---------------------------------------------------------------- risk

MATRIX = {
    "A": "High High Serious Medium",
    "B": "High High Serious Medium",
    "C": "High Serious Medium Low",
    "D": "Serious Medium Medium Low",
    "E": "Medium Medium Medium Low",
    "F": "Eliminated Eliminated Eliminated Eliminated",
}
for letter, cells in MATRIX.items():
    for severity, risk in zip(SEVERITIES, cells.split(), strict=True):
        check(
            "place of a risk, from 0 for high to 4 for eliminated",
            f"{severity}, {LETTERS[letter].lower()} ({letter})",
            RISKS.index(risk),
            lambda s=severity, a=letter: float(risk_rank(risk_of(s, a))),
            EXACT,
            "MIL-STD-882E (2012), table III",
            MEMORY,
        )

# ---------------------------------------------------------------- fault trees

TANK = {"T": 5e-6, "K2": 3e-5, "S": 1e-4, "K1": 3e-5, "R": 1e-4, "S1": 3e-5}
TANK_SETS = cut_sets_of(any_of("T", any_of("K2", all_of("S", any_of("S1", any_of("K1", "R"))))))
TANK_SOURCE = "pressure tank, Fault Tree Handbook, NUREG-0492 (1981), chapter VIII"
TANK_INPUTS = "T 5e-6, K2 3e-5, S 1e-4, K1 3e-5, R 1e-4, S1 3e-5"


def tank_share(*events: str) -> float:
    """Return the share of one of the tank's cut sets in their sum."""
    own = frozenset({frozenset(events)})
    assert own <= TANK_SETS
    return rare_event_sum(own, TANK) / rare_event_sum(TANK_SETS, TANK)


for quantity, expected, ours in (
    (
        "chance of the top event, rare-event sum",
        3.50160e-5,
        lambda: rare_event_sum(TANK_SETS, TANK),
    ),
    ("chance of the top event, min-cut bound", 3.501585e-5, lambda: min_cut_bound(TANK_SETS, TANK)),
    ("chance of the top event, exact", 3.5015849e-5, lambda: exact_chance(TANK_SETS, TANK)),
    ("share of K2", 0.8568, lambda: tank_share("K2")),
    ("share of T", 0.1428, lambda: tank_share("T")),
    ("share of S and R", 0.000286, lambda: tank_share("S", "R")),
):
    fair = relative(2e-3) if quantity == "share of S and R" else relative(1e-4)
    check(quantity, TANK_INPUTS, expected, ours, fair, TANK_SOURCE)
for quantity, expected, ours in (
    ("chance of the top event, as printed", 3.4e-5, lambda: exact_chance(TANK_SETS, TANK)),
    ("share of K2, as printed", 0.86, lambda: tank_share("K2")),
    ("share of T, as printed", 0.14, lambda: tank_share("T")),
):
    check(quantity, TANK_INPUTS, expected, ours, relative(0.03), TANK_SOURCE, MEMORY)

TOY = {"A": 0.1, "B": 0.2, "C": 0.15, "D": 0.05}
TOY_SETS = cut_sets_of(any_of("D", all_of("A", any_of("B", "C"))))
TOY_INPUTS = "D or A and (B or C); A 0.1, B 0.2, C 0.15, D 0.05"


@cache
def toy_importances() -> dict[str, Importance]:
    return importances(TOY_SETS, TOY)


for quantity, expected, ours in (
    ("chance of the top event, rare-event sum", 0.085, lambda: rare_event_sum(TOY_SETS, TOY)),
    ("chance of the top event, min-cut bound", 0.082965, lambda: min_cut_bound(TOY_SETS, TOY)),
    ("chance of the top event, exact", 0.080400, lambda: exact_chance(TOY_SETS, TOY)),
):
    check(quantity, TOY_INPUTS, expected, ours, relative(1e-5), "worked by hand")
TOY_WORTH = {
    "birnbaum": (0.304, 0.08075, 0.076, 0.968),
    "fussell_vesely": (0.37811, 0.20087, 0.14179, 0.60199),
    "achievement_worth": (4.40299, 1.80348, 1.80348, 12.43781),
    "reduction_worth": (1.60800, 1.25136, 1.16522, 2.51250),
}
for measure, row in TOY_WORTH.items():
    for event, expected in zip("ABCD", row, strict=True):
        check(
            f"{measure.replace('_', ' ')} of {event}",
            TOY_INPUTS,
            expected,
            lambda m=measure, e=event: getattr(toy_importances()[e], m),
            absolute(1e-5),
            "definitions in W. E. Vesely et al., NUREG/CR-3385 (1983), by hand",
        )

# ---------------------------------------------------------------- common cause

RATE, INTERVAL = 1e-6, 8760.0
DEAD = "IEC 61508-6, annex B: ((1 - β) λ T)²/3 + β λ T/2"
check(
    "chance to be dead when needed, one channel",
    "1e-6 per hour, tested every 8760 h",
    4.38e-3,
    lambda: pfd_single(RATE, INTERVAL),
    relative(1e-6),
    "IEC 61508-6, annex B: λ T/2",
)
for beta, expected in (
    (0.0, 2.55792e-5),
    (0.02, 1.121663e-4),
    (0.05, 2.420852e-4),
    (0.1, 4.587192e-4),
):
    check(
        "chance to be dead when needed, one of two suffices",
        f"1e-6 per hour, tested every 8760 h, β {beta:g}",
        expected,
        lambda b=beta: pfd_pair(RATE, INTERVAL, b),
        relative(1e-6),
        DEAD,
    )
for beta, gain in ((0.02, 50.0), (0.05, 20.0)):
    check(
        "most that a second channel gains",
        f"β {beta:g}, failures that hardly ever happen",
        gain,
        lambda b=beta: pfd_single(1e-12, INTERVAL) / pfd_pair(1e-12, INTERVAL, b),
        relative(1e-4),
        "a manual of functional safety, fliphtml5.com/vmpeb/cdww, page 104: about 1/β",
        READ,
    )


# ---------------------------------------------------------------- two rehearsals that share nothing

NEWCOMBE = "R. G. Newcombe, Statistics in Medicine 17 (1998) 873-890, table II, method 10"
DIFFERENCES = {
    # of the first, of the second: the interval of the first's share less the second's
    ((56, 70), (48, 80)): (0.0524, 0.3339),
    ((9, 10), (3, 10)): (0.1705, 0.8090),
    ((6, 7), (2, 7)): (0.0582, 0.8062),
    ((5, 56), (0, 29)): (-0.0381, 0.1926),
    ((0, 10), (0, 20)): (-0.1611, 0.2775),
    ((0, 10), (0, 10)): (-0.2775, 0.2775),
    ((10, 10), (0, 20)): (0.6791, 1.0),
    ((10, 10), (0, 10)): (0.6075, 1.0),
}
for (one, other), ends in DIFFERENCES.items():
    for place, end in enumerate(("lower", "upper")):
        check(
            f"{end} end of a difference of two shares, 95 %",
            f"{one[0]} of {one[1]}, {other[0]} of {other[1]}",
            ends[place],
            lambda one=one, other=other, place=place: difference_of(
                chance_of_count(*other), chance_of_count(*one)
            )[1 + place],
            absolute(5.1e-5),
            NEWCOMBE,
            MEMORY,
        )
