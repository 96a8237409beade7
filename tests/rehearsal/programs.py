"""A release program as a table, made by hand: pad, climbing, let go, down."""

from __future__ import annotations

from loftwright.program.table import (
    ALWAYS,
    Act,
    Action,
    Clock,
    Estimator,
    Exit,
    Op,
    Seen,
    Stage,
    Step,
    Table,
)

# Height over the pad = x (c0 + x (c1 + ...)) for T/L = 288.15/0.0065 and 1 - (1 - x)^0.190263, the
# binomial series of ISO 2533:1975 solved for height.
EXPONENT = 0.190263
SCALE = 288.15 / 0.0065


def height_series() -> tuple[float, float, float, float, float, float]:
    terms, term = [], SCALE
    for k in range(6):
        term *= (EXPONENT - k) / (k + 1) * -1.0
        terms.append(-term)
    return tuple(terms)


def when(seen: Seen, op: Op, constant: float) -> tuple[Step, ...]:
    return (Step(op, seen, constant),)


def program(step_ms: int = 20, backup_ms: int = 8000, threshold: float = 5.0) -> Table:
    """Let go where the climb ends; open the canopy 2 s later; say so by sound at the ground."""
    return Table(
        name="hand-made",
        outputs=("latch", "canopy", "beeper"),
        stages=(
            Stage("pad", (Exit(1, when(Seen.HEIGHT, Op.MORE, 8.0), hold_ms=60),), is_ground=True),
            Stage(
                "climbing",
                (
                    Exit(
                        2,
                        when(Seen.CLIMB, Op.LESS, threshold),
                        hold_ms=40,
                        not_before_ms=800,
                        backup_ms=backup_ms,
                        clock=Clock.LAUNCH,
                    ),
                ),
                marks_launch=True,
            ),
            Stage("let go", (Exit(3, ALWAYS, not_before_ms=2000),), (Act(0, Action.OPEN),)),
            Stage(
                "down",
                (Exit(4, when(Seen.HEIGHT, Op.LESS, 2.0), hold_ms=1000),),
                (Act(1, Action.PULSE, 500),),
            ),
            Stage("found", (), (Act(2, Action.SOUND, 400), Act(0, Action.CLOSE))),
        ),
        step_ms=step_ms,
        estimator=Estimator.TRACKING,
        height_gain=0.35,
        climb_gain=1.8,
        reference_gain=0.004,
        least_pa=30_000.0,
        most_pa=110_000.0,
        height_series=height_series(),
    )
